package rpc

import "bytes"

// cutter writes JSON on with its long texts cut after MaxText bytes, and no more than MaxBody
// bytes of it. What is JSON stays JSON.
type cutter struct {
	out  *bytes.Buffer
	full bool // MaxBody was met; the rest is not written

	inText, escaped bool
	hex             int // digits of a \u code that are to come
	length          int // bytes of this text that were written
}

func (c *cutter) Write(p []byte) (int, error) {
	for _, b := range p {
		c.next(b)
	}
	return len(p), nil
}

func (c *cutter) next(b byte) {
	if !c.inText {
		c.inText, c.length = b == '"', 0
		c.put(b)
		return
	}
	// It is cut between two characters only.
	whole := !c.escaped && c.hex == 0 && (b < 0x80 || b >= 0xC0)
	ends := whole && b == '"'
	switch {
	case c.escaped:
		c.escaped = false
		if b == 'u' {
			c.hex = 4
		}
	case c.hex > 0:
		c.hex--
	default:
		c.escaped = b == '\\'
	}
	switch {
	case ends:
		c.inText = false
		c.put(b)
	case c.length > MaxText:
	case c.length == MaxText, whole && c.length+12 > MaxText: // no character is longer than a \u code
		c.length = MaxText + 1
	default:
		c.length++
		c.put(b)
	}
}

func (c *cutter) put(b byte) {
	if c.full = c.full || c.out.Len() >= MaxBody; !c.full {
		c.out.WriteByte(b)
	}
}

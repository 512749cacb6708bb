package escape

import (
	"io"
	"unicode/utf8"
)

// Writer makes all that is written to a stream for people safe by [Lines]. A character may
// come in pieces. A carriage return, with which a line is written anew, becomes visible like
// any other control: who needs one writes to the stream itself.
func Writer(w io.Writer) io.Writer { return &writer{out: w} }

type writer struct {
	out  io.Writer
	part []byte // the first bytes of a character
}

func (w *writer) Write(p []byte) (int, error) {
	all := append(w.part, p...)
	w.part = nil
	// At most three bytes of a character can be waiting for the rest.
	for n := 1; n < utf8.UTFMax && n <= len(all); n++ {
		if last := all[len(all)-n:]; utf8.RuneStart(last[0]) {
			if !utf8.FullRune(last) {
				w.part = append([]byte(nil), last...)
				all = all[:len(all)-n]
			}
			break
		}
	}
	if _, err := io.WriteString(w.out, Lines(string(all))); err != nil {
		return 0, err
	}
	return len(p), nil
}

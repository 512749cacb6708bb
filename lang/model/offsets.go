package model

import (
	"math/big"
	"strconv"
	"strings"

	"pintle/lang/unit"
)

// Offsets say by how much senders are off: what each tells less what there is, in the base
// unit of its quantity, the same throughout one run. The zero value is that all of them
// tell the truth. Offsets are values: equal ones compare equal.
type Offsets struct {
	set string // "sender=number;", by rising sender
}

// With returns the offsets with that of one sender put to a number.
func (o Offsets) With(s SenderID, by unit.Num) Offsets {
	var b strings.Builder
	done := by.Sign() == 0
	put := func(id SenderID, text string) {
		b.WriteString(strconv.Itoa(int(id)))
		b.WriteByte('=')
		b.WriteString(text)
		b.WriteByte(';')
	}
	o.each(func(id SenderID, text string) {
		if id >= s && !done {
			put(s, by.Rat().RatString())
			done = true
		}
		if id != s {
			put(id, text)
		}
	})
	if !done {
		put(s, by.Rat().RatString())
	}
	return Offsets{b.String()}
}

// Of returns the offset of a sender.
func (o Offsets) Of(s SenderID) unit.Num {
	out := unit.Int(0)
	o.each(func(id SenderID, text string) {
		if r, ok := new(big.Rat).SetString(text); ok && id == s {
			out = unit.FromRat(r)
		}
	})
	return out
}

// Exact reports whether all senders tell the truth.
func (o Offsets) Exact() bool { return o.set == "" }

func (o Offsets) each(f func(id SenderID, text string)) {
	for _, part := range strings.Split(o.set, ";") {
		if name, text, ok := strings.Cut(part, "="); ok {
			if id, err := strconv.Atoi(name); err == nil {
				f(SenderID(id), text)
			}
		}
	}
}

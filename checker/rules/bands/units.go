package bands

import (
	"fmt"
	"strings"

	"pintle/checker/engine/interval"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// in is a value in another unit of its dimension, for reading: rounded where it has no short
// decimal there.
func in(v unit.Value, u unit.Unit) unit.Value {
	if v.Unit == u || v.Dim() != u.Dim {
		return v
	}
	if v.Difference {
		return unit.DifferenceFromBase(v.N, u)
	}
	return unit.FromBase(v.N, u)
}

// toWrite is a value in another unit, for a line that is to be written: it stays in its own
// where it has no exact decimal in the other.
func toWrite(v unit.Value, u unit.Unit) unit.Value {
	w := in(v, u)
	if _, exact := w.Written.Rat().FloatPrec(); !exact {
		return v
	}
	return w
}

// inUnit is a stretch in one unit, for reading.
func inUnit(s interval.Stretch, u unit.Unit) interval.Stretch {
	s.Lo, s.Hi = in(s.Lo, u), in(s.Hi, u)
	return s
}

// rangeIn writes a stretch as the range of a band in a unit, its unit once where it can be.
func rangeIn(s interval.Stretch, u unit.Unit) string {
	lo, hi := toWrite(s.Lo, u), toWrite(s.Hi, u)
	if lo.Unit == hi.Unit {
		return fmt.Sprintf("%s to %s", lo.Written, hi)
	}
	return fmt.Sprintf("%s to %s", lo, hi)
}

// before is the edit that puts a line before that of a band and of what is said about it, laid
// out like it. It is false where the band does not begin its line.
func before(b *model.Band, line string) (diag.Edit, bool) {
	at := b.Place
	if at.IsZero() {
		return diag.Edit{}, false
	}
	n := at.File.LineOf(at.Start)
	indent := at.File.Text[at.File.LineStart(n):at.Start]
	if strings.TrimSpace(indent) != "" {
		return diag.Edit{}, false
	}
	for n > 0 && strings.HasPrefix(strings.TrimSpace(at.File.Text[at.File.LineStart(n-1):at.File.LineStart(n)]), "##") {
		n--
	}
	at.Start = at.File.LineStart(n)
	at.End = at.Start
	return diag.Edit{Place: at, New: indent + line + "\n"}, true
}

// reaching is the edit that lets a band reach from one value to another, in the unit that it
// is written in.
func reaching(b *model.Band, lo, hi unit.Value) diag.Edit {
	u := b.Lo.Unit
	return diag.Edit{Place: span(b), New: rangeIn(interval.Stretch{Lo: lo, Hi: hi}, u)}
}

package hover

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"pintle/checker/engine/interval"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
	"pintle/lsp/ide"
)

// quantity draws the regions of a quantity as a ladder, the highest on top: beside each
// rung what switches there, beside each stretch what stands in it.
func (a *asker) quantity(id model.QuantityID) {
	q := &a.d.Quantities[id]
	if q.Broken {
		return
	}
	l := &ladder{d: a.d, id: id, at: map[string][]string{}}
	l.collect()
	var err error
	if l.axis, err = interval.NewAxis(q.Lo, q.Hi, l.points...); err != nil {
		return // there is a finding about that
	}
	a.to.Add(ide.Words, fmt.Sprintf("Regions of `%s`, which starts at %s:", q.Path, q.Start.String()))
	a.to.Add(ide.Ladder, l.draw())
}

// ladder is a quantity with what switches on it.
type ladder struct {
	d    *model.Design
	id   model.QuantityID
	axis *interval.Axis
	// points are the values that the design compares it with, at what happens there, by
	// the key of a value; both in the order of the design.
	points []unit.Value
	at     map[string][]string
}

func (l *ladder) note(v unit.Value, format string, args ...any) {
	key, text := v.N.Key(), fmt.Sprintf(format, args...)
	l.points = append(l.points, v)
	if !slices.Contains(l.at[key], text) {
		l.at[key] = append(l.at[key], text)
	}
}

// of reports whether something looks at the quantity, itself or by a sender.
func (l *ladder) of(q model.QuantityID, r model.ReadingID) bool {
	if r != model.None {
		return l.d.Readings[r].Quantity == l.id
	}
	return q == l.id
}

func (l *ladder) collect() {
	d := l.d
	var known []diag.Place // of what is told already
	for i := range d.Thresholds {
		t := &d.Thresholds[i]
		if t.Broken || t.Measure != nil || !l.of(t.Quantity, t.Reading) {
			continue
		}
		l.note(t.Sets, "%s sets %s", t.Path, reached(t.SetsCmp))
		l.note(t.Clears, "%s clears %s", t.Path, reached(t.ClearsCmp))
		known = append(known, t.SetsPlace, t.ClearsPlace)
	}
	for i := range d.Bands {
		b := &d.Bands[i]
		if b.Broken || !l.of(b.Quantity, b.Reading) {
			continue
		}
		for j := range b.Bands {
			l.note(b.Bands[j].Lo, "%s is %s from here up", b.Path, b.Bands[j].Name)
			l.points = append(l.points, b.Bands[j].Hi)
			known = append(known, b.Bands[j].Place)
		}
	}
	// What thresholds and bands are lowered to is reported above.
	lowered := map[*model.Cond]bool{}
	drop := func(c *model.Cond) { c.Atoms(func(at *model.Cond) { lowered[at] = true }) }
	for i := range d.Memories {
		if k := d.Memories[i].MemKind; k == model.MemThreshold || k == model.MemBand {
			for j := range d.Memories[i].Rules {
				drop(d.Memories[i].Rules[j].When)
			}
		}
	}
	for i := range d.Bands {
		for j := range d.Bands[i].Bands {
			drop(d.Bands[i].Bands[j].In)
		}
	}
	d.EachCond(func(c *model.Cond) {
		c.Atoms(func(at *model.Cond) {
			x := &at.Atom
			asks := x.Kind == model.AtomQuantity && model.QuantityID(x.Index) == l.id ||
				x.Kind == model.AtomReading && d.Readings[x.Index].Quantity == l.id
			if !asks || lowered[at] || slices.ContainsFunc(known, func(p diag.Place) bool { return !p.IsZero() && p == at.Place }) {
				return
			}
			l.note(x.Value, "%s%s", d.Words(&model.Cond{Op: model.CondAtom, Atom: *x}), where(at.Place))
		})
	})
}

// reached says from where on a comparison is true.
func reached(c model.Cmp) string {
	switch c {
	case model.AtLeast:
		return "here and above"
	case model.Above:
		return "above"
	case model.AtMost:
		return "here and below"
	}
	return "below"
}

// where tells the line that something stands in.
func where(p diag.Place) string {
	if p.IsZero() {
		return ""
	}
	return fmt.Sprintf(" (line %d)", p.File.Position(p.Start).Line)
}

// draw writes the rungs from the top down.
func (l *ladder) draw() string {
	type rung struct {
		v     unit.Value
		label string
	}
	rungs := []rung{{l.axis.Lo(), l.axis.Lo().String()}}
	for _, p := range l.axis.Points() {
		if !p.N.Equal(l.axis.Lo().N) && !p.N.Equal(l.axis.Hi().N) {
			rungs = append(rungs, rung{p, p.String()})
		}
	}
	rungs = append(rungs, rung{l.axis.Hi(), l.axis.Hi().String()})
	slices.SortStableFunc(rungs, func(a, b rung) int { return -cmp.Or(a.v.N.Cmp(b.v.N), 0) })
	width := 0
	for _, r := range rungs {
		width = max(width, utf8.RuneCountInString(r.label))
	}
	var b strings.Builder
	line := func(label, sign, text string) {
		fmt.Fprintf(&b, "%s%s %s", strings.Repeat(" ", width-utf8.RuneCountInString(label)), label, sign)
		if text != "" {
			b.WriteString(" " + text)
		}
		b.WriteByte('\n')
	}
	for i, r := range rungs {
		events := l.at[r.v.N.Key()]
		first := ""
		if len(events) > 0 {
			first = events[0]
		}
		line(r.label, "├─", first)
		for _, e := range events[min(1, len(events)):] {
			line("", "│ ", e)
		}
		if i < len(rungs)-1 {
			line("", "│", "")
		}
	}
	return strings.TrimRight(b.String(), "\n")
}

// threshold tells its dead band.
func (a *asker) threshold(t *model.Threshold) {
	if t.Measure == nil {
		a.deadBand(t)
	}
	it := "It"
	if a.several {
		it = "`" + t.Path + "`"
	}
	a.to.Add(ide.Words, it+" sets "+turns(t.SetsCmp, t.Sets)+" and clears "+turns(t.ClearsCmp, t.Clears)+".")
	if t.Measure != nil {
		a.deadBand(t)
	}
}

// turns says from where on a comparison with a value is true.
func turns(c model.Cmp, v unit.Value) string {
	switch c {
	case model.AtLeast:
		return "at " + v.String() + " and above"
	case model.AtMost:
		return "at " + v.String() + " and below"
	}
	return c.String() + " " + v.String()
}

func (a *asker) deadBand(t *model.Threshold) {
	lo, hi := t.Clears, t.Sets
	if !t.Rising() {
		lo, hi = hi, lo
	}
	width, err := hi.From(lo)
	if err != nil || width.N.Sign() <= 0 {
		a.to.Add(ide.Words, "It has no dead band.")
		return
	}
	a.to.Add(ide.Words, fmt.Sprintf("Its dead band is %s wide: between %s and %s it stays as it was.", width.String(), lo.String(), hi.String()))
}

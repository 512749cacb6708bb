package ide

import (
	"fmt"
	"math"

	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// current tells what runs through a thing at most.
func (a *asker) current(t thing) {
	e := elementOf(a.d, t)
	if e == model.None || a.d.Elements[e].Broken {
		return
	}
	b := busiest(a.p, e)
	if b == nil || !b.Carries(e) {
		return
	}
	line := a.it(t, "carries up to "+evidence.Amps(b.amps))
	el := &a.d.Elements[e]
	if u, ok := b.Between(el.A, el.B); ok && el.Type != model.ElemSupply {
		line += " with " + evidence.Volts(u) + " across it"
	}
	a.to.add(Words, line+" (nominal values).")
	if d, ok := b.DropOf(e); ok && el.Type == model.ElemLoad {
		a.to.add(Words, fmt.Sprintf("Its wiring takes %s in the feed and %s in the return.", evidence.Volts(d.Feed), evidence.Volts(d.Ground)))
	}
}

// wire tells what a wire joins, what it carries where it carries most, and what falls
// across it then.
func (a *asker) wire(t thing) {
	w := &a.d.Wires[t.id]
	el := &a.d.Elements[w.Element]
	if el.Broken {
		return
	}
	size := unit.Format(w.Area, unit.Area)
	if !w.AreaSet {
		size += " (taken)"
	}
	length := unit.Format(w.Length, unit.Length)
	if !w.LenSet {
		length += " (taken)"
	}
	a.to.add(Words, a.it(t, fmt.Sprintf("joins `%s` and `%s`: %s, %s, %s.",
		a.d.Nodes[w.A].Path, a.d.Nodes[w.B].Path, size, length, unit.Format(el.Ohm.Nominal, unit.Resistance))))
	b := busiest(a.p, w.Element)
	switch {
	case b == nil:
		return
	case !b.Carries(w.Element):
		a.to.add(Words, "No current runs through it in any state that can be reached.")
		return
	}
	from, to := w.A, w.B
	if b.amps < 0 {
		from, to = to, from
	}
	line := "Carries most, " + evidence.Amps(b.amps) + ", from `" + a.d.Nodes[from].Path + "` to `" + a.d.Nodes[to].Path + "`"
	if u, ok := b.Between(from, to); ok {
		line += ", and takes " + evidence.Volts(u)
	}
	a.to.add(Words, line+" (nominal values).")
	a.rating(w, b)
	a.reached(w.Element, b)
}

// rating tells what the wire may carry.
func (a *asker) rating(w *model.Wire, b *busy) {
	r, ok := ask.MayCarry(a.p, w)
	if !ok {
		return
	}
	by := "as it says"
	if r.Source != "" {
		by = "by the table for its size"
	}
	a.to.add(Words, fmt.Sprintf("It may carry %s, %s: %.0f %% of that.", r, by, 100*math.Abs(b.amps)/r.Amps))
}

// nearly is how much of the highest current counts as that.
const nearly = 0.999

// reached tells how the busiest state comes about.
func (a *asker) reached(e model.ElementID, b *busy) {
	v, err := a.p.System().PossibleHere(a.ctx, ask.Above(ask.Current(e), nearly*math.Abs(b.amps)))
	a.p.StopOn(err)
	if v.Trace != nil {
		a.way("How that comes about:", v.Trace)
	}
}

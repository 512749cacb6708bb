package hover

import (
	"fmt"
	"math"

	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/lang/model"
	"pintle/lang/unit"
	"pintle/lsp/ide"
)

// current reports what runs through a thing at most.
func (a *asker) current(t ide.Thing) {
	e := ide.ElementOf(a.d, t)
	if e == model.None || a.d.Elements[e].Broken {
		return
	}
	b := ide.Busiest(a.p, e)
	if b == nil || !b.Carries(e) {
		return
	}
	line := a.it(t, "carries up to "+evidence.Amps(b.Highest))
	el := &a.d.Elements[e]
	if u, ok := b.Between(el.A, el.B); ok && el.Type != model.ElemSupply {
		line += " with " + evidence.Volts(u) + " across it"
	}
	a.to.Add(ide.Words, line+" (nominal values).")
	if d, ok := b.DropOf(e); ok && el.Type == model.ElemLoad {
		a.to.Add(ide.Words, fmt.Sprintf("Its wiring drops %s in the feed and %s in the return.", evidence.Volts(d.Feed), evidence.Volts(d.Ground)))
	}
}

// wire reports what a wire joins, what it carries where it carries most, and what falls
// across it then.
func (a *asker) wire(t ide.Thing) {
	w := &a.d.Wires[t.ID]
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
	a.to.Add(ide.Words, a.it(t, fmt.Sprintf("joins `%s` and `%s`: %s, %s, %s.",
		a.d.Nodes[w.A].Path, a.d.Nodes[w.B].Path, size, length, unit.Format(el.Ohm.Nominal, unit.Resistance))))
	b := ide.Busiest(a.p, w.Element)
	switch {
	case b == nil:
		return
	case !b.Carries(w.Element):
		a.to.Add(ide.Words, "No current runs through it in any reachable state.")
		return
	}
	from, to := w.A, w.B
	if b.Highest < 0 {
		from, to = to, from
	}
	line := "Its highest current is " + evidence.Amps(b.Highest) + ", from `" + a.d.Nodes[from].Path + "` to `" + a.d.Nodes[to].Path + "`"
	if u, ok := b.Between(from, to); ok {
		line += ", and it drops " + evidence.Volts(u)
	}
	a.to.Add(ide.Words, line+" (nominal values).")
	a.rating(w, b)
	a.reached(w.Element, b)
}

// rating reports what the wire may carry.
func (a *asker) rating(w *model.Wire, b *ide.Busy) {
	r, ok := ask.MayCarry(a.p, w)
	if !ok {
		return
	}
	by := "stated"
	if r.Source != "" {
		by = "from the table for its size"
	}
	a.to.Add(ide.Words, fmt.Sprintf("It may carry %s (%s). The highest current is %.0f %% of that.", r, by, 100*math.Abs(b.Highest)/r.Amps))
}

// nearly is how much of the highest current counts as that.
const nearly = 0.999

// reached reports how the busiest state comes about.
func (a *asker) reached(e model.ElementID, b *ide.Busy) {
	v, err := a.p.System().PossibleHere(a.ctx, ask.Above(ask.Current(e), nearly*math.Abs(b.Highest)))
	a.p.StopOn(err)
	if v.Trace != nil {
		a.way("The moves that lead there:", v.Trace)
	}
}

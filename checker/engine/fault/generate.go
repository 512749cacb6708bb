package fault

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/failure"
	"pintle/lang/model"
)

// Generate lists the single faults of a design: for each thing those that it can have, in
// the order of the design's tables, then those that the design declares.
//
// Left out are things that could not be read, what lies in an `elsewhere` body, clamped
// hoses, and shorts that join what is joined by metal anyway (an earth wire to ground).
func Generate(d *model.Design) []Fault {
	g := &generator{d: d, joined: metal(d)}
	g.electrical()
	g.fluids()
	g.reachable()
	g.declared()
	return g.out
}

// leftOut lists what a drive can make fail and Generate leaves out.
func leftOut(d *model.Design) []LeftOut {
	g := &generator{d: d, joined: metal(d)}
	g.electrical()
	g.fluids()
	return g.left
}

// ChartLeftOut is why the joins of a chart are not tried.
const ChartLeftOut = "the joins of a chart are not tried as stuck: write them as contacts to have them tried"

type generator struct {
	d      *model.Design
	joined *union // nodes, by metal that always conducts
	out    []Fault
	left   []LeftOut
}

// skip reports whether a thing is none of ours to fail.
func (g *generator) skip(i *model.Info) bool {
	switch {
	case i.Broken:
		g.left = append(g.left, LeftOut{i.Path, "its statement could not be read"})
		return true
	case g.d.Elsewhere(i):
		g.left = append(g.left, LeftOut{i.Path, "it lies in an `elsewhere` body, which is not described"})
		return true
	}
	return false
}

// add lists a thing's faults in each mode in which its kind fails, but for some.
func (g *generator) add(kind model.ThingKind, index int, i *model.Info, but ...model.FaultMode) {
	for _, m := range failure.Of(i.Kind) {
		if slices.Contains(but, m) {
			continue
		}
		f := simple(kind, index, i, m)
		if (m == model.FaultToGround || m == model.FaultToFeed) && !g.bites(f.Actions) {
			g.left = append(g.left, LeftOut{f.Words, "metal joins it to that as built"})
			continue
		}
		g.out = append(g.out, f)
	}
}

// bites reports whether a short joins what was not joined.
func (g *generator) bites(o circuit.Overlay) bool {
	added, err := circuit.Added(g.d, o)
	if err != nil {
		return false // no ground or no supply to be shorted to
	}
	for _, e := range added {
		if g.joined.find(int(e.A)) != g.joined.find(int(e.B)) {
			return true
		}
	}
	return false
}

func (g *generator) electrical() {
	d := g.d
	element := func(i *model.Info, e model.ElementID) {
		if e != model.None && !g.skip(i) && !d.Elements[e].Broken {
			g.add(model.ThingElement, int(e), i)
		}
	}
	for i := range d.Wires {
		element(&d.Wires[i].Info, d.Wires[i].Element)
	}
	for i := range d.Connectors {
		if c := &d.Connectors[i]; len(c.WayElem) > 0 && !g.skip(&c.Info) {
			g.add(model.ThingConnector, i, &c.Info)
		}
	}
	for i := range d.Contacts {
		if k := &d.Contacts[i]; !g.skip(&k.Info) && !k.Sometimes {
			g.add(model.ThingContact, i, &k.Info)
		}
	}
	for i := range d.Charts {
		if c := &d.Charts[i]; !g.skip(&c.Info) {
			g.left = append(g.left, LeftOut{c.Path, ChartLeftOut})
		}
	}
	for i := range d.Coils {
		element(&d.Coils[i].Info, d.Coils[i].Element)
	}
	for i := range d.Loads {
		element(&d.Loads[i].Info, d.Loads[i].Element)
	}
	for i := range d.Resistors {
		element(&d.Resistors[i].Info, d.Resistors[i].Element)
	}
	for i := range d.Diodes {
		element(&d.Diodes[i].Info, d.Diodes[i].Element)
	}
	for i := range d.Fuses {
		element(&d.Fuses[i].Info, d.Fuses[i].Element)
	}
	for i := range d.Drivers {
		if k := &d.Drivers[i]; k.Element != model.None && !g.skip(&k.Info) {
			g.add(model.ThingDriver, i, &k.Info)
		}
	}
	for i := range d.Senders {
		s := &d.Senders[i]
		if g.skip(&s.Info) {
			continue
		}
		if s.Quantity != model.None && !d.Quantities[s.Quantity].Broken {
			g.add(model.ThingSender, i, &s.Info)
		} else { // at which value it would be stuck is not known
			g.add(model.ThingSender, i, &s.Info, model.FaultStuck)
		}
	}
}

func (g *generator) fluids() {
	for i := range g.d.Passages {
		p := &g.d.Passages[i]
		switch {
		case g.skip(&p.Info), p.A < 0, p.B < 0:
		case p.Hose:
			if p.Clamped {
				g.left = append(g.left, LeftOut{p.Path + " off", "it is clamped"})
			} else {
				g.add(model.ThingPassage, i, &p.Info)
			}
		case p.Open != nil: // one that is always open has nothing that could stick
			g.add(model.ThingPassage, i, &p.Info)
		}
	}
}

// reachable adds the swap of each two connectors that can be mistaken for each other, unless
// a declared fault is that very swap.
func (g *generator) reachable() {
	done := map[[2]int]bool{}
	pair := func(a, b int) [2]int { return [2]int{min(a, b), max(a, b)} }
	for i := range g.d.Faults {
		if f := &g.d.Faults[i]; len(f.Actions) == 1 && f.Actions[0].Mode == model.FaultSwapped {
			done[pair(f.Actions[0].Thing.Index, f.Actions[0].Other.Index)] = true
		}
	}
	for i := range g.d.Connectors {
		for _, j := range g.d.Connectors[i].Reach {
			a, b := &g.d.Connectors[i], &g.d.Connectors[max(j, 0)]
			if j < 0 || done[pair(i, int(j))] || a.Broken || b.Broken || a.Ways != b.Ways || a.Key != b.Key ||
				len(a.WayElem) == 0 || len(b.WayElem) == 0 || int(j) == i {
				continue
			}
			done[pair(i, int(j))] = true
			f := simple(model.ThingConnector, i, &a.Info, model.FaultSwapped)
			f.Actions[0].Other = model.Thing{Kind: model.ThingConnector, Index: int(j), Path: b.Path}
			f.Words = a.Path + " and " + b.Path + " swapped"
			f.Event = a.Path + " and " + b.Path + " are swapped"
			g.out = append(g.out, f)
		}
	}
}

func (g *generator) declared() {
	for i := range g.d.Faults {
		f := &g.d.Faults[i]
		if f.Broken || len(f.Actions) == 0 {
			continue
		}
		one := Fault{
			Words: f.Path, Event: f.Path + " comes about", Subject: f.Path, Place: f.Place,
			Actions: circuit.Overlay(f.Actions), Declared: true,
		}
		if len(f.Actions) == 1 && f.Actions[0].Mode == model.FaultSwapped {
			a := f.Actions[0]
			one.Words = a.Thing.Path + " and " + a.Other.Path + " swapped"
			one.Event = a.Thing.Path + " and " + a.Other.Path + " are swapped"
		}
		g.out = append(g.out, one)
	}
}

// metal joins the nodes that metal always joins.
func metal(d *model.Design) *union {
	u := newUnion(len(d.Nodes))
	for i := range d.Elements {
		if e := &d.Elements[i]; e.Metal && (e.Closed == nil || e.Closed.Op == model.CondTrue) && e.A >= 0 && e.B >= 0 {
			u.join(int(e.A), int(e.B))
		}
	}
	return u
}

// union is a union of sets of small numbers.
type union struct{ up []int }

func newUnion(n int) *union {
	u := &union{up: make([]int, n)}
	for i := range u.up {
		u.up[i] = i
	}
	return u
}

// find only reads, so that many goroutines may ask at once.
func (u *union) find(x int) int {
	for u.up[x] != x {
		x = u.up[x]
	}
	return x
}

func (u *union) join(a, b int) {
	a, b = u.shorten(a), u.shorten(b)
	u.up[max(a, b)] = min(a, b)
}

// shorten finds, and halves the way for those who come after.
func (u *union) shorten(x int) int {
	for u.up[x] != x {
		u.up[x] = u.up[u.up[x]]
		x = u.up[x]
	}
	return x
}

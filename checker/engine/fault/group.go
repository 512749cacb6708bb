package fault

import (
	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// Groups puts faults that have the same effect together, as indices, each group in order
// and the groups by their first.
//
// Elements in a row, through nodes at which nothing else ends and that nothing asks about,
// carry one current: whichever of them opens, the rest of the circuit is the same. And
// shorts are the same where they join the same two nodes, as those of a winding and of the
// diode across it do.
func Groups(d *model.Design, faults []Fault) [][]int {
	g := newGrouper(d)
	var out [][]int
	at := map[groupKey]int{}
	for i := range faults {
		key, ok := g.key(&faults[i])
		if !ok {
			out = append(out, []int{i})
			continue
		}
		if k, known := at[key]; known {
			out[k] = append(out[k], i)
			continue
		}
		at[key] = len(out)
		out = append(out, []int{i})
	}
	return out
}

// across stands in a groupKey for the row of elements shorted by themselves.
const across = -2

// groupKey tells groups apart: an open row by its lowest element, a short by its nodes.
type groupKey struct {
	row      int
	from, to model.NodeID
}

type grouper struct {
	d     *model.Design
	row   *union                   // elements in a row
	blown map[int]bool             // fuses of which it is asked whether they have blown, by index
	amps  map[model.ElementID]bool // elements of which the current is asked for
	// stands are the contacts and drivers of which it is asked how they stand.
	stands map[model.Thing]bool
}

func newGrouper(d *model.Design) *grouper {
	g := &grouper{d: d, row: newUnion(len(d.Elements)), blown: map[int]bool{}, amps: map[model.ElementID]bool{}, stands: map[model.Thing]bool{}}
	d.EachStateCond(func(c *model.Cond) {
		c.Walk(func(c *model.Cond) {
			if c.Op == model.CondAtom && c.Atom.Kind == model.AtomBlown {
				g.blown[c.Atom.Index] = true
			}
			if c.Op == model.CondAtom && c.Atom.Kind == model.AtomMeasure && c.Atom.Measure.Kind == model.Amps {
				g.amps[c.Atom.Measure.Element] = true
			}
			if of, _, ok := c.Standing(); ok {
				g.stands[model.Thing{Kind: of.Kind, Index: of.Index}] = true
			}
		})
	})
	asked := askedNodes(d)
	ends := make([][]int, len(d.Nodes))
	for i := range d.Elements {
		e := &d.Elements[i]
		for _, n := range [...]model.NodeID{e.A, e.B} {
			if n >= 0 && int(n) < len(ends) {
				ends[n] = append(ends[n], i)
			}
		}
	}
	for n, at := range ends {
		if len(at) == 2 && at[0] != at[1] && !asked[n] && !d.Nodes[n].Broken {
			g.row.join(at[0], at[1])
		}
	}
	return g
}

// askedNodes marks the nodes of which anything may ask.
func askedNodes(d *model.Design) []bool {
	asked := make([]bool, len(d.Nodes))
	mark := func(ns ...model.NodeID) {
		for _, n := range ns {
			if n >= 0 && int(n) < len(asked) {
				asked[n] = true
			}
		}
	}
	mark(d.Ground)
	d.EachStateCond(func(c *model.Cond) {
		c.Atoms(func(c *model.Cond) {
			switch a := &c.Atom; a.Kind {
			case model.AtomLive, model.AtomGrounded, model.AtomFloating:
				mark(model.NodeID(a.Index))
			case model.AtomJoined:
				mark(model.NodeID(a.Index), model.NodeID(a.Other))
			case model.AtomMeasure:
				mark(a.Measure.A, a.Measure.B)
			}
		})
	})
	for i := range d.Supplies {
		mark(d.Supplies[i].Plus, d.Supplies[i].Minus)
	}
	for i := range d.Readings {
		mark(d.Readings[i].Pin)
	}
	for i := range d.Senders {
		mark(d.Senders[i].Pin)
	}
	for i := range d.Requirements {
		if r := &d.Requirements[i]; r.Form == model.Apart {
			mark(r.X, r.Y)
		}
	}
	return asked
}

// key is false for a fault that is like no other.
func (g *grouper) key(f *Fault) (groupKey, bool) {
	if f.Declared || len(f.Actions) != 1 {
		return groupKey{}, false
	}
	a := f.Actions[0]
	if g.stands[model.Thing{Kind: a.Thing.Kind, Index: a.Thing.Index}] {
		return groupKey{}, false
	}
	element := model.ElementID(model.None)
	switch a.Thing.Kind {
	case model.ThingElement:
		element = model.ElementID(a.Thing.Index)
	case model.ThingConnector:
		if ways := g.d.Connectors[a.Thing.Index].WayElem; len(ways) == 1 {
			element = ways[0]
		}
	case model.ThingContact:
		if k := &g.d.Contacts[a.Thing.Index]; k.Form == model.Make {
			element = k.WorkElem
		} else if k.Form == model.Break {
			element = k.RestElem
		}
	case model.ThingDriver:
		element = g.d.Drivers[a.Thing.Index].Element
	}
	if element == model.None {
		return groupKey{}, false
	}
	switch e := &g.d.Elements[element]; a.Mode {
	case model.FaultOpen, model.FaultBlown, model.FaultOff, model.FaultStuckOpen, model.FaultStuckOff:
		if e.Type == model.ElemCoil || e.Type == model.ElemLoad {
			return groupKey{}, false // asked about in a way of its own; see Faulted.measures
		}
		if e.Type == model.ElemFuse && g.blown[e.Of] {
			return groupKey{}, false
		}
		return groupKey{g.row.find(int(element)), model.None, model.None}, true
	case model.FaultShorted:
		if g.amps[element] { // it is the current of the short that is asked for then
			return groupKey{}, false
		}
		return groupKey{across, min(e.A, e.B), max(e.A, e.B)}, true
	case model.FaultToGround, model.FaultToFeed:
		added, err := circuit.Added(g.d, f.Actions)
		if err != nil || len(added) != 1 {
			return groupKey{}, false
		}
		x := added[0]
		return groupKey{model.None, x.A, x.B}, true
	}
	return groupKey{}, false
}

package fault

import (
	"pintle/lang/model"
)

// Cone is everything in a sound design that can affect some conditions.
//
// It is the least set that holds what the conditions ask about and, with anything in it,
// all that decides over that: with an island of the circuit the conditions under which its
// elements conduct, with a memory those of its rules, and so on. Islands are cut at ground
// only and taken with all switches closed, so that whatever is switched, what happens in an
// island of the cone is a function of the cone. A fault that changes nothing but elements
// of islands, passages and senders outside of it therefore changes no answer.
type Cone struct {
	d       *model.Design
	islands *union // nodes, by any elements
	fluids  *union // ports, by any passages

	island, fluid            map[int]bool
	sender, memory, machine  map[int]bool
	conds                    map[*model.Cond]bool
	timer, beat, edge, named map[int]bool
	stands                   map[model.Thing]bool // contacts and drivers of which it is asked how they stand
}

// ConeOf works out what affects a requirement.
func ConeOf(d *model.Design, conds []*model.Cond, nodes ...model.NodeID) *Cone {
	c := &Cone{
		d: d, islands: newUnion(len(d.Nodes)), fluids: newUnion(len(d.Ports)),
		island: map[int]bool{}, fluid: map[int]bool{}, sender: map[int]bool{}, memory: map[int]bool{}, machine: map[int]bool{},
		conds: map[*model.Cond]bool{}, timer: map[int]bool{}, beat: map[int]bool{}, edge: map[int]bool{}, named: map[int]bool{},
		stands: map[model.Thing]bool{},
	}
	for i := range d.Elements {
		if e := &d.Elements[i]; e.A >= 0 && e.B >= 0 && e.A != d.Ground && e.B != d.Ground {
			c.islands.join(int(e.A), int(e.B))
		}
	}
	for i := range d.Passages {
		if p := &d.Passages[i]; p.A >= 0 && p.B >= 0 {
			c.fluids.join(int(p.A), int(p.B))
		}
	}
	for i := range d.Assumptions {
		c.cond(d.Assumptions[i].Cond)
	}
	for _, x := range conds {
		c.cond(x)
	}
	for _, n := range nodes {
		c.node(n)
	}
	return c
}

// Holds reports whether anything that a fault changes lies in the cone.
func (c *Cone) Holds(w *Faulted) bool {
	for _, n := range w.changed.nodes {
		if c.HoldsNode(n) {
			return true
		}
	}
	for _, p := range w.changed.ports {
		if p >= 0 && c.fluid[c.fluids.find(int(p))] {
			return true
		}
	}
	for thing := range w.Fault.Actions.Stuck() {
		if c.stands[thing] {
			return true
		}
	}
	for _, s := range w.changed.senders {
		if c.sender[s] {
			return true
		}
	}
	return false
}

// HoldsNode reports whether the island of a node, ground excepted, lies in the cone.
func (c *Cone) HoldsNode(n model.NodeID) bool {
	return n >= 0 && int(n) < len(c.d.Nodes) && n != c.d.Ground && c.island[c.islands.find(int(n))]
}

// once reports whether something is new to a set, and adds it.
func once[K comparable](set map[K]bool, k K) bool {
	if set[k] {
		return false
	}
	set[k] = true
	return true
}

func (c *Cone) cond(x *model.Cond) {
	if x == nil || !once(c.conds, x) {
		return
	}
	if of, _, ok := x.Standing(); ok {
		c.stands[model.Thing{Kind: of.Kind, Index: of.Index}] = true
	}
	for _, k := range x.Kids {
		c.cond(k)
	}
	if x.Op == model.CondAtom {
		c.atom(&x.Atom)
	}
}

func (c *Cone) atom(a *model.Atom) {
	d := c.d
	switch a.Kind {
	case model.AtomReading:
		c.reading(&d.Readings[a.Index])
	case model.AtomMemory:
		if once(c.memory, a.Index) {
			for _, r := range d.Memories[a.Index].Rules {
				c.cond(r.When)
			}
		}
	case model.AtomMachine:
		if once(c.machine, a.Index) {
			for _, t := range d.Machines[a.Index].Transitions {
				c.cond(t.When)
			}
			c.cond(d.Machines[a.Index].Reset)
		}
	case model.AtomTimer:
		if t := &d.Timers[a.Index]; once(c.timer, a.Index) {
			c.cond(t.Run)
			c.cond(t.Stop)
			for _, k := range t.Cases {
				c.cond(k.When)
			}
		}
	case model.AtomBeat:
		if once(c.beat, a.Index) {
			c.cond(d.Beats[a.Index].While)
		}
	case model.AtomEdge:
		if once(c.edge, a.Index) {
			c.cond(d.Edges[a.Index].Of)
		}
	case model.AtomCondition:
		if once(c.named, a.Index) {
			c.cond(d.Conditions[a.Index].Cond)
		}
	case model.AtomResult:
		for _, r := range d.Results[a.Index].Rows {
			c.cond(r.When)
		}
	case model.AtomBands:
		c.bands(&d.Bands[a.Index])
	case model.AtomLive, model.AtomGrounded, model.AtomFloating:
		c.node(model.NodeID(a.Index))
	case model.AtomBlown:
		if e := d.Fuses[a.Index].Element; e >= 0 {
			c.node(d.Elements[e].A)
			c.node(d.Elements[e].B)
		}
	case model.AtomJoined:
		c.node(model.NodeID(a.Index))
		c.node(model.NodeID(a.Other))
	case model.AtomMeasure:
		c.measure(&a.Measure)
	case model.AtomFed, model.AtomVented, model.AtomNeither:
		c.port(model.PortID(a.Index))
	}
}

func (c *Cone) bands(b *model.Bands) {
	c.cond(b.While)
	for _, k := range b.Bands {
		c.cond(k.In)
	}
	if b.Memory != model.None {
		c.atom(&model.Atom{Kind: model.AtomMemory, Index: int(b.Memory)})
	}
}

func (c *Cone) reading(r *model.Reading) {
	c.node(r.Pin)
	for _, s := range r.Senders {
		if once(c.sender, int(s)) {
			c.node(c.d.Senders[s].Pin)
		}
	}
}

func (c *Cone) measure(m *model.Measure) {
	element := func(e model.ElementID) {
		if e >= 0 && int(e) < len(c.d.Elements) {
			c.node(c.d.Elements[e].A)
			c.node(c.d.Elements[e].B)
		}
	}
	if m.Kind == model.Volts || m.Kind == model.AbsVolts {
		c.node(m.A)
		c.node(m.B)
	}
	element(m.Element)
	for _, w := range m.Windings {
		element(w.Element)
	}
}

// node takes in the island of a node. Ground is the zero of all islands and no part of any.
func (c *Cone) node(n model.NodeID) {
	d := c.d
	if n < 0 || int(n) >= len(d.Nodes) || n == d.Ground || !once(c.island, c.islands.find(int(n))) {
		return
	}
	root := c.islands.find(int(n))
	in := func(n model.NodeID) bool { return n >= 0 && n != d.Ground && c.islands.find(int(n)) == root }
	for i := range d.Elements {
		e := &d.Elements[i]
		if !in(e.A) && !in(e.B) {
			continue
		}
		c.cond(e.Closed)
		if e.Type == model.ElemSupply && e.Of >= 0 && e.Of < len(d.Supplies) {
			c.cond(d.Supplies[e.Of].While)
		}
	}
}

func (c *Cone) port(p model.PortID) {
	d := c.d
	if p < 0 || int(p) >= len(d.Ports) || !once(c.fluid, c.fluids.find(int(p))) {
		return
	}
	root := c.fluids.find(int(p))
	for i := range d.Passages {
		if k := &d.Passages[i]; k.A >= 0 && c.fluids.find(int(k.A)) == root || k.B >= 0 && c.fluids.find(int(k.B)) == root {
			c.cond(k.Open)
		}
	}
	for i := range d.Origins {
		if o := &d.Origins[i]; o.Port >= 0 && c.fluids.find(int(o.Port)) == root {
			c.cond(o.Present)
		}
	}
}

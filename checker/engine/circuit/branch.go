package circuit

import (
	"pintle/checker/engine/circuit/dc"
	"pintle/lang/model"
)

// pick chooses the switch to decide on next, false where no unknown one can be in
// the way. Only how fast a decision is reached depends on it, never what it says.
//
// Supplies that may be there or not come first. Then, while a node of the question
// is not on a rail, the switch next to the rail on the way there, so that closing it
// makes a rail of what follows. Then the switch next to the rail in the component
// that can draw most.
func (d *decider) branchOn(k *assignment, all map[*island]*bounds) (Switch, bool) {
	for _, i := range d.islands {
		for _, e := range i.Elements {
			if w := d.c.switchOf[e]; w >= 0 && d.c.elems[e].Type == model.ElemSupply && k.known[w] == Depends {
				return w, true
			}
		}
	}
	for _, i := range d.islands {
		if w, ok := all[i].towards(d.targets(i)); ok {
			return w, true
		}
	}
	for _, i := range d.islands {
		if w, ok := all[i].heaviest(); ok {
			return w, true
		}
	}
	return 0, false
}

// targets are the nodes of an island that the question is about.
func (d *decider) targets(i *island) []dc.Node {
	var out []dc.Node
	node := func(n model.NodeID) {
		if n == d.c.design.Ground || d.c.at[n].island == int(i.id) {
			if l := d.c.localIn(i, n); l >= 0 {
				out = append(out, l)
			}
		}
	}
	element := func(e model.ElementID) {
		node(d.c.elems[e].A)
		node(d.c.elems[e].B)
	}
	measured(&d.q.Atom.Measure, node, element)
	return out
}

// towards finds the switch next to the rail on the way from some node to it.
func (b *bounds) towards(nodes []dc.Node) (Switch, bool) {
	for _, v := range nodes {
		k := b.r.component[v]
		if k < 0 || !b.r.components[k].unknown {
			continue
		}
		for _, metal := range [...]bool{true, false} {
			for _, side := range [...]side{high, low} {
				if i, ok := b.lastMaybe(v, side, metal); ok {
					return b.switchAt(int32(i)), true
				}
			}
		}
		for _, i := range b.r.components[k].elements {
			if b.r.presence[i] == maybe {
				return b.switchAt(i), true
			}
		}
	}
	return 0, false
}

func (b *bounds) switchAt(i int32) Switch { return b.w.c.switchOf[b.w.s.Elements[i]] }

// lastMaybe searches from a node for the nearest rail of a side, through metal only
// or through anything, by the fewest maybe elements, and returns the last of these.
func (b *bounds) lastMaybe(from dc.Node, to side, metal bool) (int, bool) {
	type reached struct {
		v    dc.Node
		last int
	}
	seen := map[dc.Node]bool{from: true}
	now, next := []reached{{from, -1}}, []reached(nil)
	for len(now) > 0 {
		for ; len(now) > 0; now = now[1:] {
			at := now[0]
			if s := b.r.side[at.v]; s != inner {
				if s == to && at.last >= 0 {
					return at.last, true
				}
				continue
			}
			for _, i := range b.w.at[at.v] {
				e := &b.w.branches[i]
				v := e.A + e.B - at.v
				if b.r.presence[i] == absent || seen[v] || metal && !b.w.c.elems[b.w.s.Elements[i]].Metal {
					continue
				}
				if b.r.presence[i] == maybe {
					next = append(next, reached{v, i})
					continue
				}
				seen[v] = true
				now = append(now, reached{v, at.last})
			}
		}
		for _, n := range next {
			if !seen[n.v] {
				seen[n.v] = true
				now = append(now, n)
			}
		}
		next = nil
	}
	return 0, false
}

// heaviest finds a switch of the component that can draw most.
func (b *bounds) heaviest() (Switch, bool) {
	best, most := -1, -1.0
	for i := range b.r.components {
		c := &b.r.components[i]
		if !c.unknown {
			continue
		}
		weight := c.siemens + c.push
		if c.lows == 0 || c.highs == 0 {
			weight /= 1000 // it only joins rails of one side
		}
		if weight > most {
			best, most = i, weight
		}
	}
	if best < 0 {
		return 0, false
	}
	c := &b.r.components[best]
	for _, want := range [...]side{high, low} {
		for _, i := range c.elements {
			e := &b.w.branches[i]
			if b.r.presence[i] == maybe && (b.r.side[e.A] == want || b.r.side[e.B] == want) {
				return b.switchAt(i), true
			}
		}
	}
	for _, i := range c.elements {
		if b.r.presence[i] == maybe {
			return b.switchAt(i), true
		}
	}
	return 0, false
}

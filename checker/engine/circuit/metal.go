package circuit

import (
	"slices"

	"pintle/lang/model"
)

// leg is one end of an element that metal may be followed through.
type leg struct {
	element model.ElementID
	from,
	to model.NodeID
}

// addMetal lists, for every node, the metal and the diodes that end there.
func (c *Circuit) addMetal() {
	for i := range c.elems {
		e := &c.elems[i]
		if c.switchOf[i] != never && e.A != e.B && (e.Metal || e.diode()) {
			id := model.ElementID(i)
			c.metal = append(c.metal, leg{id, e.A, e.B}, leg{id, e.B, e.A})
		}
	}
	slices.SortStableFunc(c.metal, func(x, y leg) int { return int(x.from) - int(y.from) })
	c.metalAt = make([]int, len(c.design.Nodes)+1)
	for n, i := 0, 0; n < len(c.metalAt); n++ {
		for i < len(c.metal) && int(c.metal[i].from) < n {
			i++
		}
		c.metalAt[n] = i
	}
}

func (e *element) diode() bool { return e.Type == model.ElemDiode && !e.shorted }

// follow says how diodes are passed.
type follow uint8

const (
	metalOnly follow = iota
	forward          // from anode to cathode
	backward         // from cathode to anode
)

func (f follow) passes(e *element, from model.NodeID) bool {
	switch {
	case !e.diode():
		return true
	case f == forward:
		return from == e.A
	case f == backward:
		return from == e.B
	}
	return false
}

// spread marks all nodes that are reached from some, and by which element; via may
// be nil. Elements are asked for with conducts. What goes forward, from feeds, does
// not enter ground: behind a short to ground nothing else is live.
func (c *Circuit) spread(reached []bool, via []model.ElementID, start []model.NodeID, f follow, conducts func(model.ElementID) bool) {
	var queue []model.NodeID
	barred := model.NodeID(model.None)
	if f == forward {
		barred = c.design.Ground
	}
	for _, n := range start {
		if !reached[n] && n != barred {
			reached[n] = true
			queue = append(queue, n)
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		for _, l := range c.metal[c.metalAt[n]:c.metalAt[n+1]] {
			if !reached[l.to] && l.to != barred && f.passes(&c.elems[l.element], n) && conducts(l.element) {
				reached[l.to] = true
				if via != nil {
					via[l.to] = l.element
				}
				queue = append(queue, l.to)
			}
		}
	}
}

// path reads the way from a start of a spread to a node, as elements in order.
func (c *Circuit) path(via []model.ElementID, to model.NodeID) []model.ElementID {
	var out []model.ElementID
	for n := to; via[n] != model.None; {
		e := &c.elems[via[n]]
		out = append(out, via[n])
		n = e.A + e.B - n
	}
	slices.Reverse(out)
	return out
}

func (c *Circuit) noVia() []model.ElementID {
	via := make([]model.ElementID, len(c.design.Nodes))
	for i := range via {
		via[i] = model.None
	}
	return via
}

// pluses lists the plus terminals of the supplies that a predicate accepts.
func (c *Circuit) pluses(present func(model.ElementID) bool) []model.NodeID {
	var out []model.NodeID
	for i := range c.elems {
		e := &c.elems[i]
		if e.Type == model.ElemSupply && !e.shorted && c.switchOf[i] != never && present(model.ElementID(i)) {
			out = append(out, e.B)
		}
	}
	return out
}

func (c *Circuit) grounds() []model.NodeID {
	if c.design.Ground == model.None {
		return nil
	}
	return []model.NodeID{c.design.Ground}
}

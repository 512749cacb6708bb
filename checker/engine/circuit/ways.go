package circuit

import (
	"slices"

	"pintle/lang/model"
)

// What follows asks what wiring allows, whatever the switches do: elements count as
// soon as they can conduct in some state.

// GroundWay returns the shortest way by which a current could run from a node to
// ground, over anything but supplies and the given elements; diodes are passed from
// anode to cathode. ok is false where there is none, in any state.
func (c *Circuit) GroundWay(n model.NodeID, but ...model.ElementID) (way []model.ElementID, ok bool) {
	return c.anyWay(n, c.grounds(), true, but)
}

// FeedWay returns the shortest way by which a current could run from the plus of a
// supply to a node, as seen from the node.
func (c *Circuit) FeedWay(n model.NodeID, but ...model.ElementID) (way []model.ElementID, ok bool) {
	return c.anyWay(n, c.pluses(func(model.ElementID) bool { return true }), false, but)
}

// NoReference tells that nothing ever joins a node to ground or to a supply: what it
// is asked about live, grounded or volts against ground has no meaning.
func (c *Circuit) NoReference(n model.NodeID) bool {
	ends := c.grounds()
	for i := range c.elems {
		if e := &c.elems[i]; e.Type == model.ElemSupply && !e.shorted {
			ends = append(ends, e.A, e.B)
		}
	}
	island, ok := c.IslandOf(n)
	for _, end := range ends {
		if end == n {
			return false
		}
		if i, in := c.IslandOf(end); ok && in && i == island {
			return false
		}
	}
	return !ok || c.islands[island].ground < 0
}

// anyWay searches from a node, along currents or against them, for one of some nodes.
func (c *Circuit) anyWay(from model.NodeID, to []model.NodeID, along bool, but []model.ElementID) ([]model.ElementID, bool) {
	via := c.noVia()
	seen := make([]bool, len(c.design.Nodes))
	seen[from] = true
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if slices.Contains(to, n) {
			return c.path(via, n), true
		}
		if n == c.design.Ground {
			continue
		}
		island, ok := c.IslandOf(n)
		if !ok {
			continue
		}
		for _, id := range c.islands[island].Elements {
			e := &c.elems[id]
			if e.A != n && e.B != n || slices.Contains(but, id) || e.Type == model.ElemSupply && !e.shorted {
				continue
			}
			if e.diode() && (n == e.A) != along {
				continue
			}
			if next := e.A + e.B - n; !seen[next] {
				seen[next], via[next] = true, id
				queue = append(queue, next)
			}
		}
	}
	return nil, false
}

// Beyond returns what only this fuse protects: the metal that its far end leads to in
// some state, up to further fuses, loads and ground, in the order in which it is
// reached. The far end is the one that no supply reaches without the fuse; where
// supplies reach both, as with a battery and an alternator, it is both ends.
func (c *Circuit) Beyond(fuse model.ElementID) []model.ElementID {
	return c.fused(c.FarEnds(fuse), fuse)
}

// FarEnds returns the far end of a fuse as Beyond understands it, or both.
func (c *Circuit) FarEnds(fuse model.ElementID) []model.NodeID {
	e := &c.elems[fuse]
	fed := make([]bool, len(c.design.Nodes))
	c.spread(fed, nil, c.pluses(func(model.ElementID) bool { return true }), forward,
		func(id model.ElementID) bool { return id != fuse })
	far := []model.NodeID{e.A, e.B}
	switch {
	case fed[e.A] && !fed[e.B]:
		far = far[1:]
	case fed[e.B] && !fed[e.A]:
		far = far[:1]
	}
	return far
}

// Unfused returns the metal that some supply feeds without any fuse between, in the
// order in which it is reached.
func (c *Circuit) Unfused() []model.ElementID {
	return c.fused(c.pluses(func(model.ElementID) bool { return true }), model.None)
}

// fused follows metal that can conduct from some nodes up to fuses and ground. One
// fuse more may be given, which need not be of that type any longer.
func (c *Circuit) fused(start []model.NodeID, fuse model.ElementID) (elements []model.ElementID) {
	reached := make([]bool, len(c.design.Nodes))
	var queue []model.NodeID
	enter := func(n model.NodeID) {
		if n != c.design.Ground && !reached[n] {
			reached[n] = true
			queue = append(queue, n)
		}
	}
	for _, n := range start {
		enter(n)
	}
	taken := map[model.ElementID]bool{}
	for ; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		for _, l := range c.metal[c.metalAt[n]:c.metalAt[n+1]] {
			e := &c.elems[l.element]
			if l.element == fuse || e.Type == model.ElemFuse && !e.shorted || !forward.passes(e, n) {
				continue
			}
			if !taken[l.element] {
				taken[l.element] = true
				elements = append(elements, l.element)
			}
			enter(l.to)
		}
	}
	return elements
}

package rootcause

import (
	"strconv"

	"pintle/lang/model"
)

// consumer reports whether an element takes volts: a way to a supply or to ground does not
// lead through it, unless there is no other.
func consumer(e *model.Element) bool {
	switch e.Type {
	case model.ElemLoad, model.ElemCoil, model.ElemResistor, model.ElemPull, model.ElemDraw:
		return true
	}
	return false
}

// node adds what lies on the ways from a node to ground and to supplies, but through one
// element: wires, contacts, fuses, drivers. Where no way leads anywhere, it adds all that
// hangs together with the node, and a name for that piece.
func (s *slice) node(n model.NodeID, but model.ElementID) {
	if n < 0 || s.near || !s.once("node", int(n)) {
		return
	}
	through, nodes, found := s.g.walk(n, but, false)
	if !found {
		s.has[pieceOf(nodes)] = true
		if t, more, ok := s.g.walk(n, but, true); ok {
			through, nodes, found = t, more, ok
		}
	}
	d := s.g.d
	if found {
		through = s.g.pruned(n, through)
	}
	for _, id := range through {
		e := &d.Elements[id]
		s.add(e.Path)
		if !s.once("through", int(id)) {
			continue
		}
		switch e.Type {
		case model.ElemContact:
			s.add(d.Contacts[e.Of].Path)
		case model.ElemChart:
			s.add(d.Charts[e.Of].Path)
		case model.ElemDriver:
			s.controller(d.Drivers[e.Of].Controller)
		case model.ElemSupply:
			continue
		}
		s.cond(e.Closed)
	}
	for _, m := range nodes {
		if !s.g.ends[m] {
			continue
		}
		for _, id := range s.g.at[m] {
			if e := &d.Elements[id]; e.Type == model.ElemSupply {
				s.add(e.Path)
				s.cond(e.Closed)
			}
		}
	}
}

// walk gives the elements that hang together with a node without passing the end of a
// supply or ground, the nodes that they join, and whether one of these is such an end.
func (g *graph) walk(n model.NodeID, but model.ElementID, consumers bool) (through []model.ElementID, nodes []model.NodeID, found bool) {
	seen := map[model.NodeID]bool{n: true}
	taken := map[model.ElementID]bool{}
	nodes = []model.NodeID{n}
	found = g.ends[n]
	for i := 0; i < len(nodes); i++ {
		g.work++
		if g.ends[nodes[i]] {
			found = true
			continue
		}
		for _, id := range g.at[nodes[i]] {
			e := &g.d.Elements[id]
			if id == but || taken[id] || e.Type == model.ElemSupply || !consumers && consumer(e) {
				continue
			}
			taken[id] = true
			through = append(through, id)
			if other := e.A + e.B - nodes[i]; !seen[other] {
				seen[other] = true
				nodes = append(nodes, other)
			}
		}
	}
	return through, nodes, found
}

// pruned leaves out what ends in nothing: the branches of others.
func (g *graph) pruned(n model.NodeID, through []model.ElementID) []model.ElementID {
	in := map[model.ElementID]bool{}
	count := map[model.NodeID]int{}
	for _, id := range through {
		in[id] = true
		count[g.d.Elements[id].A]++
		count[g.d.Elements[id].B]++
	}
	loose := func(m model.NodeID) bool { return m != n && !g.ends[m] && count[m] == 1 }
	list := through
	for len(list) > 0 {
		var again []model.ElementID
		for _, id := range list {
			e := &g.d.Elements[id]
			if !in[id] || !loose(e.A) && !loose(e.B) {
				continue
			}
			in[id] = false
			count[e.A]--
			count[e.B]--
			again = append(again, g.at[e.A]...)
			again = append(again, g.at[e.B]...)
			g.work += len(g.at[e.A]) + len(g.at[e.B])
		}
		list = again
	}
	var out []model.ElementID
	for _, id := range through {
		if in[id] {
			out = append(out, id)
		}
	}
	return out
}

// piece begins the names of pieces of metal that lead nowhere.
const piece = "\x00piece"

// pieceOf names a piece by its first node.
func pieceOf(nodes []model.NodeID) string {
	first := nodes[0]
	for _, n := range nodes {
		first = min(first, n)
	}
	return piece + strconv.Itoa(int(first))
}

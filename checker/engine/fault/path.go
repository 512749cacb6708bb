package fault

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// run is how a current can run through an element: between its two ends, or from a to b only.
type run struct {
	a, b   model.NodeID
	oneWay bool
}

func (s *shorts) run(id model.ElementID) run { return s.runOf[id] }

// paths adds the metal that lies on a current path from the plus of a supply to its minus by
// way of a join, as far as an assumption leaves that open; of a design with shorts of its own
// also that of any other such path. It reports whether there is one.
func (s *shorts) paths(a circuit.Assumed, supply *model.Supply, in map[model.ElementID]bool) bool {
	if supply.Broken || supply.Plus < 0 || supply.Minus < 0 || supply.Plus == supply.Minus || s.stands(a, supply.Element) == circuit.No {
		return false
	}
	found := false
	add := func(sets ...map[model.ElementID]bool) {
		found = true
		for _, set := range sets {
			for id := range set {
				in[id] = true
			}
		}
	}
	for _, j := range s.joins {
		if s.stands(a, j.faulty) == circuit.No {
			continue
		}
		e := s.c.Element(j.faulty)
		for _, ends := range [...][2]model.NodeID{{e.A, e.B}, {e.B, e.A}} {
			feed, ok := s.between(a, supply.Plus, ends[0], supply.Minus, j.faulty)
			if !ok {
				continue
			}
			if earth, ok := s.between(a, ends[1], supply.Minus, supply.Plus, j.faulty); ok {
				add(feed, earth, map[model.ElementID]bool{j.faulty: true})
			}
		}
	}
	if s.own {
		if all, ok := s.between(a, supply.Plus, supply.Minus, model.None, model.None); ok {
			add(all)
		}
	}
	return found
}

// between is the metal on the current paths from one node to another that pass neither a third
// one nor an element, as far as an assumption leaves them open; false where there is none.
//
// A current runs through a diode one way only, so a path stays among the nodes that can be
// reached from the one and from which the other can be. Of the elements between these one is
// on a path if it is in one block, in the sense of a graph's parts that no single node cuts,
// with a line drawn between the two; that takes in some more where diodes lie in a block.
func (s *shorts) between(a circuit.Assumed, from, to, not model.NodeID, but model.ElementID) (map[model.ElementID]bool, bool) {
	if from == not || to == not {
		return nil, false
	}
	if from == to {
		return nil, true
	}
	open := func(id model.ElementID) bool { return id != but && s.stands(a, id) != circuit.No }
	ahead := s.reach(from, not, false, open)
	if !ahead[to] {
		return nil, false
	}
	back := s.reach(to, not, true, open)
	const line = model.ElementID(-1)
	number, low := make([]int, len(s.d.Nodes)), make([]int, len(s.d.Nodes))
	count := 0
	var stack []model.ElementID
	out := map[model.ElementID]bool{}
	var visit func(n model.NodeID, by model.ElementID)
	edge := func(n, next model.NodeID, id, by model.ElementID) {
		switch {
		case id == by:
		case number[next] == 0:
			at := len(stack)
			stack = append(stack, id)
			visit(next, id)
			low[n] = min(low[n], low[next])
			if low[next] >= number[n] { // a block ends here
				block := stack[at:]
				if slices.Contains(block, line) {
					for _, e := range block {
						out[e] = true
					}
				}
				stack = stack[:at]
			}
		case number[next] < number[n]:
			stack = append(stack, id)
			low[n] = min(low[n], number[next])
		}
	}
	visit = func(n model.NodeID, by model.ElementID) {
		count++
		number[n], low[n] = count, count
		if n == from {
			edge(n, to, line, by)
		} else if n == to {
			edge(n, from, line, by)
		}
		for _, id := range s.at[n] {
			if !open(id) {
				continue
			}
			e := s.run(id)
			next := e.a + e.b - n
			if !ahead[next] || !back[next] || e.oneWay && !(ahead[e.a] && back[e.b]) {
				continue
			}
			edge(n, next, id, by)
		}
	}
	visit(from, -2)
	delete(out, line)
	return out, len(out) > 0
}

// reach marks the nodes to which a current can run from one, or if back is set from which one
// can run to it, without passing another.
func (s *shorts) reach(from, not model.NodeID, back bool, open func(model.ElementID) bool) []bool {
	seen := make([]bool, len(s.d.Nodes))
	seen[from] = true
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		for _, id := range s.at[n] {
			e := s.run(id)
			next := e.a + e.b - n
			if next == not || seen[next] || e.oneWay && (n == e.a) == back || !open(id) {
				continue
			}
			seen[next] = true
			queue = append(queue, next)
		}
	}
	return seen
}

// shorted reports whether metal that is known to conduct joins the plus of a supply to its
// minus.
func (s *shorts) shorted(a circuit.Assumed) bool {
	for i := range s.d.Supplies {
		y := &s.d.Supplies[i]
		if !y.Broken && y.Plus >= 0 && y.Minus >= 0 && y.Plus != y.Minus && s.stands(a, y.Element) == circuit.Yes &&
			s.runs(a, y.Plus, y.Minus, model.None, model.None) {
			return true
		}
	}
	return false
}

// closes reports whether a join closes a path from a plus to its minus through metal that
// is known to conduct.
func (s *shorts) closes(a circuit.Assumed, x model.ElementID) bool {
	e := s.c.Element(x)
	for i := range s.d.Supplies {
		y := &s.d.Supplies[i]
		if y.Broken || y.Plus < 0 || y.Minus < 0 || y.Plus == y.Minus || s.stands(a, y.Element) != circuit.Yes {
			continue
		}
		if s.runs(a, y.Plus, e.A, y.Minus, x) && s.runs(a, e.B, y.Minus, y.Plus, x) ||
			!oneWay(&e) && s.runs(a, y.Plus, e.B, y.Minus, x) && s.runs(a, e.A, y.Minus, y.Plus, x) {
			return true
		}
	}
	return false
}

// bare reports whether a join closes a path from a plus to its minus in which there is no
// fuse, through metal that is known to conduct.
func (s *shorts) bare(a circuit.Assumed, x model.ElementID) bool {
	fused := s.at
	defer func() { s.at = fused }()
	s.at = make([][]model.ElementID, len(fused))
	for n, ids := range fused {
		for _, id := range ids {
			if e := s.c.Element(id); e.Type != model.ElemFuse {
				s.at[n] = append(s.at[n], id)
			}
		}
	}
	return s.closes(a, x)
}

// oneWay reports whether a current can run through an element from A to B only.
func oneWay(e *model.Element) bool { return e.Type == model.ElemDiode && !e.Metal }

// runs reports whether a current can run through closed metal and diodes from one node to
// another, without passing a third one or an element.
func (s *shorts) runs(a circuit.Assumed, from, to, not model.NodeID, but model.ElementID) bool {
	if from == not || to == not {
		return from == to && from != not
	}
	seen := map[model.NodeID]bool{from: true, not: true}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == to {
			return true
		}
		for _, id := range s.at[n] {
			e := s.run(id)
			next := e.b
			if next == n {
				next = e.a
				if e.oneWay {
					continue
				}
			}
			if id != but && !seen[next] && s.stands(a, id) == circuit.Yes {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	return false
}

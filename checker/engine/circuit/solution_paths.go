package circuit

import (
	"math"
	"slices"

	"pintle/lang/model"
)

func (s *Solution) spreadMetal() {
	s.metalOnce.Do(func() {
		s.live = make([]bool, len(s.c.design.Nodes))
		s.grounded = make([]bool, len(s.c.design.Nodes))
		s.c.spread(s.live, nil, s.c.pluses(s.Conducts), forward, s.Conducts)
		s.c.spread(s.grounded, nil, s.c.grounds(), backward, s.Conducts)
	})
}

// Live reports whether a node is joined to the plus of a supply that is present.
func (s *Solution) Live(n model.NodeID) bool { s.spreadMetal(); return s.live[n] }

// Grounded reports whether a node is joined to ground.
func (s *Solution) Grounded(n model.NodeID) bool { s.spreadMetal(); return s.grounded[n] }

// Floating reports whether a node is neither live nor grounded.
func (s *Solution) Floating(n model.NodeID) bool { return !s.Live(n) && !s.Grounded(n) }

// Joined reports whether two nodes are joined by metal.
func (s *Solution) Joined(a, b model.NodeID) bool {
	_, ok := s.MetalPath(a, b)
	return ok
}

// MetalPath returns the shortest way through metal from a to b, leaving some elements
// out, as elements in order: nothing for a node to itself. ok is false where there is
// none.
func (s *Solution) MetalPath(a, b model.NodeID, but ...model.ElementID) (path []model.ElementID, ok bool) {
	reached, via := make([]bool, len(s.c.design.Nodes)), s.c.noVia()
	s.c.spread(reached, via, []model.NodeID{a}, metalOnly, func(e model.ElementID) bool {
		return s.Conducts(e) && !slices.Contains(but, e)
	})
	if !reached[b] {
		return nil, false
	}
	return s.c.path(via, b), true
}

// LivePath returns the metal (and diodes) from a plus terminal to a live node.
func (s *Solution) LivePath(n model.NodeID) (path []model.ElementID, ok bool) {
	return s.spreadTo(n, s.c.pluses(s.Conducts), forward)
}

// GroundPath returns the metal (and diodes) from ground to a grounded node.
func (s *Solution) GroundPath(n model.NodeID) (path []model.ElementID, ok bool) {
	return s.spreadTo(n, s.c.grounds(), backward)
}

func (s *Solution) spreadTo(n model.NodeID, start []model.NodeID, f follow) ([]model.ElementID, bool) {
	reached, via := make([]bool, len(s.c.design.Nodes)), s.c.noVia()
	s.c.spread(reached, via, start, f, s.Conducts)
	if !reached[n] {
		return nil, false
	}
	return s.c.path(via, n), true
}

// Step is an element on the way of a current, with the direction.
type Step struct {
	Element model.ElementID
	Reverse bool // it runs from B to A
	Amps    float64
}

// PathThrough returns the main current path through an element: from the plus
// of a supply (or other source) through the element back to its minus; the source
// stands first. It is false where the element carries no current.
func (s *Solution) PathThrough(e model.ElementID) (path []Step, ok bool) {
	i, b, ok := s.c.branchOf(e)
	if !ok {
		return nil, false
	}
	route, err := s.parts[i].Path(b)
	if err != nil {
		return nil, false
	}
	for _, b := range append([]int{route.Source}, route.Branches...) {
		amps := s.parts[i].Current(b)
		path = append(path, Step{s.c.islands[i].Elements[b], amps < 0, math.Abs(amps)})
	}
	return path, true
}

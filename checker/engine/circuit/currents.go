package circuit

import (
	"math"

	"pintle/lang/model"
)

// Short is a supply whose plus leads to its minus with no load between.
type Short struct {
	Supply model.ElementID
	Way    []model.ElementID // from plus to minus
	Amps   float64           // through the supply
}

// Shorts returns the supplies, of those that are present, that metal and diodes join
// from plus to minus.
func (s *Solution) Shorts() []Short {
	var out []Short
	for i := range s.c.elems {
		id, e := model.ElementID(i), &s.c.elems[i]
		if e.Type != model.ElemSupply || e.shorted || !s.Conducts(id) {
			continue
		}
		if way, ok := s.through(e.B, e.A); ok {
			out = append(out, Short{id, way, s.Amps(id)})
		}
	}
	return out
}

// ShortedBy reports whether metal and diodes join the plus of a supply that is present to
// its minus through one of some elements.
func (s *Solution) ShortedBy(via []model.ElementID) bool {
	for i := range s.c.elems {
		id, supply := model.ElementID(i), &s.c.elems[i]
		if supply.Type != model.ElemSupply || supply.shorted || !s.Conducts(id) {
			continue
		}
		for _, x := range via {
			e := &s.c.elems[x]
			if !e.Metal && e.Type != model.ElemDiode || !s.Conducts(x) {
				continue
			}
			if s.leads(supply.B, e.A, supply.A) && s.leads(e.B, supply.A, supply.B) ||
				!e.diode() && s.leads(supply.B, e.B, supply.A) && s.leads(e.A, supply.A, supply.B) {
				return true
			}
		}
	}
	return false
}

// leads reports whether metal, and diodes forward, lead from one node to another without
// passing a third.
func (s *Solution) leads(from, to, not model.NodeID) bool {
	if from == not || to == not {
		return from == to && from != not
	}
	seen := map[model.NodeID]bool{from: true, not: true}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == to {
			return true
		}
		for _, l := range s.c.metal[s.c.metalAt[n]:s.c.metalAt[n+1]] {
			if !seen[l.to] && s.Conducts(l.element) && forward.passes(&s.c.elems[l.element], n) {
				seen[l.to] = true
				queue = append(queue, l.to)
			}
		}
	}
	return false
}

// through is the way from one node to another through metal, and through diodes
// forward, ground included.
func (s *Solution) through(from, to model.NodeID) ([]model.ElementID, bool) {
	via := s.c.noVia()
	seen := make([]bool, len(s.c.design.Nodes))
	seen[from] = true
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if n == to {
			return s.c.path(via, to), true
		}
		for _, l := range s.c.metal[s.c.metalAt[n]:s.c.metalAt[n+1]] {
			if !seen[l.to] && s.Conducts(l.element) && forward.passes(&s.c.elems[l.element], n) {
				seen[l.to], via[l.to] = true, l.element
				queue = append(queue, l.to)
			}
		}
	}
	return nil, false
}

// Charged returns the supplies that current runs into, in the order of elements.
func (s *Solution) Charged() []model.ElementID {
	var out []model.ElementID
	for i := range s.c.elems {
		id, e := model.ElementID(i), &s.c.elems[i]
		if e.Type == model.ElemSupply && !e.shorted && s.Carries(id) && s.Amps(id) < 0 {
			out = append(out, id)
		}
	}
	return out
}

// Drop is what the wiring takes from a load, along the main way of its current.
type Drop struct {
	Source model.ElementID // the supply that the current comes from
	// Feed and Ground are the volts lost in metal and diodes before and after the
	// load, as the current runs.
	Feed, Ground float64
	// FeedWay and GroundWay are these elements with their currents, without the
	// source and the load.
	FeedWay, GroundWay []Step
	// Series lists what else the current runs through: the load has not all of the
	// supply's volts to itself.
	Series []model.ElementID
}

// DropOf returns the drop of a load, false where it carries no current.
func (s *Solution) DropOf(load model.ElementID) (Drop, bool) {
	if !s.Carries(load) {
		return Drop{}, false
	}
	path, ok := s.PathThrough(load)
	if !ok || len(path) == 0 || path[0].Element == load {
		return Drop{}, false
	}
	d := Drop{Source: path[0].Element}
	behind := false
	for _, step := range path[1:] {
		e := &s.c.elems[step.Element]
		if step.Element == load {
			behind = true
			continue
		}
		way, lost := &d.FeedWay, &d.Feed
		if behind {
			way, lost = &d.GroundWay, &d.Ground
		}
		*way = append(*way, step)
		if e.Metal || e.diode() {
			v, _ := s.Between(e.A, e.B)
			*lost += math.Abs(v)
		} else {
			d.Series = append(d.Series, step.Element)
		}
	}
	return d, true
}

// OnlyThrough reports whether all the current of one element runs through another one too:
// whether each loop of current through the first that carries at least so many ampere leads
// over the second.
func (s *Solution) OnlyThrough(id, over model.ElementID, least float64) bool {
	if id == over {
		return true
	}
	island, _, ok := s.c.branchOf(id)
	if !ok || !s.Carries(id) {
		return false
	}
	from, to := s.along(id)
	seen := map[model.NodeID]bool{to: true}
	for queue := []model.NodeID{to}; len(queue) > 0; queue = queue[1:] {
		if queue[0] == from {
			return false
		}
		for _, e := range s.c.islands[island].Elements {
			if e == id || e == over || math.Abs(s.Amps(e)) < least || !s.Carries(e) {
				continue
			}
			if tail, head := s.along(e); tail == queue[0] && !seen[head] {
				seen[head] = true
				queue = append(queue, head)
			}
		}
	}
	return true
}

// along are the nodes of an element in the direction of its current.
func (s *Solution) along(id model.ElementID) (from, to model.NodeID) {
	e := &s.c.elems[id]
	if s.Amps(id) < 0 {
		return e.B, e.A
	}
	return e.A, e.B
}

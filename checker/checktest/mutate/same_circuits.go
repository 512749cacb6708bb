package mutate

import (
	"context"
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// solve solves every island in every position of its contacts that can be reached.
func (s *side) solve(ctx context.Context) ([][]way, error) {
	c := s.s.Circuit()
	out := make([][]way, len(c.Islands()))
	for i := range c.Islands() {
		list, all, err := s.s.ReachableContacts(ctx, circuit.IslandID(i), mostWays)
		if err == nil && !all {
			err = fmt.Errorf("too many")
		}
		if err != nil {
			return nil, err
		}
		for _, l := range list {
			x, err := c.Solve(ctx, func(w circuit.Switch) bool { return slices.Contains(l.Closed, w) }, circuit.Corner{})
			if err != nil {
				return nil, err
			}
			out[i] = append(out[i], way{l.When, x})
		}
	}
	return out, nil
}

// solutions compares the solved networks.
func (p *pair) solutions() Likeness {
	out := Equal
	alone := func(s *side, e model.ElementID) (circuit.IslandID, bool) {
		i, ok := s.s.Circuit().IslandOf(s.d.Elements[e].A)
		if !ok || s.d.Elements[e].A == s.d.Ground {
			i, ok = s.s.Circuit().IslandOf(s.d.Elements[e].B)
		}
		return i, ok
	}
	type meet struct{ a, b circuit.IslandID }
	shared := map[meet][][2]model.ElementID{}
	var order []meet
	for i := range p.a.d.Elements {
		j, there := p.b.amps[p.a.paths[i]]
		if !there {
			continue
		}
		x, okX := alone(p.a, model.ElementID(i))
		y, okY := alone(p.b, j)
		switch {
		case !okX && !okY:
		case okX != okY:
			side, id, island := p.a, model.ElementID(i), x
			if okY {
				side, id, island = p.b, j, y
			}
			for _, w := range side.ways[island] {
				if math.Abs(w.solution.Amps(id)) > 1e-6 {
					return Different
				}
			}
		default:
			m := meet{x, y}
			if shared[m] == nil {
				order = append(order, m)
			}
			shared[m] = append(shared[m], [2]model.ElementID{model.ElementID(i), j})
		}
	}
	for _, m := range order {
		for _, w := range p.a.ways[m.a] {
			if !p.f.Knows(w.when) {
				return Different
			}
			here := p.f.And(p.all, p.f.Of(w.when))
			for _, x := range p.b.ways[m.b] {
				over := p.over(x.when)
				if p.bad || !p.f.Knows(over) {
					return Different
				}
				if p.f.And(here, p.f.Of(over)) != logic.Never {
					out = min(out, p.solved(w.solution, x.solution, shared[m]))
				}
			}
			if out == Different {
				return out
			}
		}
	}
	return out
}

// solved compares two solutions of the same state on what both have.
func (p *pair) solved(x, y *circuit.Solution, elements [][2]model.ElementID) Likeness {
	out := Equal
	for _, e := range elements {
		i, j := math.Abs(x.Amps(e[0])), math.Abs(y.Amps(e[1]))
		if k := p.a.d.Elements[e[0]].Type; (i > 1e-6) != (j > 1e-6) {
			if k == model.ElemLoad || k == model.ElemCoil {
				return Different
			}
			out = Numbers // another wire of several does
		}
		if math.Abs(i-j) > 1e-6*max(i, j, 1e-3) {
			out = Numbers
		}
		a, b := p.a.d.Elements[e[0]], p.b.d.Elements[e[1]]
		u, okU := x.Between(a.A, a.B)
		v, okV := y.Between(b.A, b.B)
		if okU && okV && p.a.d.Elements[e[0]].Type == model.ElemLoad && !sameLevels(&p.a.d.Loads[p.a.d.Elements[e[0]].Of], u, v) {
			return Different
		}
		if okU && okV && math.Abs(math.Abs(u)-math.Abs(v)) > 1e-6*max(1, math.Abs(u)) {
			out = Numbers
		}
	}
	return out
}

// sameLevels reports whether a load reaches the same of its levels at two voltages.
func sameLevels(l *model.Load, u, v float64) bool {
	for _, level := range l.Levels {
		at := level.Percent / 100 * l.Rated
		if (math.Abs(u) >= at) != (math.Abs(v) >= at) {
			return false
		}
	}
	return true
}

package ide

import (
	"context"
	"math"
	"slices"

	"pintle/checker/circuit"
	"pintle/checker/logic"
	"pintle/checker/rule"
	"pintle/checker/system"
	"pintle/lang/model"
)

// climbs bounds how often busiest looks for a state with a higher current still, climb is
// the least by which it has to be higher.
const (
	climbs = 8
	climb  = 1.001
)

// busy is the reachable state in which most current runs through an element, everything
// at its nominal value.
type busy struct {
	*circuit.Solution
	amps float64 // from A to B
}

// busiest looks for that state: it asks the states of the design for one in which the
// circuit answers that the current is higher than the best so far, until there is none.
// It is nil where no current ever runs, or where something that decides could not be read.
func busiest(ctx context.Context, p *rule.Pass, e model.ElementID) (*busy, error) {
	c, s := p.Circuit(), p.System()
	stand := map[circuit.Switch]*logic.Expr{}
	var order []circuit.Switch
	var vars []logic.Var
	infos, islands := c.Switches(), c.Islands()
	el := &p.Design.Elements[e]
	for _, n := range [...]model.NodeID{el.A, el.B} {
		i, ok := c.IslandOf(n)
		if !ok {
			continue
		}
		for _, w := range islands[i].Switches {
			if stand[w] != nil {
				continue
			}
			x, err := s.Expr(ctx, infos[w].Cond)
			if err != nil {
				return nil, err
			}
			stand[w], order, vars = x, append(order, w), append(vars, x.Vars()...)
		}
	}
	first, err := carries(e, 0).Of(ctx, s)
	if err != nil {
		return nil, err
	}
	vars = append(vars, first.Vars()...)
	slices.Sort(vars)
	vars = slices.Compact(vars)
	unread := func(x logic.Var) bool { return s.Role(x).Kind == system.RoleUnknown }
	if slices.ContainsFunc(vars, unread) || slices.ContainsFunc(s.Engine().Slice(vars...), unread) {
		return nil, nil
	}
	f, set, err := s.Engine().Reachable(ctx, vars...)
	if err != nil {
		return nil, err
	}
	var best *busy
	level := 0.0
	for range climbs {
		want, err := carries(e, level).Of(ctx, s)
		if err != nil {
			return nil, err
		}
		if !f.Knows(want) {
			return best, nil
		}
		point, ok := f.Least(f.And(set, f.Of(want)))
		if f.Err() != nil || !ok {
			return best, f.Err()
		}
		closed := map[circuit.Switch]bool{}
		for _, w := range order {
			closed[w] = stand[w].Eval(point)
		}
		sol, err := c.Solve(ctx, func(w circuit.Switch) bool { return closed[w] }, s.Corner())
		if err != nil {
			return nil, err
		}
		if best != nil && math.Abs(sol.Amps(e)) <= math.Abs(best.amps) {
			return best, nil
		}
		best = &busy{Solution: sol, amps: sol.Amps(e)}
		level = math.Abs(best.amps) * climb
	}
	return best, nil
}

// carries is where more than so many ampere run through an element.
func carries(e model.ElementID, amps float64) system.Condition {
	return asks(model.Atom{
		Kind: model.AtomMeasure, Cmp: model.Above, Level: model.Exactly(amps),
		Measure: model.Measure{Kind: model.Amps, A: model.None, B: model.None, Element: e, Load: model.None},
	})
}

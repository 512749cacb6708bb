package system

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// Conducts is where a current could run between two nodes: they are joined through any
// elements that conduct, loads and resistors and supplies included, whichever way a diode
// looks. Where it never holds, the two are galvanically apart.
func (s *System) Conducts(x, y model.NodeID) Condition {
	return Condition{func(ctx context.Context, s *System) (meaning, error) { return s.conducts(ctx, x, y) }}
}

// conducts takes the least fixed point of "joined to x" over the elements, in a manager
// over the variables that their conditions speak of.
func (s *System) conducts(ctx context.Context, x, y model.NodeID) (meaning, error) {
	n := len(s.d.Nodes)
	if x < 0 || y < 0 || int(x) >= n || int(y) >= n || s.electric.unread.Lost() || s.d.Nodes[x].Broken || s.d.Nodes[y].Broken {
		return s.doubt(""), nil
	}
	if x == y {
		return meaning{expr: s.space.True()}, nil
	}
	type join struct {
		a, b model.NodeID
		when meaning
		ref  logic.Ref
	}
	var joins []join
	var ms []meaning
	var vars []logic.Var
	switches := s.circuit.Switches()
	for i := range s.circuit.Elements() {
		id := model.ElementID(i)
		e := s.circuit.Element(id)
		w, switched, conducts := s.circuit.SwitchOf(id)
		when := meaning{expr: s.space.True()}
		switch {
		case e.Broken:
			when = s.doubt("")
		case switched:
			var err error
			if when, err = s.level(ctx, switches[w].Cond); err != nil {
				return meaning{}, err
			}
		case !conducts:
			continue
		}
		joins = append(joins, join{a: e.A, b: e.B, when: when})
	}
	// Only what some way from x to y could run through has a say.
	reach := func(from model.NodeID) []bool {
		seen := make([]bool, n)
		seen[from] = true
		for changed := true; changed; {
			changed = false
			for _, j := range joins {
				if seen[j.a] != seen[j.b] {
					seen[j.a], seen[j.b], changed = true, true, true
				}
			}
		}
		return seen
	}
	near := reach(x)
	if !near[y] {
		return meaning{expr: s.space.False()}, nil
	}
	joins = slices.DeleteFunc(joins, func(j join) bool { return !near[j.a] })
	for _, j := range joins {
		vars = append(vars, j.when.expr.Vars()...)
		ms = append(ms, j.when)
	}
	slices.Sort(vars)
	f, err := logic.NewManager(s.space, logic.ManagerOptions{Order: append([]logic.Var{}, slices.Compact(vars)...), MaxNodes: s.opts.MaxNodes})
	if err != nil {
		return meaning{}, err
	}
	f.Watch(ctx)
	for i := range joins {
		joins[i].ref = f.Of(joins[i].when.expr)
	}
	joined := make([]logic.Ref, n)
	joined[x] = logic.Always
	for changed := true; changed && f.Err() == nil; {
		changed = false
		for _, j := range joins {
			both := f.And(f.Or(joined[j.a], joined[j.b]), j.ref)
			for _, end := range [...]model.NodeID{j.a, j.b} {
				if more := f.Or(joined[end], both); more != joined[end] {
					joined[end], changed = more, true
				}
			}
		}
	}
	if ctx.Err() != nil {
		return meaning{}, ctx.Err()
	}
	e := shannon(f, joined[y])
	if f.Err() != nil {
		return s.doubt("there are too many current paths to distinguish"), nil
	}
	return meaning{expr: e, asks: merge(ms...)}, nil
}

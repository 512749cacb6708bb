package reach

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
)

// Assumptions lists the assumptions that the System names, each once, in the
// order in which they first occur.
func (e *Engine) Assumptions() []string {
	var out []string
	add := func(id string) {
		if id != "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	for _, in := range e.sys.Inputs {
		for _, m := range in.Moves {
			for _, g := range m.Guards {
				add(g.Assumption)
			}
		}
	}
	for _, inv := range e.sys.Invariants {
		add(inv.Assumption)
	}
	return out
}

// AssumptionsOn lists the assumptions that guard a move of, or are an invariant over, one of
// some variables.
func (e *Engine) AssumptionsOn(vars []logic.Var) []string {
	var out []string
	add := func(id string) {
		if id != "" && !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	for _, in := range e.sys.Inputs {
		if !slices.Contains(vars, in.Var) {
			continue
		}
		for _, m := range in.Moves {
			for _, g := range m.Guards {
				add(g.Assumption)
			}
		}
	}
	for _, inv := range e.sys.Invariants {
		if inv.Holds != nil && slices.ContainsFunc(inv.Holds.Vars(), func(v logic.Var) bool { return slices.Contains(vars, v) }) {
			add(inv.Assumption)
		}
	}
	return out
}

// Without is an Engine for the same System without the named assumptions.
func (e *Engine) Without(ids ...string) *Engine {
	sys := *e.sys
	gone := func(id string) bool { return id != "" && slices.Contains(ids, id) }
	sys.Inputs = slices.Clone(sys.Inputs)
	for i := range sys.Inputs {
		moves := slices.Clone(sys.Inputs[i].Moves)
		for j := range moves {
			moves[j].Guards = slices.DeleteFunc(slices.Clone(moves[j].Guards), func(g Guard) bool { return gone(g.Assumption) })
		}
		sys.Inputs[i].Moves = moves
	}
	sys.Invariants = slices.DeleteFunc(slices.Clone(sys.Invariants), func(v Invariant) bool { return gone(v.Assumption) })
	out, err := New(&sys, e.opts)
	if err != nil {
		return e // not met: taking guards away keeps a sound system sound
	}
	return out
}

// Used lists assumptions on which the outcome of ask rests: a set that is
// enough for it and of which none can be left out. It asks again once for each
// assumption, and not at all where there are none.
func (e *Engine) Used(ctx context.Context, ask func(context.Context, *Engine) (Verdict, error)) ([]string, error) {
	ids := e.Assumptions()
	if len(ids) == 0 {
		return nil, nil
	}
	want, err := ask(ctx, e)
	if err != nil {
		return nil, err
	}
	var dropped, used []string
	for _, id := range ids {
		v, err := ask(ctx, e.Without(append(slices.Clone(dropped), id)...))
		if err != nil {
			return nil, err
		}
		if v.Outcome == want.Outcome {
			dropped = append(dropped, id)
		} else {
			used = append(used, id)
		}
	}
	return used, nil
}

// Restricts reports whether an assumption takes anything away: a start, or a move that could
// happen in some reachable state if it were not for it. What can be reached without an
// assumption that takes nothing is what can be reached with it, by the same moves.
func (e *Engine) Restricts(ctx context.Context, id string) (bool, error) {
	for _, in := range e.sys.Inputs {
		if takes, err := e.takesMove(ctx, id, in); takes || err != nil {
			return takes, err
		}
	}
	for _, inv := range e.sys.Invariants {
		if inv.Assumption != id {
			continue
		}
		if takes, err := e.takesStart(ctx, id, inv); takes || err != nil {
			return takes, err
		}
	}
	return false, nil
}

// takesMove looks for a reachable state in which only the assumption keeps an input from
// moving.
func (e *Engine) takesMove(ctx context.Context, id string, in InputMoves) (bool, error) {
	s := e.sys.Space
	var mine, others []*logic.Expr // what has to hold after a move
	for _, inv := range e.sys.Invariants {
		switch {
		case !slices.Contains(inv.Holds.Vars(), in.Var):
		case inv.Assumption == id:
			mine = append(mine, inv.Holds)
		default:
			others = append(others, inv.Holds)
		}
	}
	for _, mv := range in.Moves {
		var held, free []*logic.Expr
		for _, g := range mv.Guards {
			if g.Assumption == id {
				held = append(held, g.When)
			} else {
				free = append(free, g.When)
			}
		}
		if mv.From == mv.To || mine == nil && held == nil {
			continue
		}
		m, err := e.model(ctx, in.Var)
		if err != nil {
			return false, err
		}
		r, err := m.reach()
		if err != nil {
			return false, err
		}
		f := m.f
		can := f.And(f.And(r.all, f.Is(in.Var, mv.From)), f.Of(s.And(free...)))
		after := f.Fix(f.Of(s.And(others...)), in.Var, mv.To)
		allowed := f.And(f.Of(s.And(held...)), f.Fix(f.Of(s.And(mine...)), in.Var, mv.To))
		takes := f.Diff(f.And(can, after), allowed) != logic.Never
		if f.Err() != nil || takes {
			return takes, f.Err()
		}
	}
	return false, nil
}

// takesStart looks for a start that only an assumption about states forbids.
func (e *Engine) takesStart(ctx context.Context, id string, inv Invariant) (bool, error) {
	vars := inv.Holds.Vars()
	if len(vars) == 0 {
		return inv.Holds == e.sys.Space.False(), nil
	}
	m, err := e.Without(id).model(ctx, vars...)
	if err != nil {
		return false, err
	}
	takes := m.f.Diff(m.raw, m.f.Of(inv.Holds)) != logic.Never
	return takes, m.f.Err()
}

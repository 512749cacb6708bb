package reach

import (
	"context"
	"slices"
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

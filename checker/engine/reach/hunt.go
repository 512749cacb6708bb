package reach

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
)

// Hunts finds hardware that never settles: states, met while a reachable move
// or the start settles, from which no resting state can be reached in any
// order of changes. One Hunt is given for each group of elements that depend
// on one another in a ring. An error may be Undecidable.
func (e *Engine) Hunts(ctx context.Context) ([]Hunt, error) {
	var out []Hunt
	for _, ring := range e.rings() {
		m, err := e.model(ctx, ring...)
		if err != nil {
			return nil, err
		}
		d, err := m.pass()
		if err != nil {
			return nil, err
		}
		f := m.f
		bad := f.Diff(d.any, m.before(m.resting(d.any), d.any))
		if err := f.Err(); err != nil {
			return nil, err
		}
		if bad == logic.Never {
			continue
		}
		t, err := m.shortest(goal{start: f.And(d.start, bad), first: f.And(d.first, bad), second: f.And(d.second, bad)})
		if err != nil {
			return nil, err
		}
		if t == nil {
			continue
		}
		h := m.cycle(t)
		if slices.ContainsFunc(h.Cycle, func(c Change) bool { return slices.Contains(ring, c.Var) }) {
			out = append(out, h) // else a ring that this one depends on hunts
		}
	}
	return out, nil
}

// rings are the groups of settling elements that could go on for ever: those
// that depend on one another in a ring, and single ones that can be excited
// again by their own change.
func (e *Engine) rings() [][]logic.Var {
	if e.ringed == nil {
		e.ringed = e.findRings()
	}
	return e.ringed
}

// ringsIn reports whether a model holds such a group. What it reads is closed, so that it
// holds all of a group or nothing.
func (e *Engine) ringsIn(m *model) bool {
	return slices.ContainsFunc(e.rings(), func(ring []logic.Var) bool { return m.in[ring[0]] })
}

func (e *Engine) findRings() [][]logic.Var {
	settles := func(v logic.Var) bool {
		k := e.sys.Vars[v].Kind
		return k == Hardware || k == Timing || k == Beating
	}
	out := [][]logic.Var{}
	for _, comp := range components(e.deps, settles) {
		if len(comp) > 1 || e.restless(comp[0]) {
			out = append(out, comp)
		}
	}
	return out
}

// restless reports whether an element alone may be excited right after it
// changed; it errs on the side of true.
func (e *Engine) restless(v logic.Var) bool {
	for _, el := range settlingRules(e.sys) {
		if el.Var != v {
			continue
		}
		for _, a := range el.Rules {
			for _, b := range el.Rules {
				if b.From.Has(a.To) && b.To != a.To && e.again(v, a, b) {
					return true
				}
			}
		}
	}
	return false
}

// again reports whether rule b can hold right after rule a has set v, whatever is
// reachable; true if that is too large to find out.
func (e *Engine) again(v logic.Var, a, b Rule) bool {
	if s := e.sys.Space; !slices.Contains(a.When.Vars(), v) && !slices.Contains(b.When.Vars(), v) {
		// Mostly they are opposites, or one does not know of the other's variables:
		// that shows without a diagram.
		both := s.And(a.When, b.When)
		switch {
		case both == s.False() || a.When == s.Not(b.When):
			return false
		case both.IsCube():
			return true
		}
	}
	vars := append(varsOf(a.When, b.When), v)
	slices.Sort(vars)
	f, err := logic.NewManager(e.sys.Space, logic.ManagerOptions{Order: slices.Compact(vars), MaxNodes: 1 << 16})
	if err != nil {
		return true
	}
	before := f.And(f.And(f.Of(a.When), f.In(v, a.From)), f.Valid())
	after := f.Assign(before, v, a.To)
	r := f.And(after, f.Of(b.When))
	return f.Err() != nil || r != logic.Never
}

// cycle follows the changes on from the end of t, which never rests, until a
// state comes again; t is made to end in that state.
func (m *model) cycle(t *Trace) Hunt {
	p := t.Last()
	at := map[string]int{string(p): 0}
	var changes []Change
	for {
		turn := -1
		for i := range m.elems { // the one that settles first among the excited
			if c, ok := m.change(i, p); ok {
				changes, p, turn = append(changes, c), p.With(c.Var, c.To), i
				break
			}
		}
		if turn < 0 {
			return Hunt{Trace: t}
		}
		if from, again := at[string(p)]; again {
			t.leadIn(changes[:from])
			return Hunt{Trace: t, Cycle: changes[from:]}
		}
		at[string(p)] = len(changes)
	}
}

// leadIn appends changes to the settling that t ends in.
func (t *Trace) leadIn(changes []Change) {
	end := t.Last().Clone()
	for _, c := range changes {
		end[c.Var] = uint8(c.To)
	}
	n := len(t.Steps)
	switch {
	case n == 0:
		t.Settled = append(t.Settled, changes...)
		t.Initial = end
	case t.Steps[n-1].Fired != nil:
		t.Steps[n-1].Changed = append(t.Steps[n-1].Changed, changes...)
		t.Steps[n-1].After = end
	default:
		t.Steps[n-1].Settled = append(t.Steps[n-1].Settled, changes...)
		t.Steps[n-1].After = end
	}
}

package reach

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
)

// Livelocks finds machines that step for ever by idle moves alone, with
// nothing moving from outside and no time passing. One is given for each group
// of variables that depend on one another in a ring; a ring whose cycle turns
// only things that it depends on is left to theirs.
func (e *Engine) Livelocks(ctx context.Context) ([]Livelock, error) {
	var out []Livelock
	any := func(v logic.Var) bool {
		k := e.sys.Vars[v].Kind
		return k != Fixed && k != Input
	}
	for _, ring := range components(e.deps, any) {
		if !slices.ContainsFunc(ring, func(v logic.Var) bool { return e.sys.Vars[v].Kind == Machine }) {
			continue
		}
		l, err := e.livelock(ctx, ring)
		if err != nil {
			return nil, err
		}
		if l != nil {
			out = append(out, *l)
		}
	}
	return out, nil
}

func (e *Engine) livelock(ctx context.Context, ring []logic.Var) (*Livelock, error) {
	m, err := e.model(ctx, ring...)
	if err != nil {
		return nil, err
	}
	d, err := m.pass()
	if err != nil {
		return nil, err
	}
	idle := len(m.events) - 1
	l, err := m.round(d, []int{idle})
	if err != nil || l == nil {
		return nil, err
	}
	if !l.turns(m, ring) {
		return nil, nil
	}
	return l, nil
}

// round finds a shortest way to a state from which the given events alone can go on for
// ever, and a cycle of them; nil where there is none.
func (m *model) round(d *during, events []int) (*Livelock, error) {
	f := m.f
	turning := m.turning(d, events)
	if err := f.Err(); err != nil {
		return nil, err
	}
	if turning == logic.Never {
		return nil, nil
	}
	t, err := m.shortest(goal{final: turning})
	if err != nil || t == nil {
		return nil, err
	}
	var steps []Step
	p := t.Last()
	at := map[string]int{string(p): 0}
	for {
		step := m.within(d, events, p, turning)
		if step == nil {
			return nil, f.Err()
		}
		steps, p = append(steps, *step), step.After
		if from, again := at[string(p)]; again {
			t.Steps = append(t.Steps, steps[:from]...)
			return &Livelock{Trace: t, Cycle: steps[from:]}, nil
		}
		at[string(p)] = len(steps)
	}
}

// within is a move by one of the events from p that ends in a set, the first there is.
func (m *model) within(d *during, events []int, p logic.Point, set logic.Ref) *Step {
	for _, i := range events {
		var step *Step
		m.complete(d, &m.events[i], p, set, 1, func(s Step) bool {
			step = &s
			return false
		})
		if step != nil {
			return step
		}
	}
	return nil
}

// turns reports whether a machine of ring changes its mode in the cycle.
func (l *Livelock) turns(m *model, ring []logic.Var) bool {
	before := l.Cycle[len(l.Cycle)-1].After
	for _, s := range l.Cycle {
		for _, v := range ring {
			if m.sys.Vars[v].Kind == Machine && s.After[v] != before[v] {
				return true
			}
		}
		before = s.After
	}
	return false
}

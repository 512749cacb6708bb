package reach

import (
	"context"
	"slices"

	"pintle/checker/logic"
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
	f := m.f
	// The greatest set from which an idle move leads back into it.
	turning := f.And(m.reached.all, m.moving)
	for {
		next := f.And(turning, m.toFinal(d, turning))
		if err := f.Err(); err != nil {
			return nil, err
		}
		if next == turning {
			break
		}
		turning = next
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
	idle := &m.events[len(m.events)-1]
	for {
		var step *Step
		m.complete(d, idle, p, turning, manyOutcomes, func(s Step) bool {
			step = &s
			return false
		})
		if step == nil {
			return nil, f.Err()
		}
		steps, p = append(steps, *step), step.After
		if from, again := at[string(p)]; again {
			t.Steps = append(t.Steps, steps[:from]...)
			if l := (Livelock{Trace: t, Cycle: steps[from:]}); l.turns(m, ring) {
				return &l, nil
			}
			return nil, nil
		}
		at[string(p)] = len(steps)
	}
}

// turns tells whether a machine of ring changes its mode in the cycle.
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

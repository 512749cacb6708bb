package reach

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
)

// TimedCycles finds what goes round for ever by clocks alone: with nothing moving from
// outside, each clock that runs out leads to another that starts. One is given for each
// group of variables that depend on one another in a ring. Clocks for which leaveOut is
// true don't count, nor do beats: they are meant to go round.
func (e *Engine) TimedCycles(ctx context.Context, leaveOut func(logic.Var) bool) ([]Livelock, error) {
	var out []Livelock
	inside := func(v logic.Var) bool {
		k := e.sys.Vars[v].Kind
		return k != Fixed && k != Input
	}
	counts := func(v logic.Var) bool { return e.sys.Vars[v].Kind == Timing && !leaveOut(v) }
	for _, ring := range components(e.deps, inside) {
		if !slices.ContainsFunc(ring, counts) {
			continue
		}
		l, err := e.timedCycle(ctx, ring, counts)
		if err != nil {
			return nil, err
		}
		if l != nil {
			out = append(out, *l)
		}
	}
	return out, nil
}

func (e *Engine) timedCycle(ctx context.Context, ring []logic.Var, counts func(logic.Var) bool) (*Livelock, error) {
	m, err := e.model(ctx, ring...)
	if err != nil {
		return nil, err
	}
	d, err := m.pass()
	if err != nil {
		return nil, err
	}
	// A clock of the ring that runs out, and machines that step then. Idle moves go
	// first: a machine that can step does so before time passes.
	var events []int
	for i := range m.events {
		if m.events[i].Kind == MoveIdle {
			events = append([]int{i}, events...)
		}
		if m.events[i].Kind == MoveElapse && counts(m.events[i].Var) && slices.Contains(ring, m.events[i].Var) {
			events = append(events, i)
		}
	}
	l, err := m.round(d, events)
	if err != nil || l == nil {
		return nil, err
	}
	timed := slices.ContainsFunc(l.Cycle, func(s Step) bool { return s.Move.Kind == MoveElapse })
	if !timed {
		return nil, nil // a livelock, which Livelocks tells
	}
	return l, nil
}

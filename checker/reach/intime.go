package reach

import (
	"context"
	"fmt"

	"pintle/checker/logic"
)

// longer is how many moves more than the shortest trace are tried for one that
// is possible in time, before the exact search.
const longer = 2

// inTime decides whether the goal is never met: Holds, or Fails with a
// shortest trace that time allows.
func (e *Engine) inTime(ctx context.Context, m *model, g goal) (Verdict, error) {
	v := Verdict{Outcome: Holds}
	r, err := m.route(g)
	if err != nil {
		return v, err
	}
	n, err := r.length()
	if err != nil || n < 0 {
		v.Work = m.work()
		return v, err
	}
	timed := newTiming(m)
	tried, reason := 0, ""
	for extra := 0; extra <= longer && tried < e.opts.MaxTraces; extra++ {
		budget := 64 * e.opts.MaxTraces
		r.walk(n+extra, &budget, func(t *Trace) bool {
			if ctx.Err() != nil {
				return false
			}
			tried++
			if sched, why := timed.feasible(t, nil); sched != nil {
				v.Outcome, v.Trace, v.Schedule = Fails, t, sched
				return false
			} else if reason == "" {
				reason = why
			}
			return tried < e.opts.MaxTraces
		})
		if err := ctx.Err(); err != nil {
			return v, err
		}
		if err := m.f.Err(); err != nil {
			return v, err
		}
		v.Work = m.work()
		if v.Outcome == Fails {
			return v, nil
		}
		if !timed.matters() {
			return v, fmt.Errorf("reach: a state was reached to which no trace was found")
		}
	}
	z := &zones{ctx: ctx, m: m, d: r.d, timed: timed, max: e.opts.MaxZones}
	t, full, err := z.search(g, r.partly, r)
	v.Work = m.work()
	v.Work.Zones = z.visited
	switch {
	case err != nil:
		return v, err
	case t != nil:
		sched, why := timed.feasible(t, nil)
		if sched == nil {
			return v, fmt.Errorf("reach: the timed search and the schedule disagree: %s", why)
		}
		v.Outcome, v.Trace, v.Schedule = Fails, t, sched
	case full:
		v.Reason = "timing rules out every way there: " + reason
	default:
		v.Outcome = Undecided
		v.Reason = fmt.Sprintf("it can be reached if time is left out of account, but no way there was found that time allows (%d lists of moves and %d timed states tried): %s", tried, z.visited, reason)
	}
	return v, nil
}

// Feasible tells whether there are times at which the moves of t can happen: no
// clock goes off early or is left running too long, no quantity outruns its
// rate, and a machine that can step does so before time passes. Without such
// times it says why. The bounds form a system of differences, decided by
// Bellman and Ford's shortest paths.
func (e *Engine) Feasible(ctx context.Context, t *Trace) (*Schedule, string, error) {
	m, err := e.model(ctx, t.Vars...)
	if err != nil {
		return nil, "", err
	}
	sched, why := newTiming(m).feasible(t, nil)
	return sched, why, nil
}

// Witness is the first of the shortest traces to a resting state of want, time
// left out of account; nil if there is none.
func (e *Engine) Witness(ctx context.Context, want *logic.Expr) (*Trace, error) {
	m, err := e.model(ctx, want.Vars()...)
	if err != nil {
		return nil, err
	}
	if _, err := m.reach(); err != nil {
		return nil, err
	}
	return m.shortest(goal{final: m.f.And(m.reached.all, m.f.Of(want))})
}

package reach

import (
	"context"
	"errors"
	"fmt"

	"pintle/checker/engine/logic"
)

// longer is how many moves more than the shortest trace are tried for one that
// is possible in time, before the exact search.
const longer = 2

// shortestWork bounds the decision nodes made to find a shortest trace, before
// any trace will do.
const shortestWork = 300_000

// candidates tries traces against time.
type candidates struct {
	ctx         context.Context
	r           *route
	timed       *timing
	most, tried int
	reason      string // why the first was not possible
	found       *Trace
	schedule    *Schedule
}

// try returns false when no more traces are wanted.
func (c *candidates) try(t *Trace) bool {
	if c.ctx.Err() != nil {
		return false
	}
	c.tried++
	sched, why := c.timed.feasible(t, nil)
	if sched != nil {
		c.found, c.schedule = t, sched
		return false
	}
	if c.reason == "" {
		c.reason = why
	}
	return c.tried < c.most
}

// shortest tries the shortest traces, then slightly longer ones.
func (c *candidates) shortest() error {
	n, err := c.r.length()
	if err != nil || n < 0 {
		return err
	}
	for extra := 0; extra <= longer && c.tried < c.most && c.found == nil; extra++ {
		budget := 64 * c.most
		c.r.walk(n+extra, &budget, c.try)
		if err := c.ctx.Err(); err != nil {
			return err
		}
		if err := c.r.m.f.Err(); err != nil {
			return err
		}
		if !c.timed.matters() {
			break
		}
	}
	return nil
}

// detour tries any trace.
func (c *candidates) detour() error {
	if c.found != nil {
		return nil
	}
	t, err := c.r.detour()
	if err == nil && t != nil {
		c.try(t)
	}
	return err
}

// inTime decides whether the goal is never met: Holds, or Fails with a
// shortest trace that time allows.
func (e *Engine) inTime(ctx context.Context, m *model, g goal) (Verdict, error) {
	v := Verdict{Outcome: Holds}
	r, err := m.route(g)
	if err != nil || r.near == logic.Never && r.partly == logic.Never {
		v.Work = m.work()
		return v, err
	}
	timed := newTiming(m)
	if e.untold && !timed.matters() {
		v.Outcome, v.Work = Fails, m.work()
		return v, nil
	}
	c := &candidates{ctx: ctx, r: r, timed: timed, most: e.opts.MaxTraces}
	left := m.f.Quota(min(shortestWork, e.left()))
	if e.untold {
		err = c.detour() // any trace shows it
	}
	if err == nil && c.found == nil {
		err = c.shortest()
	}
	if errors.Is(err, logic.ErrTooLong) {
		m.f.Recover()
		m.f.Quota(left)
		err = c.detour()
	}
	m.f.Quota(left)
	v.Work = m.work()
	if err != nil {
		return v, err
	}
	if c.found != nil {
		v.Outcome, v.Trace, v.Schedule = Fails, c.found, c.schedule
		return v, nil
	}
	if !timed.matters() {
		return v, errors.New("reach: a state was reached to which no trace was found")
	}
	reason, tried := c.reason, c.tried
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

// Feasible reports whether there are times at which the moves of t can happen: no
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

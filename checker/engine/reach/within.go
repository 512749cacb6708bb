package reach

import (
	"context"
	"fmt"
	"time"

	"pintle/checker/engine/logic"
)

// Within asks for "a within limit whenever b": it fails if b and not a can
// hold, in the resting states of one run, for longer than limit without a
// break. limit is in nanoseconds. The trace ends where that begins to be
// certain; the Schedule has one entry more than the trace has steps: the time
// at which the limit has passed.
//
// A state in which nothing is being timed and no machine can step may last for
// ever, as inputs need not move; where time must pass by the clocks, states
// are searched with their readings. Vacuous is set if b and not a never hold.
func (e *Engine) Within(ctx context.Context, a, b *logic.Expr, limit int64) (Verdict, error) {
	defer func(untold bool) { e.untold = untold }(e.untold)
	e.untold = false // the trace is needed to tell how long it lasts
	if limit < 0 || limit >= Forever {
		return Verdict{}, fmt.Errorf("reach: a limit of %d ns can't be decided", limit)
	}
	wait := e.sys.Space.And(b, e.sys.Space.Not(a))
	m, err := e.model(ctx, varsOf(a, b)...)
	if err != nil {
		return unsure(err)
	}
	d, err := m.pass()
	if err != nil {
		return unsure(err)
	}
	f := m.f
	waiting := f.And(m.reached.all, f.Of(wait))
	if waiting == logic.Never || f.Err() != nil {
		if f.Err() != nil {
			return unsure(f.Err())
		}
		v, err := m.doubt(Verdict{Outcome: Holds, Vacuous: true, Work: m.work()}, wait, false)
		if err != nil {
			return unsure(err)
		}
		return v, nil
	}
	timed := newTiming(m)
	lasting := f.Diff(waiting, m.moving)
	for _, c := range timed.clocks {
		lasting = f.Diff(lasting, f.Is(c.Var, ClockRunning))
	}
	for _, b := range timed.beats {
		lasting = f.Diff(lasting, f.Of(b.Enable))
	}
	if lasting != logic.Never {
		v, err := e.inTime(ctx, m, goal{final: lasting})
		if err != nil {
			return unsure(err)
		}
		if v.Outcome == Fails {
			return e.overdue(timed, v, wait, limit)
		}
		// Undecided or ruled out by time: the exact search below may know.
	}
	z := &zones{ctx: ctx, m: m, d: d, timed: timed, max: e.opts.MaxZones, watch: wait, limit: limit}
	t, full, err := z.search(goal{}, logic.Never, nil)
	if err != nil {
		return unsure(err)
	}
	v := Verdict{Outcome: Undecided, Trace: t, Work: m.work()}
	v.Work.Zones = z.visited
	switch {
	case t != nil:
		return e.overdue(timed, v, wait, limit)
	case full:
		v.Outcome = Holds
		if v, err = m.doubt(v, wait, true); err != nil {
			return unsure(err)
		}
	default:
		v.Reason = fmt.Sprintf("more than %d timed states, none of which shows a wait longer than %v", e.opts.MaxZones, time.Duration(limit))
	}
	return v, nil
}

// overdue completes a failed Within: when the wait begins and when it is over.
func (e *Engine) overdue(timed *timing, v Verdict, wait *logic.Expr, limit int64) (Verdict, error) {
	h := &hold{from: len(v.Trace.Steps), longer: limit}
	state := func(i int) logic.Point {
		if i == 0 {
			return v.Trace.Initial
		}
		return v.Trace.Steps[i-1].After
	}
	for h.from > 0 && wait.Eval(state(h.from-1)) {
		h.from--
	}
	sched, why := timed.feasible(v.Trace, h)
	if sched == nil {
		return v, fmt.Errorf("reach: a wait that was found has no schedule: %s", why)
	}
	v.Outcome, v.Schedule = Fails, sched
	v.Reason = fmt.Sprintf("it can last longer than %v", time.Duration(limit))
	return v, nil
}

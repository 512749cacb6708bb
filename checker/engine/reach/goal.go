package reach

import (
	"pintle/checker/engine/logic"
)

// goal is where a trace is to end: in a resting state of final, or in the
// middle of a move, in a state of start, first or second (see during).
type goal struct {
	final, start, first, second logic.Ref
}

// route finds the traces to a goal: forwards, move by move, until the goal is
// met, then backwards from there among the states that were met. Where traces
// are short, as they mostly are, both stay small although the whole set is not.
type route struct {
	m    *model
	d    *during
	goal goal
	near logic.Ref // the resting states of the goal
	// partly holds the resting states from which a move passes through first
	// or second, and afterFirst, onStep where that move then goes.
	partly, afterFirst, onStep logic.Ref
	seen                       []logic.Ref // seen[k]: within k moves of the start
	left                       []logic.Ref // left[k]: k more moves can end in the goal, in time for a trace of len(left)-1
}

// atStepGoal looks for states that the machines read: in the middle of a move,
// or at rest, where an idle move begins.
func (m *model) atStepGoal(d *during, b logic.Ref) goal {
	f := m.f
	return goal{first: f.And(d.atStep, b), final: f.And(m.reached.all, b)}
}

// route prepares the search for g.
func (m *model) route(g goal) (*route, error) {
	d, err := m.pass()
	if err != nil {
		return nil, err
	}
	f := m.f
	r := &route{m: m, d: d, goal: g}
	r.afterFirst, r.onStep, r.partly = logic.Never, logic.Never, logic.Never
	if g.first != logic.Never || g.second != logic.Never {
		if g.second != logic.Never {
			r.onStep = f.And(m.stepping(m.before(g.second, d.second)), f.And(d.atStep, m.moving))
		}
		r.afterFirst = f.Or(m.before(g.first, d.first), m.toStep(d, r.onStep))
		r.partly = m.beginning(r.afterFirst, r.onStep)
	}
	r.near = f.And(g.final, m.reached.all)
	r.seen = []logic.Ref{m.reached.initial}
	return r, f.Err()
}

// live lists what a collection must keep.
func (r *route) live(more ...logic.Ref) []logic.Ref {
	out := append(more, r.near, r.partly, r.afterFirst, r.onStep, r.goal.final, r.goal.start, r.goal.first, r.goal.second)
	return append(append(out, r.seen...), r.left...)
}

// extend goes one move further from the start. It returns false if that leads
// nowhere new.
func (r *route) extend() bool {
	f, k := r.m.f, len(r.seen)-1
	fresh := r.seen[k]
	if k > 0 {
		fresh = f.Diff(fresh, r.seen[k-1])
	}
	next := f.Or(r.seen[k], r.m.onward(fresh))
	r.seen = append(r.seen, next)
	if f.Crowded() {
		f.Collect(r.live()...)
	}
	return next != r.seen[k]
}

// length finds the number of moves of the shortest traces; -1 if there is no
// trace at all.
func (r *route) length() (int, error) {
	f := r.m.f
	if r.near == logic.Never && r.partly == logic.Never {
		return -1, f.Err()
	}
	for k := 0; ; k++ {
		if f.And(r.seen[k], r.near) != logic.Never {
			return k, nil
		}
		if f.And(r.seen[k], r.partly) != logic.Never {
			return k + 1, nil
		}
		more := r.extend()
		if err := f.Err(); err != nil {
			return -1, err
		}
		if !more {
			return -1, nil
		}
	}
}

// aim finds, for traces of exactly n moves, which states lie on one with k
// moves to go.
func (r *route) aim(n int) {
	f := r.m.f
	for len(r.seen) <= n {
		r.extend()
	}
	r.left = []logic.Ref{f.And(r.near, r.seen[n])}
	for k := 1; k <= n; k++ {
		before := r.m.preceding(r.d, r.left[k-1])
		if k == 1 {
			before = f.Or(before, r.partly)
		}
		r.left = append(r.left, f.And(before, r.seen[n-k]))
		if f.Crowded() {
			f.Collect(r.live()...)
		}
	}
}

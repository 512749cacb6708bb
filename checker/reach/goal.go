package reach

import (
	"pintle/checker/logic"
)

// goal is where a trace is to end: in a resting state of final, or in the
// middle of a move, in a state of start, first or second (see during).
type goal struct {
	final, start, first, second logic.Ref
}

// route is how far every resting state is from a goal, in moves.
type route struct {
	m    *model
	d    *during
	goal goal
	// partly holds the resting states from which a move passes through first
	// or second, and afterFirst, onStep where that move then goes.
	partly, afterFirst, onStep logic.Ref
	layers                     []logic.Ref // layers[k]: nearest at k moves
	upTo                       []logic.Ref // upTo[k]: at k moves or fewer
}

// atStepGoal looks for states that the machines read: in the middle of a move,
// or at rest, where an idle move begins.
func (m *model) atStepGoal(d *during, b logic.Ref) goal {
	f := m.f
	return goal{first: f.And(d.atStep, b), final: f.And(m.reached.all, b)}
}

// route prepares the search for g: backwards from the goal, so that inputs
// which have no part in it cost nothing.
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
	near := f.And(g.final, m.reached.all)
	r.layers, r.upTo = []logic.Ref{near}, []logic.Ref{near}
	return r, f.Err()
}

// extend adds a layer. It returns false if there is none.
func (r *route) extend() bool {
	f, k := r.m.f, len(r.layers)-1
	next := r.m.preceding(r.d, r.layers[k])
	if k == 0 {
		next = f.Or(next, r.partly)
	}
	next = f.Diff(next, r.upTo[k])
	r.layers = append(r.layers, next)
	r.upTo = append(r.upTo, f.Or(r.upTo[k], next))
	return next != logic.Never
}

// length finds the number of moves of the shortest traces; -1 if there is no
// trace at all.
func (r *route) length() (int, error) {
	f := r.m.f
	for k := 0; ; k++ {
		if f.And(r.layers[k], r.m.reached.initial) != logic.Never {
			return k, nil
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

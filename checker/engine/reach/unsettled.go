package reach

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
)

// unsettled is what never settles in the slice of a question.
type unsettled struct {
	// states are those that a run comes to only through hardware that never settles:
	// those between which it goes on switching, and those that are reached when an input,
	// a clock or a machine moves meanwhile. Some of them may be unreachable in truth:
	// machines are taken to step, and inputs to move, in each state of the switching.
	// Never where everything settles.
	states logic.Ref
	hunt   *Hunt // nil with them
}

// findUnsettled gives what never settles in the slice, once.
func (m *model) findUnsettled() (*unsettled, error) {
	if m.unsettled != nil {
		return m.unsettled, nil
	}
	if !m.rings {
		m.unsettled = &unsettled{states: logic.Never}
		return m.unsettled, nil
	}
	d, err := m.pass()
	if err != nil {
		return nil, err
	}
	f, u := m.f, &unsettled{states: logic.Never}
	bad := f.Diff(d.any, m.before(m.resting(d.any), d.any))
	if bad != logic.Never {
		t, err := m.shortest(goal{start: f.And(d.start, bad), first: f.And(d.first, bad), second: f.And(d.second, bad)})
		if err != nil {
			return nil, err
		}
		if t != nil {
			h := m.cycle(t)
			u.hunt = &h
		}
		u.states = f.Pin(m.beyond(m.refresh(m.impatient(m.recurring(bad)))))
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	m.unsettled = u
	return u, nil
}

// impatient adds to states in which hardware goes on switching what follows from them if one that
// waits until all is at rest does not wait for ever.
func (m *model) impatient(flutter logic.Ref) logic.Ref {
	f := m.f
	all := flutter
	for before := logic.Never; before != all && f.Err() == nil; {
		before = all
		for _, p := range m.patient {
			if moved := f.Assign(f.And(all, f.Of(p.when)), p.v, p.to); moved != logic.Never {
				all = f.Or(all, m.loosely(moved))
			}
		}
	}
	return all
}

// beyond adds to states in which hardware goes on switching what moves lead to from
// there, and takes away what is reached without them.
func (m *model) beyond(flutter logic.Ref) logic.Ref {
	f := m.f
	all, known := flutter, m.reached.all
	for fresh := flutter; fresh != logic.Never && f.Err() == nil; {
		next := logic.Never
		for i := range m.events {
			begun := m.happen(&m.events[i], fresh)
			if begun == logic.Never {
				continue
			}
			stood := m.loosely(begun)
			if len(m.machines) > 0 {
				moved, stayed := m.step(stood)
				stood = stayed
				if moved != logic.Never {
					stood = f.Or(stood, m.loosely(moved))
				}
			}
			next = f.Or(next, m.refresh(stood))
		}
		fresh = f.Diff(next, f.Or(all, known))
		all = f.Or(all, fresh)
	}
	return f.Diff(all, known)
}

// loosely lets hardware change as settle does, and gives the states in which it comes to
// rest with those in which it never does.
func (m *model) loosely(u logic.Ref) logic.Ref {
	f := m.f
	through, rest := m.settle(u, m.allElements())
	return f.Or(rest, m.recurring(f.Diff(through, m.before(rest, through))))
}

// recurring is the part of some states, from which hardware never comes to rest, that it
// can come to again and again: in which it is on its way from such a state, and from which
// it can go on so that nothing that is due waits for ever. States that are only passed
// through on the way there are left out.
func (m *model) recurring(u logic.Ref) logic.Ref {
	f := m.f
	for before := logic.Never; before != u && f.Err() == nil; {
		before = u
		entered := logic.Never
		for i := range m.elems {
			for _, fr := range m.elems[i].fires {
				entered = f.Or(entered, f.Assign(f.And(u, fr.pre), m.elems[i].v, fr.to))
			}
		}
		u = f.And(u, entered)
		for i := range m.elems {
			served := f.Or(f.Diff(u, m.elems[i].excited), f.And(u, m.firing(i, u)))
			u = m.before(served, u)
		}
	}
	return u
}

// turning is the greatest set of resting states from which one of the events leads back
// into it.
func (m *model) turning(d *during, events []int) logic.Ref {
	f := m.f
	turning := m.reached.all
	for f.Err() == nil {
		next := f.And(turning, m.precedingBy(d, turning, events))
		if next == turning {
			break
		}
		turning = next
	}
	return turning
}

// doubt turns a verdict that nothing was found into an undecided one where what was looked
// for holds in states that hardware which never settles leads to, or where machines go round in no
// time and only time rules it out, or what waits until they are at rest: beyond that no clock
// runs, and nothing that waits moves.
func (m *model) doubt(v Verdict, sought *logic.Expr, byTime bool) (Verdict, error) {
	if v.Outcome != Holds {
		return v, nil
	}
	u, err := m.findUnsettled()
	if err != nil {
		return Verdict{}, err
	}
	f := m.f
	if u.states != logic.Never && f.And(u.states, m.anyEdge(f.Of(sought))) != logic.Never {
		v.Outcome, v.Hunt, v.Vacuous = Undecided, u.hunt, false
		v.Reason = "hardware that it depends on never settles"
		return v, f.Err()
	}
	if (byTime || m.patient != nil) && len(m.machines) > 0 {
		d, err := m.pass()
		if err != nil {
			return Verdict{}, err
		}
		round, err := m.round(d, []int{len(m.events) - 1})
		if err != nil {
			return Verdict{}, err
		}
		if round != nil {
			v.Outcome, v.Livelock, v.Vacuous = Undecided, round, false
			v.Reason = "modes that it depends on cycle for ever in zero time"
		}
	}
	return v, f.Err()
}

// anyEdge is where something holds with the edges one way or the other.
func (m *model) anyEdge(u logic.Ref) logic.Ref {
	if len(m.edges) == 0 {
		return u
	}
	vs := make([]logic.Var, len(m.edges))
	for i, e := range m.edges {
		vs[i] = e.v
	}
	slices.Sort(vs)
	return m.f.And(m.f.Exists(u, m.f.Bits(vs...)), m.f.Valid())
}

// Settles reports whether everything that the given variables depend on comes to rest, in
// every reachable move. Where it does not, Reachable tells less than there is.
func (e *Engine) Settles(ctx context.Context, vars ...logic.Var) (bool, error) {
	m, err := e.model(ctx, vars...)
	if err != nil {
		return false, err
	}
	u, err := m.findUnsettled()
	return err == nil && u.states == logic.Never, err
}

package reach

import (
	"pintle/checker/logic"
)

// reached is the exact set of states, and where it starts.
type reached struct {
	initial logic.Ref // settled, edges set
	all     logic.Ref
}

// reach computes the reachable states once. Each event is applied to what came
// since it was last applied, and what it yields is used at once by the next:
// the far ends of twelve independent quantities are met after twelve sweeps,
// not after the sum of their regions.
func (m *model) reach() (*reached, error) {
	if m.reached != nil {
		return m.reached, nil
	}
	f := m.f
	_, rest := m.settle(m.raw, m.allElements())
	initial := f.Pin(m.refresh(rest))
	all := initial
	done := make([]logic.Ref, len(m.events)) // what each event has been applied to
	for changed := true; changed; {
		changed = false
		for i := range m.events {
			e := &m.events[i]
			fresh := f.And(f.Diff(all, done[i]), e.pre)
			done[i] = all
			if fresh == logic.Never {
				continue
			}
			next := m.happen(e, fresh)
			if e.Kind != MoveIdle {
				// Where a move leads to a known resting state, what follows is
				// an idle move from there, which has its own turn.
				next = f.Diff(next, all)
			}
			if next == logic.Never {
				continue
			}
			grown := f.Or(all, m.respond(next, m.workOf(e)))
			if grown != all {
				all, changed = grown, true
			}
			if err := f.Err(); err != nil {
				return nil, err
			}
			if f.Crowded() {
				f.Collect(append([]logic.Ref{all}, done...)...)
			}
		}
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	m.reached = &reached{initial: initial, all: f.Pin(all)}
	return m.reached, nil
}

// during holds what moves pass through: the states while hardware settles and
// those in which the machines step.
type during struct {
	start  logic.Ref // while the raw start settles
	first  logic.Ref // while hardware settles after the first part of a move
	atStep logic.Ref // settled, as the machines read them
	second logic.Ref // while hardware settles after the machines
	final  logic.Ref // settled after the machines, edges still old
	any    logic.Ref // start, first or second
}

// pass computes during once.
func (m *model) pass() (*during, error) {
	if m.during != nil {
		return m.during, nil
	}
	r, err := m.reach()
	if err != nil {
		return nil, err
	}
	f, d := m.f, &during{}
	d.start, _ = m.settle(m.raw, m.allElements())
	begun := r.all // an idle move begins in any resting state
	for i := range m.events {
		if e := &m.events[i]; e.Kind != MoveIdle {
			begun = f.Or(begun, m.happen(e, r.all))
		}
	}
	d.first, d.atStep = m.settle(begun, m.allElements())
	d.second, d.final = logic.Never, d.atStep
	if len(m.machines) > 0 {
		moved, stayed := m.step(d.atStep)
		var rest logic.Ref
		d.second, rest = m.settle(moved, m.modeReaders())
		d.final = f.Or(stayed, rest)
	}
	d.any = f.Or(d.start, f.Or(d.first, d.second))
	if err := f.Err(); err != nil {
		return nil, err
	}
	for _, r := range []logic.Ref{d.start, d.first, d.atStep, d.second, d.final, d.any} {
		f.Pin(r)
	}
	m.during = d
	return d, nil
}

// resting is the part of u in which no element is excited.
func (m *model) resting(u logic.Ref) logic.Ref {
	for i := range m.elems {
		u = m.f.Diff(u, m.elems[i].excited)
	}
	return u
}

// toStep is the set of states right after the first part of a move from which
// settling can come to atStep states of b.
func (m *model) toStep(d *during, b logic.Ref) logic.Ref {
	return m.before(m.f.And(b, d.atStep), d.first)
}

// toFinal is the set of atStep states from which the rest of a move can end in
// b.
func (m *model) toFinal(d *during, b logic.Ref) logic.Ref {
	f := m.f
	b = f.And(m.refreshing(b), d.final)
	if len(m.machines) == 0 {
		return f.And(b, d.atStep)
	}
	stayed := f.Diff(f.And(b, d.atStep), m.moving)
	moved := f.And(m.stepping(m.before(b, d.second)), f.And(d.atStep, m.moving))
	return f.Or(stayed, moved)
}

// beginning is the set of resting states from which the first part of some move
// leads into b; idle moves lead into idle.
func (m *model) beginning(b, idle logic.Ref) logic.Ref {
	f := m.f
	out := logic.Never
	for i := range m.events {
		e := &m.events[i]
		if e.Kind == MoveIdle {
			out = f.Or(out, m.happening(e, idle))
		} else {
			out = f.Or(out, m.happening(e, b))
		}
	}
	return f.And(out, m.reached.all)
}

// preceding is the set of resting states from which one move can end in b.
func (m *model) preceding(d *during, b logic.Ref) logic.Ref {
	step := m.toFinal(d, b)
	return m.beginning(m.toStep(d, step), step)
}

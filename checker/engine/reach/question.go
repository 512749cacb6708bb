package reach

import (
	"context"
	"math"

	"pintle/checker/engine/logic"
)

// Never asks whether bad holds in no reachable resting state. Fails carries a
// shortest trace that is possible in time.
func (e *Engine) Never(ctx context.Context, bad *logic.Expr) (Verdict, error) {
	if v, known := e.known[bad]; known {
		return v, nil
	}
	v, err := e.never(ctx, bad, func(m *model, d *during) goal {
		return goal{final: m.f.And(m.reached.all, m.f.Of(bad))}
	})
	if err == nil && (v.Outcome != Undecided || e.ends == math.MaxUint64) && (v.Outcome != Fails || !e.untold) {
		e.known[bad] = v
	}
	return v, err
}

// NeverAtStep asks the same of the states in which the machines step: settled
// hardware, edges and modes as before the step. Whether a transition can fire,
// or two at once, is a question about these. The trace may end in the middle
// of a move.
func (e *Engine) NeverAtStep(ctx context.Context, bad *logic.Expr) (Verdict, error) {
	return e.never(ctx, bad, func(m *model, d *during) goal {
		return m.atStepGoal(d, m.f.Of(bad))
	})
}

func (e *Engine) never(ctx context.Context, bad *logic.Expr, aim func(*model, *during) goal) (Verdict, error) {
	m, err := e.model(ctx, bad.Vars()...)
	if err != nil {
		return unsure(err)
	}
	if _, err := m.reach(); err != nil {
		return unsure(err)
	}
	d, err := m.pass()
	if err != nil {
		return unsure(err)
	}
	g := aim(m, d)
	v, err := e.inTime(ctx, m, g)
	if err == nil {
		v, err = m.doubt(v, bad, v.Reason != "")
	}
	if err != nil {
		return unsure(err)
	}
	return v, nil
}

// Possible asks whether good holds in some reachable resting state. Holds
// carries a shortest trace that is possible in time.
func (e *Engine) Possible(ctx context.Context, good *logic.Expr) (Verdict, error) {
	return turn(e.Never(ctx, good))
}

// PossibleAtStep asks the same of the states in which the machines step.
func (e *Engine) PossibleAtStep(ctx context.Context, good *logic.Expr) (Verdict, error) {
	return turn(e.NeverAtStep(ctx, good))
}

// Passes reports whether x holds in some state that is reached: at rest, or in the midst of
// settling after a move or after the step of the machines. Time is left out of account, so
// what it denies is impossible, and what it affirms may come too soon to be possible. The
// error is that of the context, or says that a limit was met.
func (e *Engine) Passes(ctx context.Context, x *logic.Expr) (bool, error) {
	m, err := e.model(ctx, x.Vars()...)
	if err != nil {
		return false, err
	}
	r, err := m.reach()
	if err != nil {
		return false, err
	}
	d, err := m.pass()
	if err != nil {
		return false, err
	}
	in := m.f.And(m.f.Or(r.all, m.f.Or(d.any, m.f.Or(d.atStep, d.final))), m.f.Of(x))
	return in != logic.Never, m.f.Err()
}

// Passing gives a shortest trace to a state in the midst of settling, after a move or after the
// step of the machines, in which x holds; it ends in that state. Nil where there is none. Time
// is left out of account as for Passes, and so is the error.
func (e *Engine) Passing(ctx context.Context, x *logic.Expr) (*Trace, error) {
	m, err := e.model(ctx, x.Vars()...)
	if err != nil {
		return nil, err
	}
	d, err := m.pass()
	if err != nil {
		return nil, err
	}
	f := m.f
	in := f.Of(x)
	return m.shortest(goal{start: f.And(d.start, in), first: f.And(d.first, in), second: f.And(d.second, in)})
}

func turn(v Verdict, err error) (Verdict, error) {
	switch v.Outcome {
	case Holds:
		v.Outcome = Fails
	case Fails:
		v.Outcome = Holds
	}
	return v, err
}

// Always asks whether good holds in every reachable resting state, given when:
// "good whenever when". It is Vacuous if when never holds.
func (e *Engine) Always(ctx context.Context, good, when *logic.Expr) (Verdict, error) {
	s := e.sys.Space
	v, err := e.Never(ctx, s.And(when, s.Not(good)))
	if err != nil || v.Outcome != Holds {
		return v, err
	}
	ever, err := e.Possible(ctx, when)
	v.Vacuous = ever.Outcome == Fails
	return v, err
}

// Takes is the condition, read at the step of the machines, under which the
// given machine takes the given transition: indices into System.
func (e *Engine) Takes(machine, transition int) *logic.Expr {
	return takes(e.sys.Space, e.sys.Machines[machine])[transition]
}

// Enabled is the condition under which the transition could fire if none
// before it did.
func (e *Engine) Enabled(machine, transition int) *logic.Expr {
	k := e.sys.Machines[machine]
	t := k.Transitions[transition]
	return e.sys.Space.And(e.sys.Space.In(k.Var, t.From), t.When)
}

// Ambiguous is the condition under which two transitions to different modes
// are enabled at once; ask PossibleAtStep.
func (e *Engine) Ambiguous(machine, one, other int) *logic.Expr {
	s := e.sys.Space
	ts := e.sys.Machines[machine].Transitions
	if ts[one].To == ts[other].To {
		return s.False()
	}
	return s.And(e.Enabled(machine, one), e.Enabled(machine, other))
}

// Leaves is the condition, read at the step, under which the machine leaves
// the given mode. A mode is a trap if it is possible and this is not.
func (e *Engine) Leaves(machine, mode int) *logic.Expr {
	s, k := e.sys.Space, e.sys.Machines[machine]
	var ways []*logic.Expr
	for i, take := range takes(s, k) {
		if k.Transitions[i].To != mode {
			ways = append(ways, take)
		}
	}
	return s.And(s.Is(k.Var, mode), s.Or(ways...))
}

// CanLeave asks whether from every reachable state of set some run leaves it
// (regardless of time). Fails carries a trace to a state from which set is
// never left.
func (e *Engine) CanLeave(ctx context.Context, set *logic.Expr) (Verdict, error) {
	m, err := e.model(ctx, set.Vars()...)
	if err != nil {
		return unsure(err)
	}
	d, err := m.pass()
	if err != nil {
		return unsure(err)
	}
	f := m.f
	in := f.And(m.reached.all, f.Of(set))
	out := f.Diff(m.reached.all, in)
	for {
		grown := f.Or(out, f.And(m.preceding(d, out), m.reached.all))
		if f.Err() != nil {
			return unsure(f.Err())
		}
		if grown == out {
			break
		}
		out = grown
	}
	u, err := m.findUnsettled()
	if err != nil {
		return unsure(err)
	}
	if u.states != logic.Never {
		// From where hardware never settles a run may come back into set, or leave it.
		return Verdict{Outcome: Undecided, Reason: "hardware that it depends on never settles", Hunt: u.hunt, Work: m.work()}, nil
	}
	v, err := e.inTime(ctx, m, goal{final: f.Diff(in, out)})
	if err != nil {
		return unsure(err)
	}
	v.Vacuous = v.Outcome == Holds && in == logic.Never
	return v, nil
}

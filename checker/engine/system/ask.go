package system

import (
	"context"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
)

// Condition is something that can be asked about. It is made by the methods of System
// and means the same in every corner.
type Condition struct {
	of func(context.Context, *System) (meaning, error)
}

// On is the condition that a design states. Nil stands for always.
func On(c *model.Cond) Condition {
	return Condition{func(ctx context.Context, s *System) (meaning, error) { return s.level(ctx, c) }}
}

// AtStep is the same, read as the machines read it at their step: it may speak of what
// begins, ends and stays.
func AtStep(c *model.Cond) Condition {
	return Condition{func(ctx context.Context, s *System) (meaning, error) { return s.meaning(ctx, c) }}
}

// Literal is a condition in terms of the variables, which are the same in every corner.
func Literal(e *logic.Expr) Condition {
	return Condition{func(context.Context, *System) (meaning, error) { return meaning{expr: e}, nil }}
}

// All holds where all conditions do, Any where one does.
func All(cs ...Condition) Condition { return combine((*System).all, cs) }

// Any holds where one of the conditions does.
func Any(cs ...Condition) Condition { return combine((*System).any, cs) }

// Not holds where c does not.
func Not(c Condition) Condition {
	return combine(func(s *System, ms ...meaning) meaning { return s.not(ms[0]) }, []Condition{c})
}

func combine(f func(*System, ...meaning) meaning, cs []Condition) Condition {
	return Condition{func(ctx context.Context, s *System) (meaning, error) {
		ms := make([]meaning, len(cs))
		for i, c := range cs {
			var err error
			if ms[i], err = c.of(ctx, s); err != nil {
				return meaning{}, err
			}
		}
		return f(s, ms...), nil
	}}
}

// Of is a condition in terms of the variables of this system.
func (c Condition) Of(ctx context.Context, s *System) (*logic.Expr, error) {
	m, err := c.of(ctx, s)
	return m.expr, err
}

// engineAsk puts a question on expressions to an engine.
type engineAsk struct {
	of func(context.Context, *reach.Engine, []*logic.Expr) (reach.Verdict, error)
	// helps tells of each expression whether the question holds the more the more often that
	// holds, or else the less. Nil where neither can be said.
	helps []bool
}

// question is what is asked of some conditions.
type question struct {
	ask engineAsk
	// some is set where an example makes it hold: it has to hold with each of the open
	// values by itself. What holds of all states may be asked with any of them at once.
	some bool
	// example is set of these where it is one state in which the condition holds.
	example bool
	// lasts is set where the conditions are given time enough to come true for filaments to
	// become warm.
	lasts bool
}

// decide answers a question about some conditions: in this corner, and then in all
// others that matter.
func (s *System) decide(ctx context.Context, conds []Condition, q question) (Verdict, error) {
	return s.decideOver(ctx, conds, q, circuit.OverAll)
}

// decideOver is the same where only some of the open values count.
func (s *System) decideOver(ctx context.Context, conds []Condition, q question, over circuit.Freedom) (Verdict, error) {
	v, ms, err := s.decideHere(ctx, conds, q.ask)
	if err != nil || v.Outcome != Holds && v.Outcome != Fails {
		return v, err
	}
	if err := s.tolerate(ctx, &v, ms, conds, q, over); err != nil {
		return Verdict{}, err
	}
	return v, nil
}

// decideHere answers in this corner only.
func (s *System) decideHere(ctx context.Context, conds []Condition, ask engineAsk) (Verdict, []meaning, error) {
	ms, err := s.translated(ctx, conds)
	if err != nil {
		return Verdict{}, nil, err
	}
	if err := s.foreign; err != nil {
		s.foreign = nil
		return Verdict{}, nil, err
	}
	if v, sure := s.sure(ms); !sure {
		v, err := s.despite(ctx, v, ms, ask)
		return v, ms, err
	}
	v, err := s.asked(ctx, ms, ask)
	return v, ms, err
}

// asked puts a question whose conditions are known to the engine.
func (s *System) asked(ctx context.Context, ms []meaning, ask engineAsk) (Verdict, error) {
	exprs := make([]*logic.Expr, len(ms))
	for i := range ms {
		exprs[i] = ms[i].expr
	}
	run := func(ctx context.Context, e *reach.Engine) (reach.Verdict, error) { return ask.of(ctx, e, exprs) }
	got, err := run(ctx, s.engine)
	if err != nil {
		return Verdict{}, err
	}
	v := s.verdict(got)
	if s.loose && v.Trace != nil {
		return Verdict{Work: v.Work}, nil
	}
	if v.Trace == nil && v.Outcome != Undecided && s.assumed(ms) {
		if v.Assumptions, err = s.engine.Used(ctx, run); err != nil {
			return Verdict{}, err
		}
	}
	return v, nil
}

// verdict is the engine's answer as ours.
func (s *System) verdict(got reach.Verdict) Verdict {
	v := Verdict{Why: got.Reason, Vacuous: got.Vacuous}
	switch got.Outcome {
	case reach.Holds:
		v.Outcome = Holds
	case reach.Fails:
		v.Outcome = Fails
	default:
		v.Outcome = Undecided
		if got.Hunt == nil && got.Livelock == nil && *s.opts.met == "" {
			*s.opts.met = got.Reason
		}
	}
	if got.Trace != nil {
		v.Trace = &Trace{Trace: got.Trace, Schedule: got.Schedule, System: s}
	}
	if got.Hunt != nil {
		h := s.hunt(*got.Hunt)
		v.Unsettled = &h
		v.Why = s.goesOn(h) + " in states that it speaks of"
	}
	if got.Livelock != nil {
		v.Round = &Livelock{Trace: &Trace{Trace: got.Livelock.Trace, System: s}, Cycle: got.Livelock.Cycle}
		v.Why = "modes go round for ever in no time, and what would come after that can't be told"
	}
	v.Work.add(got.Work)
	return v
}

// cone lists the variables that affect some conditions.
func (s *System) cone(ms []meaning) []logic.Var {
	var vars []logic.Var
	for _, m := range ms {
		vars = append(vars, m.expr.Vars()...)
	}
	known := len(s.engine.System().Vars)
	vars = slices.DeleteFunc(vars, func(v logic.Var) bool { return int(v) >= known })
	return s.engine.Slice(vars...)
}

// sure reports whether everything that the conditions depend on could be read. Otherwise it
// gives the verdict.
func (s *System) sure(ms []meaning) (Verdict, bool) {
	var reasons []string
	unsure := false
	note := func(v logic.Var) {
		d, doubt := s.doubts[v]
		unsure = unsure || doubt
		if d.Reason != "" && !slices.Contains(reasons, d.Reason) {
			reasons = append(reasons, d.Reason)
		}
	}
	for _, m := range ms {
		for _, v := range m.expr.Vars() {
			note(v)
		}
	}
	for _, v := range s.cone(ms) {
		note(v)
	}
	switch {
	case !unsure:
		return Verdict{}, true
	case reasons == nil:
		return Verdict{Outcome: Unknown}, false
	}
	return Verdict{Outcome: Undecided, Why: strings.Join(reasons, "; ")}, false
}

// assumed reports whether an assumption restricts anything in the cone of the conditions.
func (s *System) assumed(ms []meaning) bool {
	cone := s.cone(ms)
	sys := s.engine.System()
	for _, in := range sys.Inputs {
		if _, inside := slices.BinarySearch(cone, in.Var); !inside {
			continue
		}
		for _, m := range in.Moves {
			if len(m.Guards) > 0 {
				return true
			}
		}
	}
	for _, inv := range sys.Invariants {
		vars := inv.Holds.Vars()
		if len(vars) == 0 {
			return true
		}
		if _, inside := slices.BinarySearch(cone, vars[0]); inside {
			return true
		}
	}
	return false
}

// questions lists what the cone of the conditions asks of the circuit, ascending.
func (s *System) questions(ms []meaning) []circuit.QuestionID {
	all := slices.Clone(ms)
	for _, v := range s.cone(ms) {
		all = append(all, meaning{asks: s.byVar[v]})
	}
	return merge(all...)
}

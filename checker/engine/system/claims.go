package system

import (
	"context"
	"math/big"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
)

// Never asks whether c holds in no reachable state.
func (s *System) Never(ctx context.Context, c Condition) (Verdict, error) {
	return s.decide(ctx, []Condition{c}, question{ask: never})
}

// Always asks whether c holds in every reachable state.
func (s *System) Always(ctx context.Context, c Condition) (Verdict, error) {
	return s.decide(ctx, []Condition{c, On(nil)}, question{ask: always})
}

// Whenever asks whether c holds in every reachable state in which when does. It is
// Vacuous if when never holds.
func (s *System) Whenever(ctx context.Context, c, when Condition) (Verdict, error) {
	return s.decide(ctx, []Condition{c, when}, question{ask: always})
}

// Possible asks whether c holds in some reachable state.
func (s *System) Possible(ctx context.Context, c Condition) (Verdict, error) {
	v, err := s.decide(ctx, []Condition{c}, question{ask: possible, some: true, example: true})
	return s.Surely(v), err
}

// PossibleHere asks whether c holds in some reachable state with every open value as in
// the corner of this system: what tolerances do is not asked. For those who look for an
// example and need no proof that holds throughout.
func (s *System) PossibleHere(ctx context.Context, c Condition) (Verdict, error) {
	v, _, err := s.decideHere(ctx, []Condition{c}, possible)
	return v, err
}

// PossibleAtStep asks what PossibleHere does of the states that the machines read at
// their step; see AtStep.
func (s *System) PossibleAtStep(ctx context.Context, c Condition) (Verdict, error) {
	v, _, err := s.decideHere(ctx, []Condition{c}, possibleAtStep)
	return v, err
}

// Passes reports whether c may hold in some state at nominal values, at rest or in the midst
// of settling; see reach.Engine.Passes. It is true where that is not known: something that c
// depends on could not be read, or a limit was met.
func (s *System) Passes(ctx context.Context, c Condition) (bool, error) {
	m, err := c.of(ctx, s)
	if err != nil {
		return false, err
	}
	if s.foreign != nil {
		err, s.foreign = s.foreign, nil
		return false, err
	}
	if err := s.need(ctx, m.expr.Vars()); err != nil {
		return false, err
	}
	if _, sure := s.sure([]meaning{m}); !sure {
		return true, nil
	}
	is, err := s.engine.Passes(ctx, m.expr)
	if err != nil && ctx.Err() == nil {
		return true, nil
	}
	return is, err
}

// Passing gives the shortest way to a state in the midst of settling in which c holds, at nominal
// values; nil where there is none, or where that is not known.
func (s *System) Passing(ctx context.Context, c Condition) (*Trace, error) {
	m, err := c.of(ctx, s)
	if err != nil {
		return nil, err
	}
	if s.foreign != nil {
		err, s.foreign = s.foreign, nil
		return nil, err
	}
	if _, sure := s.sure([]meaning{m}); !sure {
		return nil, nil
	}
	t, err := s.engine.Passing(ctx, m.expr)
	if err != nil || t == nil || s.unsureTrace(t) {
		if err != nil && ctx.Err() == nil {
			err = nil // a limit was met
		}
		return nil, err
	}
	return &Trace{Trace: t, System: s}, nil
}

// Within asks whether, whenever when holds and c does not, c comes or when goes before
// the limit, in seconds, has passed. With a limit of WarmUp or more the two are asked with
// filaments warm.
func (s *System) Within(ctx context.Context, c, when Condition, limit float64) (Verdict, error) {
	ns := nanoseconds(limit)
	return s.decide(ctx, []Condition{c, when}, question{lasts: limit >= WarmUp, ask: engineAsk{func(ctx context.Context, e *reach.Engine, x []*logic.Expr) (reach.Verdict, error) {
		return e.Within(ctx, x[0], x[1], ns)
	}, []bool{true, false}}})
}

// CanLeave asks whether c can be left again from every reachable state in which it holds.
func (s *System) CanLeave(ctx context.Context, c Condition) (Verdict, error) {
	return s.decide(ctx, []Condition{c}, question{some: true, ask: engineAsk{func(ctx context.Context, e *reach.Engine, x []*logic.Expr) (reach.Verdict, error) {
		return e.CanLeave(ctx, x[0])
	}, nil}})
}

var (
	never = engineAsk{func(ctx context.Context, e *reach.Engine, x []*logic.Expr) (reach.Verdict, error) {
		return e.Never(ctx, x[0])
	}, []bool{false}}
	always = engineAsk{func(ctx context.Context, e *reach.Engine, x []*logic.Expr) (reach.Verdict, error) {
		return e.Always(ctx, x[0], x[1])
	}, []bool{true, false}}
	possible = engineAsk{func(ctx context.Context, e *reach.Engine, x []*logic.Expr) (reach.Verdict, error) {
		return e.Possible(ctx, x[0])
	}, []bool{true}}
	possibleAtStep = engineAsk{func(ctx context.Context, e *reach.Engine, x []*logic.Expr) (reach.Verdict, error) {
		return e.PossibleAtStep(ctx, x[0])
	}, []bool{true}}
)

// Decide answers a requirement. Whether it also holds despite any one fault is a matter
// of building the system again for each fault: see Options.Faults.
func (s *System) Decide(ctx context.Context, r *model.Requirement) (Verdict, error) {
	return s.DecideWhere(ctx, r, On(nil))
}

// DecideWhere answers a requirement that is held against nothing but the reachable states
// in which a condition holds. What has to be possible has to be so in one of these.
func (s *System) DecideWhere(ctx context.Context, r *model.Requirement, where Condition) (Verdict, error) {
	if r.Broken {
		return Verdict{Outcome: Unknown}, nil
	}
	switch r.Form {
	case model.Never:
		return s.Never(ctx, All(On(r.A), where))
	case model.Always:
		return s.Whenever(ctx, On(r.A), where)
	case model.Whenever:
		return s.Whenever(ctx, On(r.A), All(On(r.B), where))
	case model.Possible:
		return s.Possible(ctx, All(On(r.A), where))
	case model.Within, model.Repeats:
		// What repeats is at no time away for longer than that.
		return s.Within(ctx, On(r.A), All(On(r.B), where), r.Seconds)
	case model.Apart:
		return s.Never(ctx, All(s.Conducts(r.X, r.Y), where))
	}
	return Verdict{Outcome: Unknown}, nil
}

// StatesOf counts the reachable states that what some conditions depend on tells apart: those
// that a question about them looks at. It is nil where something could not be read or a limit
// was met.
func (s *System) StatesOf(ctx context.Context, cs ...Condition) (*big.Int, error) {
	ms, err := s.translated(ctx, cs)
	if err != nil {
		return nil, err
	}
	if _, sure := s.sure(ms); !sure {
		return nil, nil
	}
	cone := s.cone(ms)
	if len(cone) == 0 {
		return big.NewInt(1), nil
	}
	x, err := s.engine.States(ctx, cone...)
	if err != nil {
		if ctx.Err() == nil {
			err = nil // a limit was met
		}
		return nil, err
	}
	return x.States, nil
}

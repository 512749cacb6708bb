package system

import (
	"context"

	"pintle/checker/logic"
	"pintle/checker/reach"
	"pintle/lang/model"
)

func (s *System) moveTimers(ctx context.Context) error {
	for i := range s.d.Timers {
		t := &s.d.Timers[i]
		v, _ := s.Var(Role{Kind: RoleTimer, Index: i})
		clock := reach.Clock{Var: v, Kind: reach.OnDelay}
		if t.InLast {
			clock.Kind = reach.OffDelay
		}
		run, err := s.level(ctx, t.Run)
		if err != nil {
			return err
		}
		stop := meaning{expr: s.space.False()}
		if t.Stop != nil {
			if stop, err = s.level(ctx, t.Stop); err != nil {
				return err
			}
		}
		if t.Broken {
			run = s.doubt("")
		}
		s.asks(v, run, stop)
		switch {
		case t.Starts:
			clock.Run = s.space.On(s.latch(i, run, stop))
		case t.InLast && t.Stop != nil:
			clock.Kind = reach.OnDelay
			clock.Run = s.space.And(s.space.On(s.recall(i, run, stop)), s.space.Not(run.expr))
		default:
			clock.Run = s.space.And(run.expr, s.space.Not(stop.expr))
		}
		for _, c := range t.Cases {
			span := reach.Timed{Span: reach.Span{Min: nanoseconds(c.Min), Max: nanoseconds(c.Max)}}
			if c.When != nil {
				when, err := s.level(ctx, c.When)
				if err != nil {
					return err
				}
				s.asks(v, when)
				span.When = when.expr
			}
			clock.Lasts = append(clock.Lasts, span)
		}
		s.reach.Clocks = append(s.reach.Clocks, clock)
	}
	return nil
}

// latch adds the latch of a timer that, once started, runs to its end. It sets only
// while the clock is idle, so that a run that is over is not taken for a new one.
func (s *System) latch(timer int, run, stop meaning) logic.Var {
	x := s.space
	v := s.must(Role{Kind: RoleTimerLatch, Index: timer})
	clock := s.must(Role{Kind: RoleTimer, Index: timer})
	s.asks(v, run, stop)
	s.reach.Elements = append(s.reach.Elements, reach.Element{Var: v, Rules: []reach.Rule{
		{From: logic.SetOf(0), To: 1, When: x.And(run.expr, x.Not(stop.expr), x.Is(clock, reach.ClockIdle))},
		{From: logic.SetOf(1), To: 0, When: x.Or(stop.expr, x.And(x.Is(clock, reach.ClockDone), x.Not(run.expr)))},
	}})
	return v
}

// recall adds the latch of an `in the last` that can be stopped: it sets with the
// condition and clears when it was stopped, or when the time after it has passed.
func (s *System) recall(timer int, run, stop meaning) logic.Var {
	x := s.space
	v := s.must(Role{Kind: RoleTimerLatch, Index: timer})
	clock := s.must(Role{Kind: RoleTimer, Index: timer})
	s.asks(v, run, stop)
	s.reach.Elements = append(s.reach.Elements, reach.Element{Var: v, Rules: []reach.Rule{
		{From: logic.SetOf(0), To: 1, When: x.And(run.expr, x.Not(stop.expr))},
		{From: logic.SetOf(1), To: 0, When: x.Or(stop.expr, x.And(x.Is(clock, reach.ClockDone), x.Not(run.expr)))},
	}})
	return v
}

// timer is "the timer is in one of these phases".
func (s *System) timer(ctx context.Context, a *model.Atom) (meaning, error) {
	t := &s.d.Timers[a.Index]
	if t.Broken {
		return s.doubt(""), nil
	}
	if !t.InLast || t.Stop == nil {
		return s.in(Role{Kind: RoleTimer, Index: a.Index}, a.In), nil
	}
	run, err := s.level(ctx, t.Run)
	if err != nil {
		return meaning{}, err
	}
	latch := s.in(Role{Kind: RoleTimerLatch, Index: a.Index}, []int{1})
	var out []meaning
	for _, phase := range a.In {
		switch phase {
		case model.TimerIdle:
			out = append(out, s.not(latch))
		case model.TimerRunning:
			out = append(out, s.all(latch, s.not(run)))
		case model.TimerDone:
			out = append(out, s.all(latch, run))
		}
	}
	return s.any(out...), nil
}

func (s *System) moveBeats(ctx context.Context) error {
	x := s.space
	for i := range s.d.Beats {
		b := &s.d.Beats[i]
		v := s.must(Role{Kind: RoleBeat, Index: i})
		runs, err := s.beatRuns(ctx, i)
		if err != nil {
			return err
		}
		s.asks(v, runs)
		if b.On == b.Off {
			ns := nanoseconds(b.On)
			s.reach.Beats = append(s.reach.Beats, reach.Beat{Var: v, Enable: runs.expr, Half: reach.Span{Min: ns, Max: ns}})
			continue
		}
		var halves [2]logic.Var
		for half, seconds := range [...]float64{b.On, b.Off} {
			h := s.must(Role{Kind: RoleBeatHalf, Index: i, Half: half})
			halves[half] = h
			s.asks(h, runs)
			ns := nanoseconds(seconds)
			s.reach.Clocks = append(s.reach.Clocks, reach.Clock{
				Var: h, Kind: reach.OnDelay, Run: x.And(runs.expr, x.Is(v, half)),
				Lasts: []reach.Timed{{Span: reach.Span{Min: ns, Max: ns}}},
			})
		}
		s.reach.Elements = append(s.reach.Elements, reach.Element{Var: v, Rules: []reach.Rule{
			{From: logic.SetOf(1), To: 0, When: x.Not(runs.expr)},
			{From: logic.SetOf(0), To: 1, When: x.And(runs.expr, x.Is(halves[0], reach.ClockDone))},
			{From: logic.SetOf(1), To: 0, When: x.Is(halves[1], reach.ClockDone)},
		}})
	}
	return nil
}

// beatRuns is the condition under which a beat runs.
func (s *System) beatRuns(ctx context.Context, i int) (meaning, error) {
	if s.d.Beats[i].Broken {
		return s.doubt(""), nil
	}
	return s.level(ctx, s.d.Beats[i].While)
}

func (s *System) moveEdges(ctx context.Context) error {
	for i := range s.d.Edges {
		v := s.must(Role{Kind: RoleEdge, Index: i})
		of, err := s.level(ctx, s.d.Edges[i].Of)
		if err != nil {
			return err
		}
		s.asks(v, of)
		s.reach.Edges = append(s.reach.Edges, reach.EdgeMemory{Var: v, Of: of.expr})
	}
	return nil
}

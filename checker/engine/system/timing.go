package system

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
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
		after := s.samples(t)
		if phased(t) {
			v = s.must(Role{Kind: RoleTimerHelp, Index: i})
			clock = reach.Clock{Var: v, Kind: reach.OnDelay, Run: s.phase(i, run, stop, after)}
		} else {
			clock.After = after
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

// samples lists the inputs that read volts of which a timer of a controller speaks: these have read
// before it looks, so that it does not start for what an input reads in the moment of waking up.
func (s *System) samples(t *model.Timer) (out []logic.Var) {
	if t.Controller == model.None {
		return nil
	}
	look := func(c *model.Cond) {
		c.Atoms(func(c *model.Cond) {
			if c.Atom.Kind == model.AtomMemory && s.d.Memories[c.Atom.Index].MemKind == model.MemLevel {
				out = append(out, s.MemoryVar(model.MemoryID(c.Atom.Index)))
			}
		})
	}
	look(t.Run)
	look(t.Stop)
	for _, c := range t.Cases {
		look(c.When)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// phased reports whether a timer is more than a clock can do by itself: its phase is then a
// piece of hardware, and the clock only measures how long it has been running.
func phased(t *model.Timer) bool { return t.Starts || t.InLast && t.Stop != nil }

// phase adds the phase of such a timer and returns when it is running. It begins to run
// only while the clock is idle, so that a run is measured from its beginning, and nothing
// else can see the clock, so that it acts as if it were one with the phase.
func (s *System) phase(timer int, run, stop meaning, after []logic.Var) *logic.Expr {
	x := s.space
	v := s.must(Role{Kind: RoleTimer, Index: timer})
	clock := s.must(Role{Kind: RoleTimerHelp, Index: timer})
	s.asks(v, run, stop)
	rested, over := x.Is(clock, reach.ClockIdle), x.Is(clock, reach.ClockDone)
	rules := []reach.Rule{{From: logic.SetOf(model.TimerRunning, model.TimerDone), To: model.TimerIdle, When: stop.expr}}
	if s.d.Timers[timer].Starts {
		rules = append(rules,
			reach.Rule{From: logic.SetOf(model.TimerIdle), To: model.TimerRunning, When: x.And(run.expr, x.Not(stop.expr), rested)},
			reach.Rule{From: logic.SetOf(model.TimerRunning), To: model.TimerDone, When: over},
			reach.Rule{From: logic.SetOf(model.TimerDone), To: model.TimerIdle, When: x.Not(run.expr)},
		)
	} else {
		rules = append(rules,
			reach.Rule{From: logic.SetOf(model.TimerIdle, model.TimerRunning), To: model.TimerDone, When: x.And(run.expr, x.Not(stop.expr))},
			reach.Rule{From: logic.SetOf(model.TimerDone), To: model.TimerRunning, When: x.And(x.Not(run.expr), rested)},
			reach.Rule{From: logic.SetOf(model.TimerRunning), To: model.TimerIdle, When: over},
		)
	}
	s.reach.Elements = append(s.reach.Elements, reach.Element{Var: v, Rules: rules, After: after})
	return x.Is(v, model.TimerRunning)
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
			{From: logic.SetOf(1), To: 0, When: x.And(x.Is(halves[0], reach.ClockIdle), x.Or(x.Not(runs.expr), x.Is(halves[1], reach.ClockDone)))},
			{From: logic.SetOf(0), To: 1, When: x.And(runs.expr, x.Is(halves[0], reach.ClockDone), x.Is(halves[1], reach.ClockIdle))},
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

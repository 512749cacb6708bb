package system

import (
	"context"
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/interval"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// build adds the variables first, so that conditions may speak of any of them, and then
// who moves them.
func (s *System) build(ctx context.Context) error {
	s.cutAxes()
	for _, add := range []func() error{s.addInputs, s.addMemories, s.addMachines, s.addTiming, s.addEdges, s.addOffsets} {
		if err := add(); err != nil {
			return err
		}
	}
	for _, move := range []func(context.Context) error{
		s.moveSettings, s.moveQuantities, s.moveFree, s.moveMemories, s.moveMachines, s.moveTimers, s.moveBeats, s.moveEdges, s.assumptions,
	} {
		if err := move(ctx); err != nil {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
	}
	for i := range s.d.Drivers { // told in traces whether or not anything asks for them
		if e := s.d.Drivers[i].Element; e != model.None {
			if _, err := s.level(ctx, s.d.Elements[e].Closed); err != nil {
				return err
			}
		}
	}
	return s.foreign
}

// add declares a variable.
func (s *System) add(r Role, d logic.Domain, v reach.Var) (logic.Var, error) {
	at, err := s.space.Add(d)
	if err != nil {
		return -1, fmt.Errorf("system: %w", err)
	}
	s.roles = append(s.roles, r)
	s.reach.Vars = append(s.reach.Vars, v)
	if r.Kind != RoleUnknown {
		s.byRole[r] = at
	}
	return at, nil
}

// size of a domain as the space can hold it. What is larger gets a variable of which
// nothing is asked: see tooMany.
func fit(n int) int { return min(max(n, 1), logic.MaxSize) }

// tooMany reports whether a domain is too large to be told apart.
func tooMany(n int) bool { return n > logic.MaxSize }

func (s *System) addInputs() error {
	for i := range s.d.Settings {
		t := &s.d.Settings[i]
		n := fit(len(t.Positions))
		_, err := s.add(Role{Kind: RoleSetting, Index: i}, logic.Domain{Name: t.Path, Size: n, Ordered: t.InOrder},
			reach.Var{Kind: reach.Input, Initial: logic.SetOf(min(t.Start, n-1))})
		if err != nil {
			return err
		}
	}
	for i := range s.d.Quantities {
		q := &s.d.Quantities[i]
		size, start := 1, 0
		if a := s.axes[i]; a != nil {
			size = a.Len()
			start, _ = a.At(q.Start.N)
		}
		_, err := s.add(Role{Kind: RoleQuantity, Index: i}, logic.Domain{Name: q.Path, Size: size, Ordered: true},
			reach.Var{Kind: reach.Input, Initial: logic.SetOf(start)})
		if err != nil {
			return err
		}
	}
	if err := s.addFree(); err != nil {
		return err
	}
	for _, i := range s.stuckSenders() {
		q := s.d.Senders[i].Quantity
		if q == model.None || s.axes[q] == nil {
			continue
		}
		n := s.axes[q].Len()
		_, err := s.add(Role{Kind: RoleStuck, Index: i}, logic.Domain{Name: s.d.Senders[i].Path, Size: n, Ordered: true},
			reach.Var{Kind: reach.Fixed, Initial: logic.Full(n)})
		if err != nil {
			return err
		}
	}
	return s.addShorted()
}

// addFree adds an input for each contact made `sometimes` that a condition speaks of. The
// two throws of a changeover speak of one.
func (s *System) addFree() error {
	var elements []int
	s.eachCond(func(c *model.Cond) {
		c.Atoms(func(c *model.Cond) {
			if a := &c.Atom; a.Kind == model.AtomFree && a.Index >= 0 && a.Index < len(s.d.Elements) {
				elements = append(elements, a.Index)
			}
		})
	})
	slices.Sort(elements)
	for _, e := range slices.Compact(elements) {
		_, err := s.add(Role{Kind: RoleFree, Index: e}, logic.Domain{Name: s.d.Elements[e].Path, Size: 2}, reach.Var{Kind: reach.Input, Initial: logic.Full(2)})
		if err != nil {
			return err
		}
	}
	return nil
}

func (s *System) addMemories() error {
	for i := range s.d.Memories {
		m := &s.d.Memories[i]
		n := fit(len(m.States))
		_, err := s.add(Role{Kind: RoleMemory, Index: i}, logic.Domain{Name: m.Path, Size: n},
			reach.Var{Kind: reach.Hardware, Initial: logic.SetOf(min(m.Start, n-1))})
		if err != nil {
			return err
		}
	}
	return nil
}

func (s *System) addMachines() error {
	for i := range s.d.Machines {
		m := &s.d.Machines[i]
		n := len(m.Modes)
		if m.Reset != nil {
			n *= 2
			_, err := s.add(Role{Kind: RoleDisowner, Index: i}, logic.Domain{Name: m.Path + " (copy)", Size: 2}, reach.Var{Kind: reach.Hardware})
			if err != nil {
				return err
			}
		}
		n = fit(n)
		start := m.Start
		if s.opts.From != nil {
			start = s.opts.From.Modes[i]
		}
		_, err := s.add(Role{Kind: RoleMachine, Index: i}, logic.Domain{Name: m.Path, Size: n},
			reach.Var{Kind: reach.Machine, Initial: logic.SetOf(min(start, n-1))})
		if err != nil {
			return err
		}
	}
	return nil
}

func (s *System) addTiming() error {
	for i := range s.d.Timers {
		t := &s.d.Timers[i]
		kind := reach.Timing
		if phased(t) {
			kind = reach.Hardware
			_, err := s.add(Role{Kind: RoleTimerHelp, Index: i}, logic.Domain{Name: t.Path + " (clock)", Size: 3}, reach.Var{Kind: reach.Timing})
			if err != nil {
				return err
			}
		}
		start := logic.SetOf(model.TimerIdle)
		if s.opts.From != nil {
			start = logic.SetOf(s.opts.From.Timers[i])
		}
		_, err := s.add(Role{Kind: RoleTimer, Index: i}, logic.Domain{Name: t.Path, Size: 3}, reach.Var{Kind: kind, Initial: start})
		if err != nil {
			return err
		}
	}
	for i := range s.d.Beats {
		b := &s.d.Beats[i]
		kind := reach.Beating
		if b.On != b.Off {
			kind = reach.Hardware
			for half := range 2 {
				_, err := s.add(Role{Kind: RoleBeatHalf, Index: i, Half: half},
					logic.Domain{Name: fmt.Sprintf("%s (half %d)", b.Path, half), Size: 3}, reach.Var{Kind: reach.Timing})
				if err != nil {
					return err
				}
			}
		}
		_, err := s.add(Role{Kind: RoleBeat, Index: i}, logic.Domain{Name: b.Path, Size: 2}, reach.Var{Kind: kind})
		if err != nil {
			return err
		}
	}
	return nil
}

func (s *System) addEdges() error {
	for i := range s.d.Edges {
		_, err := s.add(Role{Kind: RoleEdge, Index: i}, logic.Domain{Name: fmt.Sprintf("edge %d", i), Size: 2}, reach.Var{Kind: reach.Edge})
		if err != nil {
			return err
		}
	}
	return nil
}

// cutAxes finds the values that each quantity is compared with, directly or through
// the senders that tell it.
func (s *System) cutAxes() {
	points := make([][]unit.Value, len(s.d.Quantities))
	direct, told := map[model.QuantityID][]unit.Num{}, map[model.SenderID][]unit.Num{}
	var tells []func()
	add := func(q model.QuantityID, v unit.Value) {
		if q >= 0 && int(q) < len(points) && v.Dim() == s.d.Quantities[q].Lo.Dim() {
			points[q] = append(points[q], v)
		}
	}
	s.eachCond(func(c *model.Cond) {
		c.Atoms(func(c *model.Cond) {
			switch a := &c.Atom; a.Kind {
			case model.AtomQuantity:
				add(model.QuantityID(a.Index), a.Value)
				direct[model.QuantityID(a.Index)] = append(direct[model.QuantityID(a.Index)], a.Value.N)
			case model.AtomReading:
				for _, id := range s.d.Readings[a.Index].Senders {
					told[id] = append(told[id], a.Value.N)
					tells = append(tells, func() {
						for _, by := range s.offsetsOf(id) {
							add(s.d.Senders[id].Quantity, less(a.Value, by))
						}
					})
				}
			}
		})
	})
	if s.opts.Inexact {
		s.offsets, s.manyOffsets = s.chooseOffsets(direct, told)
	}
	for _, f := range tells {
		f()
	}
	s.axes = make([]*interval.Axis, len(points))
	for i := range points {
		q := &s.d.Quantities[i]
		if q.Broken {
			continue
		}
		a, err := interval.NewAxis(q.Lo, q.Hi, points[i]...)
		if err != nil || tooMany(a.Len()) {
			continue
		}
		if _, inside := a.At(q.Start.N); inside {
			s.axes[i] = a
		}
	}
}

// eachCond calls f for every condition that decides or claims something, and for those
// that will be asked about besides.
func (s *System) eachCond(f func(*model.Cond)) {
	s.d.EachStateCond(f)
	for _, c := range s.opts.Also {
		f(c)
	}
}

// nanoseconds of a number of seconds, within what the engine can count.
func nanoseconds(seconds float64) int64 {
	ns := math.Round(seconds * 1e9)
	return int64(min(max(ns, 0), float64(reach.Forever)/4))
}

// setOf is the set of the given values as far as the domain has them.
func (s *System) setOf(v logic.Var, values []int) logic.Set {
	n := s.space.Size(v)
	return logic.SetOf(slices.DeleteFunc(slices.Clone(values), func(x int) bool { return x >= n })...)
}

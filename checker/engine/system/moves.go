package system

import (
	"context"
	"math"
	"slices"

	"pintle/checker/engine/incomplete"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
)

func (s *System) moveSettings(ctx context.Context) error {
	for i := range s.d.Settings {
		t := &s.d.Settings[i]
		v := s.SettingVar(model.SettingID(i))
		n := s.space.Size(v)
		in := reach.InputMoves{Var: v}
		for from := range n {
			for to := range n {
				near := to == from+1 || to == from-1
				if from == to || t.InOrder && !near && !slices.Contains(t.Springs, model.Spring{From: from, To: to}) {
					continue
				}
				guards, err := s.guards(ctx, v, func(a *model.Assumption) bool {
					return a.Form == model.AssumeMoves && int(a.Setting) == i && a.Position == to
				})
				if err != nil {
					return err
				}
				in.Moves = append(in.Moves, reach.Move{From: from, To: to, Guards: guards})
			}
		}
		s.reach.Inputs = append(s.reach.Inputs, in)
	}
	return nil
}

func (s *System) moveQuantities(ctx context.Context) error {
	for i := range s.d.Quantities {
		v := s.QuantityVar(model.QuantityID(i))
		in := reach.InputMoves{Var: v}
		guard := func(form model.AssumptionKind) ([]reach.Guard, error) {
			return s.guards(ctx, v, func(a *model.Assumption) bool { return a.Form == form && int(a.Quantity) == i })
		}
		rises, err := guard(model.AssumeRises)
		if err != nil {
			return err
		}
		falls, err := guard(model.AssumeFalls)
		if err != nil {
			return err
		}
		n := s.space.Size(v)
		for from := range n {
			least := s.crossing(i, from)
			if from+1 < n {
				in.Moves = append(in.Moves, reach.Move{From: from, To: from + 1, Guards: rises, Least: least})
			}
			if from > 0 {
				in.Moves = append(in.Moves, reach.Move{From: from, To: from - 1, Guards: falls, Least: least})
			}
		}
		s.reach.Inputs = append(s.reach.Inputs, in)
	}
	return nil
}

// crossing is the shortest time in nanoseconds in which a quantity can cross a region,
// rounded down, so that no way that time allows is ruled out.
func (s *System) crossing(quantity, region int) int64 {
	a, q := s.axes[quantity], &s.d.Quantities[quantity]
	if a == nil || !(q.Rate > 0) {
		return 0
	}
	ns := math.Floor(a.Width(region).Float64() / q.Rate * 1e9)
	return int64(min(max(ns, 0), float64(reach.Forever)/4))
}

func (s *System) moveFree(context.Context) error {
	for v, r := range s.roles {
		if r.Kind == RoleFree {
			s.reach.Inputs = append(s.reach.Inputs, reach.InputMoves{
				Var: logic.Var(v), Moves: []reach.Move{{From: 0, To: 1}, {From: 1, To: 0}},
			})
		}
	}
	return nil
}

// guards states the assumptions that which selects as guards on moves of v.
func (s *System) guards(ctx context.Context, v logic.Var, which func(*model.Assumption) bool) ([]reach.Guard, error) {
	var out []reach.Guard
	for i := range s.d.Assumptions {
		a := &s.d.Assumptions[i]
		if !which(a) {
			continue
		}
		m, err := s.level(ctx, a.Cond)
		if err != nil {
			return nil, err
		}
		if a.Broken || s.doubtful(m.expr) {
			s.loose = true
			continue
		}
		s.asks(v, m)
		out = append(out, reach.Guard{When: m.expr, Assumption: a.Path})
	}
	return out, nil
}

// assumptions adds the invariants, and notes the assumptions that say nothing readable.
func (s *System) assumptions(ctx context.Context) error {
	s.loose = s.loose || incomplete.LeftOut(s.d, "assume")
	for i := range s.d.Assumptions {
		a := &s.d.Assumptions[i]
		switch a.Form {
		case model.AssumeNever, model.AssumeAlways:
		default:
			s.loose = s.loose || a.Broken || a.Form == model.AssumeMoves && a.Setting == model.None ||
				a.Form != model.AssumeMoves && a.Quantity == model.None
			continue
		}
		m, err := s.level(ctx, a.Cond)
		if err != nil {
			return err
		}
		if a.Broken || s.doubtful(m.expr) || !s.inputsOnly(m.expr) {
			s.loose = true
			continue
		}
		holds := m.expr
		if a.Form == model.AssumeNever {
			holds = s.space.Not(holds)
		}
		s.reach.Invariants = append(s.reach.Invariants, reach.Invariant{Assumption: a.Path, Holds: holds})
	}
	return nil
}

func (s *System) inputsOnly(e *logic.Expr) bool {
	for _, v := range e.Vars() {
		if k := s.reach.Vars[v].Kind; k != reach.Input && k != reach.Fixed {
			return false
		}
	}
	return true
}

func (s *System) moveMemories(ctx context.Context) error {
	if s.opts.OnDemand {
		s.waits = make([]bool, len(s.d.Memories))
	}
	for i := range s.d.Memories {
		s.reach.Elements = append(s.reach.Elements, reach.Element{Var: s.MemoryVar(model.MemoryID(i))})
		if s.waits != nil {
			s.waits[i] = true
		} else if err := s.moveMemory(ctx, i); err != nil {
			return err
		}
	}
	return nil
}

// moveMemory adds what a memory follows. The elements of memories come first, in their order.
func (s *System) moveMemory(ctx context.Context, i int) error {
	m := &s.d.Memories[i]
	v := s.MemoryVar(model.MemoryID(i))
	if m.Broken || tooMany(len(m.States)) {
		s.reach.Elements[i].Rules = []reach.Rule{{From: logic.Full(s.space.Size(v)), When: s.doubt("").expr}}
		return nil
	}
	for _, r := range m.Rules {
		when, err := s.level(ctx, r.When)
		if err != nil {
			return err
		}
		s.asks(v, when)
		from := logic.Full(s.space.Size(v))
		if r.From != nil {
			from = s.setOf(v, r.From)
		}
		s.reach.Elements[i].Rules = append(s.reach.Elements[i].Rules, reach.Rule{From: from, To: r.To, When: when.expr, AtRest: r.AtRest})
	}
	return nil
}

func (s *System) moveMachines(ctx context.Context) error {
	for i := range s.d.Machines {
		if err := s.moveMachine(ctx, i); err != nil {
			return err
		}
	}
	return nil
}

func (s *System) moveMachine(ctx context.Context, i int) error {
	m := &s.d.Machines[i]
	v, _ := s.Var(Role{Kind: RoleMachine, Index: i})
	k := reach.ModeMachine{Var: v}
	defer func() { s.reach.Machines = append(s.reach.Machines, k) }()
	modes := len(m.Modes)
	if m.Broken || modes == 0 || tooMany(2*modes) {
		k.Transitions = []reach.Transition{{From: logic.Full(s.space.Size(v)), When: s.doubt("").expr}}
		if m.Reset != nil { // nothing is asked of the copy that it would be in
			s.reach.Elements = append(s.reach.Elements, reach.Element{Var: s.must(Role{Kind: RoleDisowner, Index: i})})
		}
		return nil
	}
	reset, err := s.reset(ctx, i)
	if err != nil {
		return err
	}
	for _, t := range m.Transitions {
		when, err := s.meaning(ctx, t.When) // may speak of edges
		if err != nil {
			return err
		}
		s.asks(v, when)
		from := t.From
		if t.Any {
			from = numbers[int](modes)
		}
		if m.Reset == nil {
			k.Transitions = append(k.Transitions, reach.Transition{From: s.setOf(v, from), To: t.To, When: when.expr})
			continue
		}
		for copy := range 2 {
			counts := s.space.Is(s.must(Role{Kind: RoleDisowner, Index: i}), copy)
			k.Transitions = append(k.Transitions, reach.Transition{
				From: s.modeSet(i, copy, from), To: t.To + copy*modes,
				When: s.space.And(counts, s.space.Not(reset.expr), when.expr),
			})
		}
	}
	return nil
}

// reset adds the disowner of a machine that loses its mode without power, and returns
// the condition under which it does.
func (s *System) reset(ctx context.Context, i int) (meaning, error) {
	m := &s.d.Machines[i]
	if m.Reset == nil {
		return meaning{expr: s.space.False()}, nil
	}
	reset, err := s.level(ctx, m.Reset)
	if err != nil {
		return meaning{}, err
	}
	v, _ := s.Var(Role{Kind: RoleMachine, Index: i})
	owner := s.must(Role{Kind: RoleDisowner, Index: i})
	s.asks(owner, reset)
	modes := len(m.Modes)
	el := reach.Element{Var: owner}
	for copy := range 2 {
		var stands []int // in another mode than its start, in the copy that counts
		for mode := range modes {
			if mode != m.Start {
				stands = append(stands, mode+copy*modes)
			}
		}
		el.Rules = append(el.Rules, reach.Rule{
			From: logic.SetOf(copy), To: 1 - copy,
			When: s.space.And(reset.expr, s.space.In(v, logic.SetOf(stands...))),
		})
	}
	s.reach.Elements = append(s.reach.Elements, el)
	return reset, nil
}

// modeSet is the set of values of a machine with two copies that read as one of the
// given modes while copy counts.
func (s *System) modeSet(machine, copy int, modes []int) logic.Set {
	m := &s.d.Machines[machine]
	n := len(m.Modes)
	var values []int
	for _, mode := range modes {
		if mode >= n {
			continue
		}
		values = append(values, mode+copy*n)
		if mode == m.Start { // all of the other copy
			for x := range n {
				values = append(values, x+(1-copy)*n)
			}
		}
	}
	return logic.SetOf(values...)
}

// numbers lists 0 to n-1.
func numbers[T ~int](n int) []T {
	out := make([]T, n)
	for i := range out {
		out[i] = T(i)
	}
	return out
}

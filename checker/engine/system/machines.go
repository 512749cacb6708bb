package system

import (
	"context"

	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// InMode is where a machine is in a mode.
func InMode(machine model.MachineID, mode int) Condition {
	return Condition{func(_ context.Context, s *System) (meaning, error) { return s.mode(int(machine), []int{mode}), nil }}
}

// Fires is where a machine takes a transition, both as numbered in the design. It is read
// at the step: ask PossibleAtStep.
func Fires(machine model.MachineID, transition int) Condition {
	return atMachine(machine, func(s *System, own []int) *logic.Expr {
		var ways []*logic.Expr
		for _, k := range own {
			if s.transition(int(machine), k) == transition {
				ways = append(ways, s.engine.Takes(int(machine), k))
			}
		}
		return s.space.Or(ways...)
	})
}

// Enabled is where a transition could be taken if none was written before it. It is read
// at the step.
func Enabled(machine model.MachineID, transition int) Condition {
	return atMachine(machine, func(s *System, own []int) *logic.Expr {
		var ways []*logic.Expr
		for _, k := range own {
			if s.transition(int(machine), k) == transition {
				ways = append(ways, s.engine.Enabled(int(machine), k))
			}
		}
		return s.space.Or(ways...)
	})
}

// Leaves is where a machine leaves a mode for another by a transition. It is read at the
// step. A mode is a trap if it is possible and this is not.
func Leaves(machine model.MachineID, mode int) Condition {
	return All(InMode(machine, mode), atMachine(machine, func(s *System, own []int) *logic.Expr {
		var ways []*logic.Expr
		for _, k := range own {
			if s.d.Machines[machine].Transitions[s.transition(int(machine), k)].To != mode {
				ways = append(ways, s.engine.Takes(int(machine), k))
			}
		}
		return s.space.Or(ways...)
	}))
}

// atMachine is a condition about the transitions of a machine; own numbers those that the
// engine has for it.
func atMachine(machine model.MachineID, f func(s *System, own []int) *logic.Expr) Condition {
	return Condition{func(_ context.Context, s *System) (meaning, error) {
		v := s.must(Role{Kind: RoleMachine, Index: int(machine)})
		if v < 0 || s.d.Machines[machine].Broken {
			return s.doubt(""), nil
		}
		own := numbers[int](len(s.reach.Machines[machine].Transitions))
		return meaning{expr: f(s, own), asks: s.byVar[v]}, nil
	}}
}

// Row is where a row of a result is true.
func Row(result model.ResultID, row int) Condition {
	return Condition{func(ctx context.Context, s *System) (meaning, error) {
		return s.rows(ctx, &model.Atom{Kind: model.AtomResult, Index: int(result), In: []int{row}})
	}}
}

// NoRow is where no row of a result is true.
func NoRow(result model.ResultID) Condition {
	return Condition{func(ctx context.Context, s *System) (meaning, error) {
		m, err := s.rows(ctx, &model.Atom{Kind: model.AtomResult, Index: int(result), In: numbers[int](len(s.d.Results[result].Rows))})
		return s.not(m), err
	}}
}

// InState is where a memory is in a state.
func InState(memory model.MemoryID, state int) Condition {
	return Condition{func(_ context.Context, s *System) (meaning, error) {
		return s.in(Role{Kind: RoleMemory, Index: int(memory)}, []int{state}), nil
	}}
}

// FedAndVented is where a port is joined to a present origin and to air at once.
func FedAndVented(port model.PortID) Condition {
	return Condition{func(ctx context.Context, s *System) (meaning, error) {
		return s.port(ctx, &model.Atom{Kind: fedAndVented, Index: int(port)})
	}}
}

// fedAndVented stands for an atom that no design can state.
const fedAndVented = model.AtomKind(255)

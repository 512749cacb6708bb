package reach

import (
	"context"
	"math/big"

	"pintle/checker/engine/logic"
)

// States counts the reachable states as far as the given variables tell them
// apart; without variables, all states of the whole system.
func (e *Engine) States(ctx context.Context, vars ...logic.Var) (Extent, error) {
	if len(vars) == 0 && !e.opts.Unsliced {
		if x, ok, err := e.product(ctx); ok || err != nil {
			return x, err
		}
	}
	ask := vars
	if len(vars) == 0 {
		ask = e.all()
	}
	return e.states(ctx, ask, vars)
}

// states counts on the slice of some variables.
func (e *Engine) states(ctx context.Context, slice, vars []logic.Var) (Extent, error) {
	m, err := e.model(ctx, slice...)
	if err != nil {
		return Extent{}, err
	}
	r, err := m.reach()
	if err != nil {
		return Extent{}, err
	}
	n := m.f.Count(r.all, vars...)
	return Extent{States: n, Work: m.work()}, m.f.Err()
}

// product counts all states part by part, where the parts of the system that have
// nothing to do with one another can be in any state each. They can't where machines
// may be about to step in a resting state: every move makes them, so that it decides
// what the other parts can meanwhile be. ok tells that there was no such state.
func (e *Engine) product(ctx context.Context) (x Extent, ok bool, err error) {
	x.States = big.NewInt(1)
	parts := e.parts()
	for _, part := range parts {
		one, err := e.states(ctx, part, nil)
		if err != nil {
			return x, false, err
		}
		m, err := e.model(ctx, part...)
		if err != nil {
			return x, false, err
		}
		if m.f.And(m.reached.all, m.moving) != logic.Never {
			return x, false, m.f.Err()
		}
		x.States.Mul(x.States, one.States)
		x.Work.Variables += one.Work.Variables
		x.Work.Images += one.Work.Images
		x.Work.Peak = max(x.Work.Peak, one.Work.Peak)
	}
	return x, len(parts) > 0, nil
}

// parts divides the variables into those that have nothing to do with one another.
// Machines stay together because all of them step in one move.
func (e *Engine) parts() [][]logic.Var { return e.tied(true) }

// Parts divides the variables into those that have no say in one another, in rising order of
// the first of each. What is reached of one does not depend on the others.
func (e *Engine) Parts() [][]logic.Var { return e.tied(false) }

func (e *Engine) tied(machines bool) [][]logic.Var {
	ties := make([][]logic.Var, len(e.deps))
	tie := func(v, w logic.Var) {
		ties[v] = append(ties[v], w)
		ties[w] = append(ties[w], v)
	}
	machine := logic.Var(-1)
	for i, deps := range e.deps {
		v := logic.Var(i)
		for _, w := range deps {
			tie(v, w)
		}
		if machines && e.sys.Vars[v].Kind == Machine {
			if machine >= 0 {
				tie(v, machine)
			}
			machine = v
		}
	}
	return components(ties, func(logic.Var) bool { return true })
}

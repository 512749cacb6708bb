package system

import (
	"context"

	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// Systems of which not everything is worked out.
//
// What a memory follows is where a design asks its circuit, and the answers of the circuit are
// what a system costs. With Options.OnDemand a memory has no rules until a question depends on
// it. A question is decided on its cone; so it is exact as soon as all memories of the cone
// have their rules, and what lies outside has no say, whether it has rules or not.

// need works out what the given variables depend on, and what that depends on.
func (s *System) need(ctx context.Context, vars []logic.Var) error {
	for s.waits != nil {
		if s.stale {
			if err := s.start(); err != nil {
				return err
			}
			s.stale = false
		}
		for _, v := range s.slice(vars) {
			if err := s.workOut(ctx, v); err != nil {
				return err
			}
		}
		if !s.stale {
			return nil
		}
	}
	return nil
}

// workOut adds the rules of a memory that waits for them, and of those that they speak of.
func (s *System) workOut(ctx context.Context, v logic.Var) error {
	r := s.role(v)
	if r.Kind != RoleMemory || !s.waits[r.Index] {
		return nil
	}
	if err := s.moveMemory(ctx, r.Index); err != nil {
		s.reach.Elements[r.Index].Rules = nil // half of them would be a lie
		return err
	}
	s.waits[r.Index], s.stale = false, true
	for _, rule := range s.reach.Elements[r.Index].Rules {
		for _, w := range rule.When.Vars() {
			if err := s.workOut(ctx, w); err != nil {
				return err
			}
		}
		if rule.AtRest { // what else may be due is not known as long as something waits
			for i := range s.waits {
				if err := s.workOut(ctx, s.MemoryVar(model.MemoryID(i))); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// needAll works out everything.
func (s *System) needAll(ctx context.Context) error {
	if s.waits == nil {
		return nil
	}
	all := make([]logic.Var, 0, len(s.d.Memories))
	for i := range s.d.Memories {
		all = append(all, s.must(Role{Kind: RoleMemory, Index: i}))
	}
	if err := s.need(ctx, all); err != nil {
		return err
	}
	s.waits = nil
	return nil
}

// slice lists the variables that affect some of which the engine knows.
func (s *System) slice(vars []logic.Var) []logic.Var {
	var known []logic.Var
	for _, v := range vars {
		if int(v) < len(s.engine.System().Vars) {
			known = append(known, v)
		}
	}
	return s.engine.Slice(known...)
}

// plain translates a condition that asks nothing of the circuit, if need be: what a trace tells
// of it. It is false where that has to be worked out.
func (s *System) plain(c *model.Cond) (m meaning, ok bool) {
	if m, ok = s.meanings[c]; ok || s.waits == nil || c == nil {
		return m, ok
	}
	ok = c.Known()
	c.Atoms(func(c *model.Cond) {
		switch c.Atom.Kind {
		case model.AtomSetting, model.AtomMemory, model.AtomMachine, model.AtomTimer, model.AtomBeat, model.AtomFree:
		default:
			ok = false
		}
	})
	if !ok {
		return m, false
	}
	m, err := s.level(context.Background(), c)
	return m, err == nil
}

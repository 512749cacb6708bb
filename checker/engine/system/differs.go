package system

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// Differs finds the first of some conditions that is otherwise, in some reachable state at
// rest in which a memory of two states is in the second, than it would be with the memory in
// the first and everything else the same; -1 where none is. Unknown is set where one depends on
// something that could not be read or found out, so that -1 says nothing.
func (s *System) Differs(ctx context.Context, conds []Condition, by model.MemoryID) (which int, unknown bool, err error) {
	v := s.MemoryVar(by)
	if v < 0 {
		return -1, true, nil
	}
	for i, c := range conds {
		m, err := c.of(ctx, s)
		if err != nil {
			return -1, false, err
		}
		on := false
		for _, x := range m.expr.Vars() {
			on = on || x == v
		}
		if !on {
			continue
		}
		if _, sure := s.sure([]meaning{m}); !sure {
			unknown = true
			continue
		}
		f, r, err := s.engine.Reachable(ctx, m.expr.Vars()...)
		if err != nil {
			return -1, false, err
		}
		g := f.Of(m.expr)
		with, without := f.Fix(g, v, 1), f.Fix(g, v, 0)
		differ := f.Or(f.Diff(with, without), f.Diff(without, with))
		is := f.And(f.And(r, f.Is(v, 1)), differ)
		if f.Err() != nil {
			return -1, false, f.Err()
		}
		if is != logic.Never {
			return i, unknown, nil
		}
	}
	return -1, unknown, nil
}

// Comparison is where, by what is moved from outside, something stands otherwise once a
// memory of two states is in the second: in the words of the design, "" where the two are
// alike or no condition is short enough to be read.
type Comparison struct {
	// Lost: it is so in the first state, and it may not be so in the second. Gained: it is not so in the
	// first, and it may be so in the second.
	Lost, Gained bool
	// LostWhen and GainedWhen say where; "always" for everywhere.
	LostWhen, GainedWhen string
}

// Compare tells where a condition stands otherwise with a memory in its second state than in
// its first, over all states at rest, by what is moved from outside. Where it may stand either
// way with nothing but that known, it says nothing. False where something could not be read.
func (s *System) Compare(ctx context.Context, c Condition, by model.MemoryID) (out Comparison, ok bool, err error) {
	m, err := c.of(ctx, s)
	if err != nil {
		return out, false, err
	}
	v := s.MemoryVar(by)
	if _, sure := s.sure([]meaning{m}); !sure || v < 0 {
		return out, false, nil
	}
	cone := s.cone([]meaning{m})
	if !slices.Contains(cone, v) {
		return out, true, nil // the memory has no say in it
	}
	if rests, err := s.engine.Settles(ctx, cone...); err != nil || !rests {
		return out, false, err
	}
	f, r, err := s.engine.Reachable(ctx, cone...)
	if err != nil {
		return out, false, err
	}
	var vars, hide []logic.Var
	for _, x := range f.Order() {
		if k := s.role(x).Kind; slices.Contains(cone, x) && (k == RoleSetting || k == RoleQuantity) {
			vars = append(vars, x)
		} else {
			hide = append(hide, x)
		}
	}
	seen := func(state int, g logic.Ref) logic.Ref {
		return f.And(f.Exists(f.And(f.And(r, f.Is(v, state)), g), f.Bits(hide...)), f.Valid())
	}
	is := f.Of(m.expr)
	not := f.Diff(f.Valid(), is)
	sound1, sound0, then1, then0 := seen(0, is), seen(0, not), seen(1, is), seen(1, not)
	lost := f.And(f.Diff(sound1, sound0), then0)
	gained := f.And(f.Diff(sound0, sound1), then1)
	all := f.Or(sound1, sound0)
	if f.Err() != nil {
		return out, false, f.Err()
	}
	when := func(g logic.Ref) (string, error) {
		rest := f.Diff(all, g)
		if rest == logic.Never {
			return "always", nil
		}
		e, err := s.decidedBy(ctx, f, g, rest, vars)
		if err != nil || e == nil {
			return "", err
		}
		return s.Words(e), nil
	}
	if out.Lost = lost != logic.Never; out.Lost {
		if out.LostWhen, err = when(lost); err != nil {
			return out, false, err
		}
	}
	if out.Gained = gained != logic.Never; out.Gained {
		if out.GainedWhen, err = when(gained); err != nil {
			return out, false, err
		}
	}
	return out, true, nil
}

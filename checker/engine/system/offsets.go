package system

import (
	"context"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
)

// eachOffset decides a question with each of the offsets of those senders that it depends on
// by itself, as far as they are not too many together.
func (s *System) eachOffset(ctx context.Context, t *System, k circuit.Corner, conds []Condition, q question) (model.Offsets, Verdict, error) {
	ms, err := t.translated(ctx, conds)
	if err != nil {
		return s.opts.Offsets, Verdict{}, err
	}
	cone := t.cone(ms)
	ask := q.ask
	if q.example && !t.timed(cone) {
		return s.everyOffset(ctx, t, k, conds, ms[0], cone, ask)
	}
	all := []model.Offsets{s.opts.Offsets}
	for _, o := range t.offsets {
		if _, in := slices.BinarySearch(cone, t.must(Role{Kind: RoleOffset, Index: int(o.sender)})); !in {
			continue
		}
		var next []model.Offsets
		for _, x := range all {
			for _, by := range o.values {
				next = append(next, x.With(o.sender, by))
			}
		}
		if all = next; len(all) > s.opts.MaxCorners {
			return s.opts.Offsets, Verdict{Outcome: Undecided, Why: "what several senders may tell together is too much to try"}, nil
		}
	}
	best := Verdict{Outcome: Holds}
	for _, o := range all {
		u, err := s.atOffsets(ctx, k, o)
		if err != nil {
			return o, best, err
		}
		v, _, err := u.decideHere(ctx, conds, ask)
		if err != nil {
			return o, best, err
		}
		if v.Outcome != Holds {
			if best = v; v.Outcome == Fails {
				return s.plainest(ctx, k, o, conds, ask)
			}
		}
	}
	return s.opts.Offsets, best, nil
}

// timed reports whether time may rule out what the order of things lets happen to some
// variables.
func (s *System) timed(cone []logic.Var) bool {
	return slices.ContainsFunc(cone, func(v logic.Var) bool {
		switch r := s.roles[v]; r.Kind {
		case RoleQuantity:
			return s.d.Quantities[r.Index].Rate > 0
		case RoleTimer, RoleTimerHelp, RoleBeat, RoleBeatHalf:
			return true
		}
		return false
	})
}

// everyOffset looks for an example with all offsets at once, where time has no say: whether
// the states in which a condition holds come with each of them.
func (s *System) everyOffset(ctx context.Context, t *System, k circuit.Corner, conds []Condition, m meaning, cone []logic.Var, ask engineAsk) (model.Offsets, Verdict, error) {
	f, r, err := t.engine.Reachable(ctx, cone...)
	if err != nil {
		if why, met := reach.Undecidable(err); met {
			return s.opts.Offsets, Verdict{Outcome: Undecided, Why: why}, nil
		}
		return s.opts.Offsets, Verdict{}, err
	}
	var hide []logic.Var
	for _, v := range f.Order() {
		if t.role(v).Kind != RoleOffset {
			hide = append(hide, v)
		}
	}
	with := f.Exists(f.And(r, f.Of(m.expr)), f.Bits(hide...))
	without := f.And(f.Diff(f.Exists(r, f.Bits(hide...)), with), f.Valid())
	p, some := f.Least(without)
	if err := f.Err(); err != nil {
		why, _ := reach.Undecidable(err)
		return s.opts.Offsets, Verdict{Outcome: Undecided, Why: why}, nil
	}
	if !some {
		return s.opts.Offsets, Verdict{Outcome: Holds}, nil
	}
	off := s.opts.Offsets
	for _, o := range t.offsets {
		v := t.must(Role{Kind: RoleOffset, Index: int(o.sender)})
		if _, in := slices.BinarySearch(cone, v); in {
			off = off.With(o.sender, o.values[p[v]])
		}
	}
	return s.plainest(ctx, k, off, conds, ask)
}

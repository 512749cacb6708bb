package system

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
)

// When says in the design's words under what condition c holds, over all reachable
// states: "key is run and fast". It speaks of settings and quantities where these decide,
// else also of what remembers (thresholds, modes, timers, levels read), and of iron only
// where nothing else decides. Its text is empty where no such condition is short enough
// to be worth reading, where something could not be read, or where something that it turns
// on never settles.
func (s *System) When(ctx context.Context, c Condition) (string, error) {
	return s.WhenAmong(ctx, c, On(nil))
}

// WhenAmong says it over those reachable states in which another condition holds.
func (s *System) WhenAmong(ctx context.Context, c, among Condition) (string, error) {
	m, err := c.of(ctx, s)
	if err != nil {
		return "", err
	}
	in, err := among.of(ctx, s)
	if err == nil {
		err = s.needAll(ctx)
	}
	if err != nil {
		return "", err
	}
	if _, sure := s.sure([]meaning{m, in}); !sure {
		return "", nil
	}
	cone := s.cone([]meaning{m, in})
	if rests, err := s.engine.Settles(ctx, cone...); err != nil || !rests {
		return "", err
	}
	f, r, err := s.engine.Reachable(ctx, cone...)
	if err != nil {
		return "", err
	}
	r = f.And(r, f.Of(in.expr))
	g := f.Of(m.expr)
	on, off := f.And(r, g), f.Diff(r, g)
	switch {
	case f.Err() != nil:
		return "", f.Err()
	case on == logic.Never:
		return "never", nil
	case off == logic.Never:
		return "always", nil
	}
	for level := range levelsOfWords {
		e, err := s.decidedBy(ctx, f, on, off, s.vocabulary(cone, m.expr, level))
		if err != nil {
			return "", err
		}
		if e != nil {
			return s.Words(e), nil
		}
	}
	return "", nil
}

// levelsOfWords counts the vocabularies that When tries.
const levelsOfWords = 4

// longest bounds the terms of a condition that is still worth reading.
const longest = 12

// vocabulary lists those variables of the cone that a text of a level may speak of. Only
// the last one has what the condition itself is said of.
func (s *System) vocabulary(cone []logic.Var, of *logic.Expr, level int) []logic.Var {
	var out []logic.Var
	for _, v := range cone {
		if rank := s.rank(v); rank > level {
			continue
		}
		if level < levelsOfWords-1 && s.reach.Vars[v].Kind != reach.Input && of.Kind() == logic.In && of.Var() == v {
			continue
		}
		out = append(out, v)
	}
	return out
}

// rank reports how well a reader knows a variable: 0 what is moved from outside, 1 what
// remembers, 2 iron and power, more than any level what the system has for its own use.
func (s *System) rank(v logic.Var) int {
	switch r := s.role(v); r.Kind {
	case RoleSetting, RoleQuantity, RoleFree, RoleStuck, RoleShorted:
		return 0
	case RoleMachine, RoleDisowner, RoleMode, RoleTimer, RoleBeat:
		return 1
	case RoleMemory:
		switch s.d.Memories[r.Index].MemKind {
		case model.MemThreshold, model.MemLevel, model.MemBand:
			return 1
		}
		return 2
	}
	return levelsOfWords
}

// decidedBy writes on as a condition over some variables; nil if they do not tell it from
// off.
func (s *System) decidedBy(ctx context.Context, f *logic.Manager, on, off logic.Ref, vars []logic.Var) (*logic.Expr, error) {
	g, sets, err := s.seenBy(ctx, f, vars, on, off)
	if err != nil || g == nil {
		return nil, err
	}
	e := g.Simplify(sets[0], g.Or(sets[0], sets[1]), logic.SimplifyOptions{Rank: s.rank, MaxTerms: longest})
	return e, g.Err()
}

// seenBy gives sets as far as some variables tell their states apart, in a manager in which each
// machine has one variable for the mode that it reads as. The manager is nil if the variables do
// not tell the sets from one another.
func (s *System) seenBy(ctx context.Context, f *logic.Manager, vars []logic.Var, sets ...logic.Ref) (*logic.Manager, []logic.Ref, error) {
	g, out, err := s.project(ctx, f, vars, sets)
	if err != nil {
		return nil, nil, err
	}
	for i := range out {
		for _, other := range out[:i] {
			if g.And(out[i], other) != logic.Never {
				return nil, nil, g.Err()
			}
		}
	}
	return g, out, g.Err()
}

// project is seenBy whether or not the variables tell the sets from one another.
func (s *System) project(ctx context.Context, f *logic.Manager, vars []logic.Var, sets []logic.Ref) (*logic.Manager, []logic.Ref, error) {
	var hide []logic.Var
	for _, v := range f.Order() {
		if !slices.Contains(vars, v) {
			hide = append(hide, v)
		}
	}
	out := make([]logic.Ref, len(sets))
	for i, set := range sets {
		out[i] = f.And(f.Exists(set, f.Bits(hide...)), f.Valid())
	}
	views := s.views(vars)
	if len(views) == 0 || f.Err() != nil {
		return f, out, f.Err()
	}
	order := slices.DeleteFunc(slices.Clone(vars), func(v logic.Var) bool {
		return s.role(v).Kind == RoleDisowner || slices.ContainsFunc(views, func(w view) bool { return w.machine == v })
	})
	for _, w := range views {
		order = append(order, w.seen)
	}
	g, err := logic.NewManager(s.space, logic.ManagerOptions{Order: order, MaxNodes: s.opts.MaxNodes})
	if err != nil {
		return nil, nil, err
	}
	g.Watch(ctx)
	for i := range out {
		out[i] = g.And(g.Of(s.seen(f, out[i], views)), g.Valid())
	}
	return g, out, g.Err()
}

// view is a variable for the mode that a machine with two copies of its modes reads as.
// It stands in no rule: it only lets a text speak of the mode.
type view struct {
	machine, owner, seen logic.Var
	index                int
}

// views lists a view for each machine with two copies among some variables.
func (s *System) views(vars []logic.Var) []view {
	var out []view
	for _, v := range vars {
		r := s.role(v)
		if r.Kind != RoleMachine || s.d.Machines[r.Index].Reset == nil {
			continue
		}
		seen, ok := s.byRole[Role{Kind: RoleMode, Index: r.Index}]
		if !ok {
			var err error
			seen, err = s.add(Role{Kind: RoleMode, Index: r.Index},
				logic.Domain{Name: s.d.Machines[r.Index].Path + " (read)", Size: len(s.d.Machines[r.Index].Modes)}, s.reach.Vars[v])
			if err != nil {
				continue
			}
		}
		out = append(out, view{machine: v, owner: s.must(Role{Kind: RoleDisowner, Index: r.Index}), seen: seen, index: r.Index})
	}
	return out
}

// seen writes a set of states with the modes as they are read.
func (s *System) seen(f *logic.Manager, g logic.Ref, views []view) *logic.Expr {
	if len(views) == 0 {
		return shannon(f, g)
	}
	w := views[0]
	var parts []*logic.Expr
	for mode := range s.d.Machines[w.index].Modes {
		reads := f.Of(s.mode(w.index, []int{mode}).expr)
		at := f.Exists(f.And(g, reads), f.Bits(w.machine, w.owner))
		parts = append(parts, s.space.And(s.space.Is(w.seen, mode), s.seen(f, at, views[1:])))
	}
	return s.space.Or(parts...)
}

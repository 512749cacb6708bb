package system

import (
	"context"
	"math/big"
	"slices"

	"pintle/checker/engine/logic"
)

// block is a part of the design in which assumptions leave nothing that can move, or no
// state to start in.
type block struct {
	assumptions []string // by path; all of the part where only together they do
	vars        []logic.Var
}

// Blocks lists the assumptions under which nothing can move, or no state to start in, by
// path. That is told of each part of the design that has nothing to do with the others by
// itself; a single setting or quantity that an assumption holds where it starts is held on
// purpose, unless nothing else can move either. Nil where everything can move.
func (s *System) Blocks(ctx context.Context) ([]string, error) {
	blocks, err := s.blocked(ctx)
	var out []string
	for _, b := range blocks {
		out = append(out, b.assumptions...)
	}
	slices.Sort(out)
	return slices.Compact(out), err
}

func (s *System) blocked(ctx context.Context) ([]block, error) {
	if s.blocksKnown {
		return s.blocks, nil
	}
	out, err := s.findBlocks(ctx)
	if err == nil {
		s.blocks, s.blocksKnown = out, true
	}
	return out, err
}

func (s *System) findBlocks(ctx context.Context) ([]block, error) {
	if err := s.needAll(ctx); err != nil {
		return nil, err
	}
	if len(s.engine.Assumptions()) == 0 || s.loose {
		return nil, nil
	}
	var out []block
	moves := false // something can move
	for _, part := range s.engine.Parts() {
		b, still, err := s.blockOf(ctx, part)
		if err != nil {
			return nil, err
		}
		moves = moves || !still
		if len(b.assumptions) > 0 {
			out = append(out, b)
		}
	}
	if moves {
		out = slices.DeleteFunc(out, func(b block) bool { return len(b.vars) == 1 })
	}
	return out, nil
}

// blockOf looks at one part of the design. still reports whether nothing in it can move, with
// or without assumptions.
func (s *System) blockOf(ctx context.Context, part []logic.Var) (b block, still bool, err error) {
	b.vars = part
	stuck := func(without ...string) (bool, error) {
		e := s.engine
		if len(without) > 0 {
			e = e.Without(without...)
		}
		x, err := e.States(ctx, part...)
		return err == nil && x.States.Cmp(big.NewInt(1)) <= 0, err
	}
	if is, err := stuck(); err != nil || !is {
		return b, false, err
	}
	ids := s.engine.AssumptionsOn(part)
	if len(ids) == 0 {
		return b, true, nil
	}
	if is, err := stuck(ids...); err != nil || is {
		return b, true, err // nothing could move anyway
	}
	for _, id := range ids {
		others := slices.DeleteFunc(slices.Clone(ids), func(o string) bool { return o == id })
		is, err := stuck(others...)
		if err != nil {
			return b, true, err
		}
		if is {
			b.assumptions = append(b.assumptions, id)
		}
	}
	if b.assumptions == nil {
		b.assumptions = ids
	}
	return b, true, nil
}

// Restless reports whether hardware that never settles, or assumptions that leave nothing that
// can move, affect one of some conditions: then hardly any of the states that they turn
// on can be reached, and nothing is to be concluded from what is never so. What happens in
// another part of the design leaves them alone.
func (s *System) Restless(ctx context.Context, conds ...Condition) (bool, error) {
	hunts, err := s.Hunts(ctx)
	if err != nil {
		return false, err
	}
	blocks, err := s.blocked(ctx)
	if err != nil || len(hunts) == 0 && len(blocks) == 0 {
		return false, err
	}
	var vars []logic.Var
	for _, c := range conds {
		m, err := c.of(ctx, s)
		if err != nil {
			return false, err
		}
		if s.doubtful(m.expr) {
			return true, nil // nothing is to be concluded from what could not be read
		}
		vars = append(vars, m.expr.Vars()...)
	}
	slices.Sort(vars)
	slice := s.engine.Slice(slices.Compact(vars)...)
	for _, h := range hunts {
		for _, c := range h.Changes {
			if slices.Contains(slice, c.Var) {
				return true, nil
			}
		}
	}
	for _, b := range blocks {
		if slices.ContainsFunc(b.vars, func(v logic.Var) bool { return slices.Contains(slice, v) }) {
			return true, nil
		}
	}
	return false, nil
}

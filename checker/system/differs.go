package system

import (
	"context"

	"pintle/checker/logic"
	"pintle/lang/model"
)

// Differs finds the first of some conditions that is otherwise, in some reachable state at
// rest in which a memory of two states is in the second, than it would be with the memory in
// the first and everything else the same; -1 where none is. Unknown is set where one turns on
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

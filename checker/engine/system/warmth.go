package system

import (
	"context"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// WarmUp is how long after it is switched on a filament counts as warm, in seconds. Lamp
// filaments are hot within a tenth of a second or less; common practice, no source.
const WarmUp = 0.2

// brief lists the questions of a cone, ascending, whose answers matter at once: those of
// hardware, controllers and timers that a moment starts. Not among them is what is asked
// only of something that has to last for WarmUp or longer: by the time that this depends on
// it, filaments are warm. lasts says so of the conditions themselves.
func (s *System) brief(ctx context.Context, ms []meaning, lasts bool) ([]circuit.QuestionID, error) {
	var all []meaning
	if !lasts {
		all = slices.Clone(ms)
	}
	for _, v := range s.cone(ms) {
		if r := s.roles[v]; r.Kind == RoleTimer {
			if long, err := s.outlasts(ctx, &s.d.Timers[r.Index]); err != nil {
				return nil, err
			} else if long {
				continue
			}
		}
		all = append(all, meaning{asks: s.byVar[v]})
	}
	return merge(all...), nil
}

// outlasts reports whether a timer does something only once its condition has been true for
// WarmUp or longer, and asks the circuit for nothing else.
func (s *System) outlasts(ctx context.Context, t *model.Timer) (bool, error) {
	if t.InLast || t.Starts || len(t.Cases) == 0 {
		return false, nil
	}
	others := []*model.Cond{t.Stop}
	for _, c := range t.Cases {
		if c.Min < WarmUp {
			return false, nil
		}
		others = append(others, c.When)
	}
	for _, c := range others {
		m, err := s.level(ctx, c)
		if err != nil || len(m.asks) > 0 {
			return false, err
		}
	}
	return true, nil
}

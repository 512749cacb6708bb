package system

import "context"

// PossibleHere asks whether c holds in some reachable state with every open value as in
// the corner of this system: what tolerances do is not asked. For those who look for an
// example and need no proof that holds throughout.
func (s *System) PossibleHere(ctx context.Context, c Condition) (Verdict, error) {
	v, _, err := s.decideHere(ctx, []Condition{c}, possible)
	return v, err
}

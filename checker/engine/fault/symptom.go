package fault

import (
	"context"

	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// Explanation is what is found of a condition that a driver may notice.
type Explanation struct {
	Outcome Outcome // Holds: some fault brings it about; Fails: none does
	Why     string
	// By is the first fault that brings it about.
	By *Fault
	// Tried counts the faults that were looked at.
	Tried int
}

// chunk is how many groups of faults are tried before symptoms that are explained are left
// out.
const chunk = 8

// Explain finds for each condition the first single fault that can bring it about: at
// nominal values or, where none does, within the tolerances.
func (s *Sweep) Explain(ctx context.Context, conds []*model.Cond) ([]Explanation, error) {
	out := make([]Explanation, len(conds))
	if why := s.tooMany(); why != "" {
		for i := range out {
			out[i] = Explanation{Outcome: Undecided, Why: why}
		}
		return out, nil
	}
	cones := make([]*Cone, len(conds))
	for i, c := range conds {
		out[i] = Explanation{Outcome: Fails, Tried: len(s.faults)}
		cones[i] = ConeOf(s.d, []*model.Cond{c})
	}
	for _, nominal := range [...]bool{true, false} {
		for from := 0; from < len(s.groups); from += chunk {
			var open []int
			for i := range out {
				if out[i].By == nil {
					open = append(open, i)
				}
			}
			if len(open) == 0 {
				return out, nil
			}
			if err := s.explain(ctx, conds, cones, open, from, nominal, out); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// explain tries one chunk of faults on some conditions.
func (s *Sweep) explain(ctx context.Context, conds []*model.Cond, cones []*Cone, open []int, from int, nominal bool, out []Explanation) error {
	n := min(chunk, len(s.groups)-from)
	got := make([][]system.Verdict, n)
	errs := make([]error, n)
	err := s.each(ctx, n, func(ctx context.Context, k int) error {
		got[k] = make([]system.Verdict, len(open))
		w, err := s.inject(ctx, s.d, &s.faults[s.groups[from+k][0]], false)
		if err != nil {
			errs[k] = err
			return nil
		}
		var sys *System
		for j, i := range open {
			if !cones[i].Holds(w) {
				got[k][j].Outcome = system.Fails // as in the sound design
				continue
			}
			if sys == nil {
				if sys, err = s.opts.build(ctx, w, nominal); err != nil {
					return err
				}
			}
			if got[k][j], err = sys.possible(ctx, sys.Of(conds[i]), nominal); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for j, i := range open {
		for k := range n {
			f := &s.faults[s.groups[from+k][0]]
			undecided := func(why string) {
				if out[i].Outcome == Fails {
					out[i].Outcome, out[i].Why = Undecided, "with "+f.Words+": "+why
				}
			}
			switch v := got[k][j]; {
			case errs[k] != nil:
				undecided(errs[k].Error())
			case v.Outcome == system.Undecided:
				undecided(v.Why)
			case v.Outcome == system.Unknown:
				out[i].Outcome = Unknown
			case v.Outcome == system.Holds && out[i].By == nil:
				out[i].By, out[i].Outcome, out[i].Why = f, Holds, ""
			}
		}
	}
	return nil
}

// possible asks whether a condition can be, as long as no supply is shorted without a fuse.
func (s *System) possible(ctx context.Context, c *model.Cond, nominal bool) (system.Verdict, error) {
	asked := system.On(c)
	if s.Unprotected != nil { // what shows while a wire burns is no sign to go by
		asked = system.All(asked, system.Not(system.On(s.Unprotected)))
	}
	if s.Shorted != nil {
		asked = system.All(asked, system.Not(system.On(s.Shorted)))
	}
	if nominal {
		return s.PossibleHere(ctx, asked)
	}
	v, err := s.Never(ctx, asked)
	switch v.Outcome {
	case system.Holds:
		v.Outcome = system.Fails
		if v.NominalOnly {
			v.Outcome = system.Undecided
		}
	case system.Fails, system.HoldsNominally:
		v.Outcome = system.Holds
	}
	return v, err
}

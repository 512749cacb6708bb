package fault

import (
	"context"
	"math"
	"slices"
	"sync"

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
		var open []int
		for i := range out {
			if out[i].By == nil {
				open = append(open, i)
			}
		}
		if len(open) == 0 {
			break
		}
		if err := s.explain(ctx, conds, cones, open, nominal, out); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// firsts are the first groups of faults found so far that bring each of some conditions about.
type firsts struct {
	mu    sync.Mutex
	group []int                      // per condition; math.MaxInt: none yet
	stop  map[int]context.CancelFunc // of the groups that are being tried
}

// begin notes that a group is being tried. It is false where earlier ones bring all conditions
// about.
func (f *firsts) begin(ctx context.Context, g int) (context.Context, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if g > slices.Max(f.group) {
		return nil, false
	}
	ctx, f.stop[g] = context.WithCancel(ctx)
	return ctx, true
}

func (f *firsts) end(g int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.stop[g]()
	delete(f.stop, g)
}

// needless reports whether an earlier group brings a condition about.
func (f *firsts) needless(k, g int) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.group[k] < g
}

// found notes that a group brings a condition about, and stops those after the last one needed.
func (f *firsts) found(k, g int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.group[k] = min(f.group[k], g)
	last := slices.Max(f.group)
	for other, stop := range f.stop {
		if other > last {
			stop()
		}
	}
}

// explain tries the faults in their order on some conditions, until each has one.
func (s *Sweep) explain(ctx context.Context, conds []*model.Cond, cones []*Cone, open []int, nominal bool, out []Explanation) error {
	got := make([][]system.Verdict, len(s.groups))
	errs := make([]error, len(s.groups))
	first := &firsts{group: make([]int, len(open)), stop: map[int]context.CancelFunc{}}
	for k := range first.group {
		first.group[k] = math.MaxInt
	}
	err := s.each(ctx, len(s.groups), func(whole context.Context, g int) error {
		ctx, ok := first.begin(whole, g)
		if !ok {
			return nil
		}
		defer first.end(g)
		var err error
		if got[g], err = s.explainBy(ctx, g, conds, cones, open, nominal, first, &errs[g]); err != nil && ctx.Err() != nil && whole.Err() == nil {
			return nil // earlier ones bring everything about
		}
		return err
	})
	if err != nil {
		return err
	}
	for k, i := range open {
		if g := first.group[k]; g < len(s.groups) {
			out[i].By, out[i].Outcome, out[i].Why = &s.faults[s.groups[g][0]], Holds, ""
			continue
		}
		for g := range s.groups {
			undecided := func(why string) {
				if out[i].Outcome == Fails {
					out[i].Outcome, out[i].Why = Undecided, "with "+s.faults[s.groups[g][0]].Words+": "+why
				}
			}
			switch {
			case errs[g] != nil:
				undecided(errs[g].Error())
			case got[g][k].Outcome == system.Undecided:
				undecided(got[g][k].Why)
			case got[g][k].Outcome == system.Unknown:
				out[i].Outcome = Unknown
			}
		}
	}
	return nil
}

// explainBy tries one group of faults on the conditions that no earlier one brings about. Why it
// can't be injected, if it can't, is failed.
func (s *Sweep) explainBy(ctx context.Context, g int, conds []*model.Cond, cones []*Cone, open []int, nominal bool, first *firsts, failed *error) ([]system.Verdict, error) {
	got := make([]system.Verdict, len(open))
	w, err := s.inject(ctx, s.d, &s.faults[s.groups[g][0]], false)
	if err != nil {
		*failed = err
		return got, ctx.Err()
	}
	var sys *System
	for k, i := range open {
		switch {
		case first.needless(k, g):
			continue
		case !cones[i].Holds(w):
			got[k].Outcome = system.Fails // as in the sound design
			continue
		case sys == nil:
			if sys, err = s.opts.build(ctx, w, nominal); err != nil {
				return got, err
			}
		}
		if got[k], err = sys.possible(ctx, sys.Of(conds[i]), nominal); err != nil {
			return got, err
		}
		if got[k].Outcome == system.Holds {
			first.found(k, g)
		}
	}
	return got, nil
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

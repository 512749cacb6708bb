package fault

import (
	"context"
	"fmt"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// Despite answers some requirements of the design, by index, with the faults with which each
// of them is to hold: any one, any one but some, any two, or some that are named, one at a
// time. It says nothing of whether they hold in the sound design. The error is that of the
// context or of an engine.
func (s *Sweep) Despite(ctx context.Context, requirements []int) ([]Result, error) {
	out := make([]Result, len(requirements))
	var any, at []int
	for k, i := range requirements {
		only := s.d.Requirements[i].With.Only
		if only == nil {
			any, at = append(any, i), append(at, k)
			continue
		}
		got, err := s.named(only).anyOne(ctx, []int{i})
		if err != nil {
			return nil, err
		}
		out[k] = got[0]
	}
	got, err := s.anyOne(ctx, any)
	if err != nil {
		return nil, err
	}
	for n, k := range at {
		out[k] = got[n]
		if s.d.Requirements[any[n]].With.Two && out[k].Outcome == Holds {
			if err := s.anyTwo(ctx, any[n], &out[k]); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// named is a sweep of the faults that a claim names.
func (s *Sweep) named(list []model.NamedFault) *Sweep {
	out := &Sweep{d: s.d, opts: s.opts}
	for i := range list {
		out.faults = append(out.faults, s.Named(&list[i]))
	}
	out.groups = Groups(s.d, out.faults)
	return out
}

// Named is the fault that a claim names: that of the list of single faults where it is one.
func (s *Sweep) Named(n *model.NamedFault) Fault {
	for i := range s.faults {
		if s.is(&s.faults[i], n) {
			return s.faults[i]
		}
	}
	f := Fault{Words: n.Words, Event: n.Words + " comes about", Subject: n.Words, Place: n.Place, Actions: circuit.Overlay(n.Actions)}
	if n.Declared != model.None {
		f.Declared, f.Place = true, s.d.Faults[n.Declared].Place
	} else if a := n.Actions[0]; a.Mode == model.FaultSwapped {
		f.Subject = a.Thing.Path
		f.Words, f.Event = a.Thing.Path+" and "+a.Other.Path+" swapped", a.Thing.Path+" and "+a.Other.Path+" are swapped"
	} else {
		f.Words, f.Event, f.Subject = a.Thing.Path+" "+a.Mode.State(), a.Thing.Path+" "+a.Mode.Event(), a.Thing.Path
	}
	return f
}

// is reports whether a fault is the one that a claim names: one that does the same.
func (s *Sweep) is(f *Fault, n *model.NamedFault) bool {
	if len(f.Actions) != len(n.Actions) {
		return false
	}
	for i, a := range f.Actions {
		b := n.Actions[i]
		swapped := a.Mode == model.FaultSwapped && a.Thing.Index == b.Other.Index && a.Other.Index == b.Thing.Index
		if a.Mode != b.Mode || a.Mend != b.Mend || !swapped && (a.Thing.Kind != b.Thing.Kind || a.Thing.Index != b.Thing.Index || a.Other.Index != b.Other.Index) {
			return false
		}
	}
	return true
}

// except leaves out the faults that a requirement excepts: groups of which none is left are
// not tried.
func (s *Sweep) except(out *Result, answers []answer, but []model.NamedFault) {
	if but == nil {
		return
	}
	left := make([]bool, len(s.faults))
	for i := range s.faults {
		for k := range but {
			if s.is(&s.faults[i], &but[k]) {
				left[i] = true
				out.Excepted = append(out.Excepted, s.faults[i])
				break
			}
		}
	}
	out.Tried -= len(out.Excepted)
	for g, group := range s.groups {
		all := true
		for _, i := range group {
			all = all && left[i]
		}
		if all {
			answers[g].outside, answers[g].verdict.Outcome = true, system.Holds
			out.Groups--
		}
	}
}

// Idle lists those of the faults that a requirement excepts which are none of the single
// faults: to except them says nothing.
func (s *Sweep) Idle(r *model.Requirement) (out []*model.NamedFault) {
	for k := range r.With.But {
		found := false
		for i := range s.faults {
			found = found || s.is(&s.faults[i], &r.With.But[k])
		}
		if !found {
			out = append(out, &r.With.But[k])
		}
	}
	return out
}

// DefaultPairs is how many pairs of faults are tried for one requirement.
const DefaultPairs = 1000

// mostFaultsInPairs bounds the faults of which the pairs are distinguished.
const mostFaultsInPairs = 200

// anyTwo tries the pairs of faults on a requirement that holds despite any one.
func (s *Sweep) anyTwo(ctx context.Context, requirement int, out *Result) error {
	if len(s.faults) > mostFaultsInPairs {
		out.Outcome = Undecided
		out.Why = fmt.Sprintf("of the pairs of %d faults none were tried, as there are too many: it holds despite any one", len(s.faults))
		return nil
	}
	r := &s.d.Requirements[requirement]
	pairs, open, err := s.pairs(ctx, r)
	if err != nil {
		return err
	}
	most := s.opts.MaxPairs
	if most == 0 {
		most = DefaultPairs
	}
	out.AllPairs, out.Pairs = len(pairs), min(most, len(pairs))
	got := make([]answer, out.Pairs)
	for _, nominal := range [...]bool{true, false} {
		err := s.each(ctx, out.Pairs, func(ctx context.Context, k int) error { return s.tryPair(ctx, r, &pairs[k], nominal, &got[k]) })
		if err != nil {
			return err
		}
		failed := false
		for k := range got {
			failed = failed || got[k].verdict.Outcome == system.Fails
		}
		if failed {
			break
		}
	}
	s.concludePairs(out, pairs, got, open)
	return nil
}

// tryPair tries the first of some pairs of the same effect.
func (s *Sweep) tryPair(ctx context.Context, r *model.Requirement, p *pair, nominal bool, a *answer) error {
	if a.why != "" {
		return nil
	}
	protection, err := s.protected(ctx)
	if err != nil {
		return err
	}
	w, err := injectPair(ctx, s.d, protection, &s.faults[p.alike[0][0]], &s.faults[p.alike[0][1]], r.Form == model.Possible)
	if err != nil {
		if ctx.Err() != nil {
			return err
		}
		a.why = err.Error()
		return nil
	}
	sys, err := s.opts.build(ctx, w, nominal)
	if err != nil {
		return err
	}
	if r.Form == model.Possible && len(w.stuck) > 0 {
		sys, a.verdict, err = w.stuckAnywhere(ctx, sys, r, nominal, s.opts)
	} else {
		a.verdict, a.beyond, err = sys.requirement(ctx, r, nominal)
	}
	if err == nil {
		a.bare, err = sys.unprotected(ctx)
	}
	if o := a.verdict.Outcome; err == nil && (o == system.Fails || o == system.HoldsNominally) {
		a.system = sys
		if a.verdict.Trace != nil {
			a.moves = sys.Lines(a.verdict.Trace)
		}
	}
	return err
}

// concludePairs puts the answers of all pairs together. Open says what of the pairs is not
// followed.
func (s *Sweep) concludePairs(out *Result, pairs []pair, got []answer, open string) {
	for k := range got {
		a := &got[k]
		var both []Fault
		for _, x := range pairs[k].alike {
			both = append(both, *bothOf(&s.faults[x[0]], &s.faults[x[1]]))
		}
		undecided := func(why string) {
			if out.Why == "" {
				out.Why = fmt.Sprintf("with %s: %s", both[0].Words, why)
			}
		}
		if a.beyond {
			out.Beyond = append(out.Beyond, both...)
		} else if a.bare {
			out.Unprotected = append(out.Unprotected, both...)
		}
		switch a.verdict.Outcome {
		case system.Fails, system.HoldsNominally:
			out.Failures = append(out.Failures, a.failure(both))
		case system.Undecided:
			undecided(a.verdict.Why)
		case system.Unknown:
			undecided(a.why)
		default:
			if a.verdict.NominalOnly {
				undecided("it holds for nominal values; " + a.verdict.Why)
			}
		}
	}
	if out.Pairs < out.AllPairs && out.Why == "" {
		out.Why = fmt.Sprintf("it holds despite any one fault and with the %d of %d pairs of faults that were tried", out.Pairs, out.AllPairs)
	}
	if out.Why == "" {
		out.Why = open
	}
	switch {
	case len(out.Failures) > 0:
		out.Outcome = Fails
	case out.Why != "":
		out.Outcome = Undecided
	}
}

// pair is some pairs of faults of the same effect, by index.
type pair struct{ alike [][2]int }

// pairs lists the pairs of faults that can be at once and of which both can affect a
// requirement, those of the same effect together. Open says what is not followed, if anything.
//
// Two faults are alike beside a third where they are in the design into which that is injected.
// A fault that lies outside the cone of the design with the other one changes nothing of what
// that does alone, which has been tried.
func (s *Sweep) pairs(ctx context.Context, r *model.Requirement) (out []pair, open string, err error) {
	n := len(s.faults)
	protection, err := s.protected(ctx)
	if err != nil {
		return nil, "", err
	}
	faulted, cones := make([]*Faulted, n), make([]*Cone, n)
	for i := range n {
		w, _, _, err := bare(s.d, protection, &s.faults[i], false, "")
		if err != nil {
			open = "with " + s.faults[i].Words + ": " + err.Error()
			continue
		}
		faulted[i] = w
		of := w.faultedOf(r)
		cones[i] = ConeOf(w.Design, []*model.Cond{of.A, of.B}, ends(r)...)
	}
	alike := newUnion(n * n)
	matters := make([]bool, n*n)
	for i := range n {
		for j := i + 1; j < n; j++ {
			if faulted[i] == nil || faulted[j] == nil || contradict(&s.faults[i], &s.faults[j]) ||
				!cones[i].Holds(faulted[j]) || !cones[j].Holds(faulted[i]) {
				continue
			}
			if tangled(&s.faults[i], &s.faults[j]) {
				open = s.faults[i].Words + " and " + s.faults[j].Words + " together are not followed"
				continue
			}
			matters[i*n+j] = true
		}
	}
	at := func(i, j int) int { return min(i, j)*n + max(i, j) }
	for i := range n {
		if err := ctx.Err(); err != nil {
			return nil, "", err
		}
		if faulted[i] == nil {
			continue
		}
		for _, g := range Groups(faulted[i].Design, s.faults) {
			first := -1
			for _, j := range g {
				switch {
				case j == i || !matters[at(i, j)]:
				case first < 0:
					first = j
				default:
					alike.join(at(i, first), at(i, j))
				}
			}
		}
	}
	where := map[int]int{}
	for i := range n {
		for j := i + 1; j < n; j++ {
			if !matters[i*n+j] {
				continue
			}
			root := alike.find(i*n + j)
			k, ok := where[root]
			if !ok {
				k = len(out)
				where[root] = k
				out = append(out, pair{})
			}
			out[k].alike = append(out[k].alike, [2]int{i, j})
		}
	}
	return out, open, nil
}

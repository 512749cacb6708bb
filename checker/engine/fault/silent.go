package fault

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// Unnoticed are faults of one effect that change something and that nothing tells of.
type Unnoticed struct {
	Faults []Fault
	// Open says why it could not be decided; then nothing is claimed.
	Open string
}

// Unnoticed lists the groups of some faults that change something of which neither a requirement
// nor a symptom tells, at nominal values, and which no claim that faults are noticed means; only
// is asked of each fault. A fault that shorts a supply with no fuse that opens is left out: that
// is seen.
func (s *Sweep) Unnoticed(ctx context.Context, only func(*Fault) bool) ([]Unnoticed, error) {
	meant := map[string]bool{}
	for i := range s.d.Notices {
		if n := &s.d.Notices[i]; !n.Broken {
			for _, f := range s.Meant(n) {
				meant[f.Words] = true
			}
		}
	}
	brief := &Sweep{d: s.d, opts: s.opts, faults: s.faults, groups: s.groups}
	brief.opts.Brief = true
	rows, err := brief.Table(ctx, only, nil)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var out []Unnoticed
	for i := range rows {
		r := &rows[i]
		var left []Fault
		for _, f := range r.Faults {
			if (only == nil || only(&f)) && !meant[f.Words] {
				left = append(left, f)
			}
		}
		if left == nil || r.Beyond || r.Unprotected || len(r.Claims)+len(r.Symptoms) > 0 {
			continue
		}
		if len(r.Open) > 0 {
			out = append(out, Unnoticed{left, r.Open[0]})
			continue
		}
		changes, known, err := s.Changes(ctx, &r.Faults[0])
		switch {
		case err != nil:
			return nil, err
		case changes:
			out = append(out, Unnoticed{Faults: left})
		case !known:
			out = append(out, Unnoticed{left, "whether it changes anything could not be found out"})
		}
	}
	return out, nil
}

// Permits looks for a loose wire of a reading that permits what a requirement of the sound
// design excludes; nil where none does. Open is why that could not be decided, if it could not.
func (s *Sweep) Permits(ctx context.Context, requirement int) (l *Loose, open string, err error) {
	sub := &Sweep{d: s.d, opts: s.opts}
	for i := range s.faults {
		if f := &s.faults[i]; loosens(f) {
			sub.faults = append(sub.faults, *f)
		}
	}
	sub.groups = Groups(s.d, sub.faults)
	r := s.d.Requirements[requirement]
	if r.Form == model.Possible {
		return nil, "", nil
	}
	got, err := sub.anyOne(ctx, []int{requirement})
	if err != nil {
		return nil, "", err
	}
	if got[0].Outcome == Undecided {
		return nil, got[0].Why, nil
	}
	nominal := slices.DeleteFunc(slices.Clone(got[0].Failures), func(f Failure) bool { return f.Verdict.Outcome != system.Fails })
	// The same fault stands for all, whatever the order of the text.
	byName := func(a, b Fault) int {
		return cmp.Or(cmp.Compare(len(a.Subject), len(b.Subject)), strings.Compare(a.Words, b.Words))
	}
	for i := range nominal {
		nominal[i].Faults = slices.SortedStableFunc(slices.Values(nominal[i].Faults), byName)
	}
	slices.SortStableFunc(nominal, func(a, b Failure) int { return byName(a.Faults[0], b.Faults[0]) })
	l, err = s.OpenMeansGo(ctx, &s.d.Requirements[requirement], nominal)
	return l, "", err
}

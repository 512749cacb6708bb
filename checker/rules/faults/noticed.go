package faults

import (
	"cmp"
	"fmt"
	"slices"

	"pintle/checker/engine/fault"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func faultUnnoticed() rule.Rule {
	return rule.Rule{
		Name:     "fault-unnoticed",
		Severity: diag.Error,
		Summary:  "a fault that should be noticed is not, or not in time",
		Why:      "a fault that nobody notices waits for the second one",
		Doc:      pages.Of("fault-unnoticed"),
		Needs:    rule.States,
		Claims:   true,
		Run: func(p *rule.Pass) {
			for i := range p.Design.Notices {
				n := &p.Design.Notices[i]
				got, ok := p.Noticed(i)
				switch {
				case !ok:
				case got.Tried == 0:
					p.Report(diag.Finding{Place: n.FaultsPlace, Subject: n.Path,
						Message: n.Name + " names no fault: nothing in " + n.Of + " can fail",
						Help:    "name a thing that can fail; `pintle faults` lists the single faults"})
				case got.Outcome == fault.Undecided:
					p.UndecidedClaim(n.NamePlace, n.Path, got.Why)
				case got.Outcome == fault.Fails:
					p.Report(missed(p, n, &got))
				}
			}
		},
	}
}

// missed tells of the faults that are not noticed, those with the fewest moves first.
func missed(p *rule.Pass, n *model.Notice, got *fault.Noticing) diag.Finding {
	plain := slices.Clone(got.Missed)
	slices.SortStableFunc(plain, func(a, b fault.Failure) int { return cmp.Compare(a.Length, b.Length) })
	first := &plain[0]
	with := first.Faults[0].Words
	if first.Corner != "" {
		with += ", " + first.Corner
	}
	when := " at once"
	if n.Before != nil {
		when = " before " + p.Design.Words(n.Before)
	}
	f := diag.Finding{
		Place: n.NamePlace, Subject: n.Path,
		Message: fmt.Sprintf("%s: %s is not noticed%s", n.Name, with, when),
		Help:    "let something show it: a tell-tale behind the contact, a reading that is compared with the command, a test before the start",
	}
	others := -1
	for _, group := range byMoves(plain) {
		head := &plain[group[0]]
		if head.Moves != nil {
			f.Evidence = append(f.Evidence, diag.Evidence{Kind: diag.Trace, Title: "with " + head.Faults[0].Words, Lines: head.Moves})
		}
		for _, i := range group {
			for j := range plain[i].Faults {
				if others++; others > 0 {
					x := &plain[i].Faults[j]
					f.Related = append(f.Related, diag.Related{Place: x.Place, Note: x.Words})
				}
			}
		}
	}
	switch {
	case others == 1:
		f.Message += "; nor is 1 other fault"
	case others > 1:
		f.Message += fmt.Sprintf("; nor are %d other faults", others)
	}
	return f
}

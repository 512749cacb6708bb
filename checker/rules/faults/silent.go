package faults

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func faultSilent() rule.Rule {
	return rule.Rule{
		Name:     "fault-silent",
		Severity: diag.Note,
		Summary:  "a single fault that changes something, and that no requirement, symptom or `noticed` shows",
		Why:      "a fault that nobody notices stays until the next one joins it",
		Doc:      pages.Of("fault-silent"),
		Needs:    rule.States,
		Quiet:    true,
		Run: func(p *rule.Pass) {
			unnoticed(p, nil, func(f *fault.Fault) string { return "nothing tells of " + f.Words },
				"describe by a `symptom` what is then noticed, or claim by `noticed` that it is")
		},
	}
}

func weldUnseen() rule.Rule {
	return rule.Rule{
		Name:     "weld-unseen",
		Severity: diag.Note,
		Summary:  "a contact or driver that sticks on, and nothing shows it",
		Why:      "two contacts in series for safety are then only one, and nobody knows",
		Doc:      pages.Of("weld-unseen"),
		Needs:    rule.States,
		Quiet:    true,
		Run: func(p *rule.Pass) {
			unnoticed(p, sticksOn, func(f *fault.Fault) string { return f.Words + ": nothing tells of it" },
				"let something read it: a tell-tale behind the contact, or a test before the start, and claim it by `noticed`")
		},
	}
}

// sticksOn reports whether a fault is that something no longer switches off.
func sticksOn(f *fault.Fault) bool {
	return len(f.Actions) == 1 && (f.Actions[0].Mode == model.FaultStuckMade || f.Actions[0].Mode == model.FaultStuckOn)
}

// untold reports the faults that nothing tells of, one finding for those of the same effect.
func unnoticed(p *rule.Pass, only func(*fault.Fault) bool, says func(*fault.Fault) string, help string) {
	if len(p.Design.Incomplete) > 0 {
		return
	}
	got, err := p.Faults().Unnoticed(p.Ctx, only)
	p.StopOn(err)
	for i := range got {
		// The one of the shortest name stands for all, whatever the order of the text.
		alike := slices.SortedStableFunc(slices.Values(got[i].Faults), func(a, b fault.Fault) int {
			return cmp.Or(cmp.Compare(len(a.Subject), len(b.Subject)), strings.Compare(a.Words, b.Words))
		})
		f := &alike[0]
		if got[i].Open != "" {
			p.Undecided(f.Place, f.Subject, got[i].Open)
			continue
		}
		out := diag.Finding{Place: f.Place, Subject: f.Subject, Message: says(f), Help: help}
		for _, x := range alike[1:] {
			out.Related = append(out.Related, diag.Related{Place: x.Place, Note: x.Words + ", which does the same"})
		}
		p.Report(out)
	}
}

func openMeansGo() rule.Rule {
	return rule.Rule{
		Name:     "open-means-go",
		Severity: diag.Note,
		Summary:  "a requirement that holds only as long as the wire of an input stays on",
		Why:      "wires come off more often than they short: a current should give permission, not its absence",
		Doc:      pages.Of("open-means-go"),
		Needs:    rule.States,
		Quiet:    true,
		Run: func(p *rule.Pass) {
			for i := range p.Design.Requirements {
				r := &p.Design.Requirements[i]
				if r.Broken || !r.A.Known() || !r.B.Known() {
					continue
				}
				if v := p.Verdict(i); v.Outcome.String() != "holds" || v.NominalOnly {
					continue
				}
				l, open, err := p.Faults().Permits(p.Ctx, i)
				p.StopOn(err)
				switch {
				case open != "":
					p.Undecided(r.NamePlace, r.Path, open)
				case l != nil:
					p.Report(diag.Finding{
						Place: r.NamePlace, Subject: r.Path, Message: fmt.Sprintf("%s fails with %s, which its controller reads as leave to go", r.Name, l.Fault.Words), Help: goes(p.Design, l),
						Related: []diag.Related{{Place: l.Fault.Place, Note: "what comes loose"}, {Place: p.Design.Readings[l.Reading].NamePlace, Note: "what reads it"}},
					})
				}
			}
		},
	}
}

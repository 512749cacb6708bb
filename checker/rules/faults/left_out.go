package faults

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/checker/rule"
	"pintle/lang/diag"
)

func faultLeftOut() rule.Rule {
	return rule.Rule{
		Name:     "fault-left-out",
		Severity: diag.Note,
		Summary:  "a short that no fuse opens: a requirement that holds despite any one fault survives it only until something burns",
		Why:      "a description of the switching can't say what burns first, or what it damages",
		Doc:      pages.Of("fault-left-out"),
		Needs:    rule.States,
		Quiet:    true,
		Run: func(p *rule.Pass) {
			for i := range p.Design.Requirements {
				r := &p.Design.Requirements[i]
				got, ok := p.Despite(i)
				if !ok || got.Outcome != fault.Holds {
					continue
				}
				if charts := fault.Charts(p.Design, r); len(charts) > 0 {
					f := diag.Finding{
						Place: r.DespitePlace, Subject: r.Path,
						Message: fmt.Sprintf("%s holds, but stuck joins of %s are not tried", r.Name, number(len(charts), "chart", "charts")),
						Why:     "a join of an ignition or light switch welds and burns off like any other contact",
						Help:    "write what must not stick as contacts, `contact NAME: A to B, make, made when SETTING is POSITION`, or judge by hand",
					}
					for _, c := range charts {
						f.Related = append(f.Related, diag.Related{Place: p.Design.Charts[c].Place, Note: p.Design.Charts[c].Path})
					}
					p.Report(f)
				}
				if len(got.Beyond)+len(got.Unprotected) == 0 {
					continue
				}
				f := diag.Finding{Place: r.DespitePlace, Subject: r.Path, Help: "put a fuse in the way, or judge by hand what burns first"}
				var says []string
				if n := len(got.Unprotected); n > 0 {
					says = append(says, fmt.Sprintf("with %s that no fuse opens, as long as nothing burns", number(n, "short", "shorts")))
				}
				if n := len(got.Beyond); n > 0 {
					says = append(says, fmt.Sprintf("except after %s where no fuse opens for certain", number(n, "short", "shorts")))
				}
				f.Message = r.Name + " holds " + strings.Join(says, ", and ")
				for _, x := range append(slices.Clone(got.Unprotected), got.Beyond...) {
					f.Related = append(f.Related, diag.Related{Place: x.Place, Note: x.Words})
				}
				p.Report(f)
			}
		},
	}
}

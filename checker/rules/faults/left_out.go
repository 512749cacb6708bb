package faults

import (
	"fmt"

	"pintle/checker/fault"
	"pintle/checker/rule"
	"pintle/lang/diag"
)

func faultLeftOut() rule.Rule {
	return rule.Rule{
		Name:     "fault-left-out",
		Severity: diag.Note,
		Summary:  "a short with no fuse in its way, of which a requirement that holds despite any one fault says only what comes before it",
		Why:      "what burns first, and what it takes along, is more than a description of the switching can tell",
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
						Message: fmt.Sprintf("%s holds but for joins of %s that stick, which are not tried", r.Name, number(len(charts), "chart", "charts")),
						Why:     "a join of an ignition or light switch welds and burns off like any other contact",
						Help:    "write what must not stick as contacts, `contact NAME: A to B, make, made when SETTING is POSITION`, or judge by hand",
					}
					for _, c := range charts {
						f.Related = append(f.Related, diag.Related{Place: p.Design.Charts[c].Place, Note: p.Design.Charts[c].Path})
					}
					p.Report(f)
				}
				if len(got.Beyond) == 0 {
					continue
				}
				f := diag.Finding{
					Place: r.DespitePlace, Subject: r.Path,
					Message: fmt.Sprintf("%s holds but for what comes after %s with no fuse in the way", r.Name, number(len(got.Beyond), "short", "shorts")),
					Help:    "put a fuse in the way, or judge by hand what burns first",
				}
				for j := range got.Beyond {
					f.Related = append(f.Related, diag.Related{Place: got.Beyond[j].Place, Note: got.Beyond[j].Words})
				}
				p.Report(f)
			}
		},
	}
}

package faults

import (
	"fmt"

	"pintle/checker/rule"
	"pintle/lang/diag"
)

func exceptionIdle() rule.Rule {
	return rule.Rule{
		Name:     "exception-idle",
		Severity: diag.Warning,
		Summary:  "a requirement excepts a fault that is never tried",
		Why:      "a reader thinks that the requirement is weaker than it is, or another fault was meant",
		Doc:      pages.Of("exception-idle"),
		Needs:    rule.Circuit,
		Run: func(p *rule.Pass) {
			for i := range p.Design.Requirements {
				r := &p.Design.Requirements[i]
				if r.Broken || r.With.But == nil {
					continue
				}
				for _, n := range p.Faults().Idle(r) {
					p.Report(diag.Finding{
						Place: n.Place, Subject: r.Path,
						Message: fmt.Sprintf("%s excepts %s, which is none of the single faults", r.Name, n.Words),
						Help:    "take it out; `pintle faults` lists those that are tried and those that are left out",
					})
				}
			}
		},
	}
}

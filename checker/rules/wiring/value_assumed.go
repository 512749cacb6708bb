package wiring

import (
	"fmt"

	"pintle/checker/rule"
	"pintle/lang/diag"
)

func valueAssumed() rule.Rule {
	return rule.Rule{
		Name:     "value-assumed",
		Severity: diag.Note,
		Summary:  "a value that the design does not state, so a default is used",
		Why:      "a result is only as good as the values that it is computed from",
		Doc:      pages.Of("value-assumed"),
		Needs:    rule.Design,
		Quiet:    true,
		Run: func(p *rule.Pass) {
			for _, a := range p.Design.Assumed {
				p.Report(diag.Finding{
					Place:   a.Place,
					Subject: a.Path,
					Message: fmt.Sprintf("the %s is not stated: the default is %s", a.What, a.Value),
					Help:    "state it if you know it",
				})
			}
		},
	}
}

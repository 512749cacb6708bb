package wiring

import (
	"fmt"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func pinTwice() rule.Rule {
	return rule.Rule{
		Name:     "pin-twice",
		Severity: diag.Note,
		Summary:  "two wires in one way of a connector half",
		Why:      "two wires in one crimp hold badly, and the seal of the way does not close round them",
		Doc:      pages.Of("pin-twice"),
		Source:   "common practice",
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			d, l := p.Design, looms.Of(p)
			for i := range d.Nodes {
				n := &d.Nodes[i]
				if n.Connector == model.None || n.Broken || len(l.wires[i]) < 2 {
					continue
				}
				first, second := &d.Wires[l.wires[i][0]], &d.Wires[l.wires[i][1]]
				f := diag.Finding{
					Place:   evidence.Site(d, &second.Info),
					Subject: n.Path,
					Message: fmt.Sprintf("%s takes %s and %s in one crimp", n.Path, first.Path, second.Path),
					Help:    "join them in a splice and lead one wire from there into the connector",
				}
				for _, w := range l.wires[i] {
					if w := &d.Wires[w]; w != second {
						f.Related = append(f.Related, diag.Related{Place: evidence.Site(d, &w.Info), Note: "ends there too"})
					}
				}
				p.Report(f)
			}
		},
	}
}

package wiring

import (
	"fmt"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
)

func spliceSingle() rule.Rule {
	return rule.Rule{
		Name:       "splice-single",
		Severity:   diag.Warning,
		Summary:    "a splice at which only one wire ends",
		Why:        "a splice joins wires: the other wire is missing, and what it should feed gets nothing",
		Doc:        pages.Of("splice-single"),
		Needs:      rule.Design,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			d, l := p.Design, looms.Of(p)
			if len(d.Incomplete) > 0 {
				return
			}
			for i := range d.Nodes {
				n := &d.Nodes[i]
				if n.Kind != "splice" || n.Broken {
					continue
				}
				if len(l.wires[i])+len(l.other[i]) != 1 {
					p.Clear(n.Path) // one without any is reported as unused
					continue
				}
				f := diag.Finding{
					Place:   evidence.Site(d, &n.Info),
					Subject: n.Path,
					Message: fmt.Sprintf("only one wire ends at %s", n.Path),
					Help:    "join the missing wire here, or lead this one to where it belongs",
				}
				if len(l.wires[i]) == 1 {
					w := &d.Wires[l.wires[i][0]]
					f.Message = fmt.Sprintf("only %s ends at %s", w.Path, n.Path)
					f.Related = []diag.Related{{Place: evidence.Site(d, &w.Info), Note: "the wire"}}
				}
				p.Report(f)
			}
		},
	}
}

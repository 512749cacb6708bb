package wiring

import (
	"fmt"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func wireColourChanges() rule.Rule {
	return rule.Rule{
		Name:     "wire-colour-changes",
		Severity: diag.Note,
		Summary:  "two wires of different colour that meet end to end at a bare node",
		Why:      "whoever follows the wire by its colour loses it here",
		Doc:      pages.Of("wire-colour-changes"),
		Source:   "common practice",
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			d, l := p.Design, looms.Of(p)
			if len(d.Incomplete) > 0 {
				return
			}
			held := heldTogether(d)
			for i := range d.Nodes {
				n := &d.Nodes[i]
				if d.Ground != model.None && held(model.NodeID(i)) == held(d.Ground) {
					continue // an earth stud: a strap and the earths on it are no one wire
				}
				if n.Kind != "node" || n.Broken || len(l.wires[i]) != 2 || len(l.other[i]) > 0 {
					continue
				}
				a, b := &d.Wires[l.wires[i][0]], &d.Wires[l.wires[i][1]]
				if a.Broken || b.Broken || a.Colour == b.Colour || a.Colour == "" || b.Colour == "" {
					continue
				}
				p.Report(diag.Finding{
					Place:   evidence.Site(d, &b.Info),
					Subject: n.Path,
					Message: fmt.Sprintf("the wire changes from %s (%s) to %s (%s) at %s", a.Colour, a.Path, b.Colour, b.Path, n.Path),
					Help:    fmt.Sprintf("keep the colour, or make %s what it is: a splice, or a way of a connector", n.Path),
					Related: []diag.Related{{Place: evidence.Site(d, &a.Info), Note: "the other wire"}},
				})
			}
		},
	}
}

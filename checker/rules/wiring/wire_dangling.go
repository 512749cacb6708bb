package wiring

import (
	"fmt"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func wireDangling() rule.Rule {
	return rule.Rule{
		Name:       "wire-dangling",
		Severity:   diag.Warning,
		Summary:    "a wire into a connector from which nothing leads on, or a wire back to where it begins",
		Why:        "whatever this wire should serve gets nothing",
		Doc:        pages.Of("wire-dangling"),
		Needs:      rule.Design,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			d, l := p.Design, looms.Of(p)
			if len(d.Incomplete) > 0 {
				return
			}
			for i := range d.Wires {
				w := &d.Wires[i]
				if w.Broken || w.Element == model.None {
					continue
				}
				if w.A == w.B {
					p.Report(diag.Finding{
						Place:   evidence.Site(d, &w.Info),
						Subject: w.Path,
						Message: fmt.Sprintf("%s begins and ends at %s", w.Path, d.Nodes[w.A].Path),
						Help:    "lead one of its ends to where it belongs, or take it out",
					})
					continue
				}
				loose := model.NodeID(model.None)
				for _, n := range []model.NodeID{w.A, w.B} {
					if d.Nodes[n].Connector != model.None && !leadsOn(d, l, n) {
						loose = n
					}
				}
				if loose == model.None {
					p.Clear(w.Path)
					continue
				}
				way := &d.Nodes[loose]
				p.Report(diag.Finding{
					Place:   evidence.Site(d, &w.Info),
					Subject: w.Path,
					Message: fmt.Sprintf("%s leads into %s, and nothing leads out of it", w.Path, way.Path),
					Help:    fmt.Sprintf("lead a wire on from the other half (%s to …), or take this one out", way.Path),
				})
			}
		},
	}
}

// leadsOn reports whether something goes on at a way of a connector: another wire at the
// same half, or anything at the other half.
func leadsOn(d *model.Design, l *loom, n model.NodeID) bool {
	if len(l.wires[n]) > 1 {
		return true
	}
	for _, id := range l.other[n] {
		e := &d.Elements[id]
		if e.Type != model.ElemConnector {
			return true
		}
		next := e.A + e.B - n
		if d.Nodes[next].Connector == model.None || len(l.wires[next]) > 0 || len(l.other[next]) > 1 {
			return true
		}
	}
	return false
}

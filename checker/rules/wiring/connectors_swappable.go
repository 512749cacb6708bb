package wiring

import (
	"fmt"
	"slices"

	"pintle/checker/circuit"
	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func connectorsSwappable() rule.Rule {
	return rule.Rule{
		Name:     "connectors-swappable",
		Severity: diag.Warning,
		Summary:  "two connectors in reach of one another that fit each other's half, where changing them over changes what happens",
		Why:      "sooner or later somebody plugs them the wrong way round, and both click in",
		Doc:      pages.Of("connectors-swappable"),
		Needs:    rule.States,
		Run:      findSwappable,
	}
}

func findSwappable(p *rule.Pass) {
	v := look(p)
	for i := range v.d.Connectors {
		for j := range v.d.Connectors[:i] {
			one, two := &v.d.Connectors[j], &v.d.Connectors[i]
			inReach := slices.Contains(one.Reach, model.ConnectorID(i)) || slices.Contains(two.Reach, model.ConnectorID(j))
			if inReach && !one.Broken && !two.Broken && one.Ways == two.Ways && one.Key == two.Key {
				v.swappable(j, i)
			}
		}
	}
}

func (v *view) swappable(i, j int) {
	one, two := &v.d.Connectors[i], &v.d.Connectors[j]
	swap := circuit.Overlay{{
		Thing: model.Thing{Kind: model.ThingConnector, Index: i, Path: one.Path},
		Other: model.Thing{Kind: model.ThingConnector, Index: j, Path: two.Path},
		Mode:  model.FaultSwapped,
	}}
	key := "neither has a key"
	if one.Key != "" {
		key = "both are keyed " + one.Key
	}
	f := diag.Finding{
		Place:   evidence.Site(v.d, &one.Info),
		Subject: one.Path,
		Help:    "give one of them another key or number of ways, or make its wires too short to reach",
		Related: []diag.Related{{Place: evidence.Site(v.d, &two.Info), Note: fmt.Sprintf("as many ways, and %s", key)}},
	}
	if r, broken := v.violated(swap); r != nil {
		f.Message = fmt.Sprintf("%s and %s fit each other's place: changed over, %s no longer holds", one.Path, two.Path, r.Path)
		f.Related = append(f.Related, diag.Related{Place: r.Place, Note: "the requirement"})
		f.Evidence = evidence.Moves("changed over, this happens", broken)
	}
	if f.Message == "" {
		got := v.firstChange(swap)
		if got == nil {
			return // it makes no difference that anyone could see
		}
		f.Message = fmt.Sprintf("%s and %s fit each other's place: changed over, %s", one.Path, two.Path, got.first)
		var lines []diag.Line
		for _, c := range got.all {
			lines = append(lines, diag.Line{Text: c})
		}
		f.Evidence = append(evidence.Moves("already after this", got.trace), evidence.Values("changed over, it is then so", lines...))
	}
	v.p.Report(f)
}

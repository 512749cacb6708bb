package wiring

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func connectorsSwappable() rule.Rule {
	return rule.Rule{
		Name:     "connectors-swappable",
		Severity: diag.Warning,
		Summary:  "two connectors in reach of each other that fit both ways, and swapping them changes what happens",
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
	var told []string // in a sentence
	if broken, trace := v.violated(swap); len(broken) > 0 {
		var names []string
		for _, r := range broken {
			names = append(names, r.Path)
			f.Related = append(f.Related, diag.Related{Place: r.Place, Note: "the requirement that no longer holds"})
		}
		told = append(told, listed(names, "no longer holds", "no longer hold"))
		f.Evidence = append(f.Evidence, evidence.Moves(fmt.Sprintf("changed over, this is how %s fails", names[0]), trace)...)
	}
	if shown, trace := v.symptoms(swap); len(shown) > 0 {
		var names []string
		for _, s := range shown {
			names = append(names, s.Path)
			f.Related = append(f.Related, diag.Related{Place: s.Place, Note: "the symptom that shows: " + s.Text})
		}
		told = append(told, "the "+listed(names, "symptom", "symptoms")+" "+plural(len(names), "shows", "show"))
		f.Evidence = append(f.Evidence, evidence.Moves(fmt.Sprintf("changed over, %s shows after this", names[0]), trace)...)
	}
	// Of what is seen otherwise the results of the design say the most; a load or a winding is
	// told of where nothing else is.
	got := v.firstChange(swap, v.rows())
	if got == nil && len(told) == 0 {
		got = v.firstChange(swap, v.visibles())
	}
	if got != nil {
		told = append(told, got.first)
		var lines []diag.Line
		for _, c := range got.all {
			lines = append(lines, diag.Line{Text: c})
		}
		f.Evidence = append(append(f.Evidence, evidence.Moves("already after this", got.trace)...), evidence.Values("changed over, it is then so", lines...))
	}
	if len(told) == 0 {
		return // it makes no difference that anyone could see
	}
	f.Message = fmt.Sprintf("%s and %s fit each other's place: changed over, %s", one.Path, two.Path, strings.Join(told, "; "))
	v.p.Report(f)
}

// mostNamed is how many things of one kind a message names.
const mostNamed = 3

// listed names a few things and counts the rest, with the word for one or for several behind, or,
// where that is a noun, before them.
func listed(names []string, one, many string) string {
	word := plural(len(names), one, many)
	rest := ""
	if n := len(names) - mostNamed; n > 0 {
		names, rest = names[:mostNamed], fmt.Sprintf(" and %d more", n)
	}
	text := strings.Join(names, ", ") + rest
	if rest == "" && len(names) > 1 {
		text = strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
	}
	if word == "symptom" || word == "symptoms" {
		return word + " " + text
	}
	return text + " " + word
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

package wiring

import (
	"fmt"

	"pintle/checker/engine/circuit"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// mostSag is the share of its volts from which a battery that loses them inside itself is no source
// for what is connected to it. Common practice, no source: a starter battery is at 9 V of 12 V, three
// quarters, while it cranks, which is what it is made for and lasts for seconds.
const mostSag = 0.25

func supplySags() rule.Rule {
	return rule.Rule{
		Name:         "supply-sags",
		Severity:     diag.Warning,
		Summary:      "a battery that loses more than a quarter of its volts inside itself",
		Why:          "everything on it gets too little: it is too small or too worn for its loads, or its inside resistance is a typing slip",
		Doc:          pages.Of("supply-sags"),
		SuppressedBy: []string{"supply-to-ground-short", "supplies-joined", "diode-across-feed"},
		Needs:        rule.States,
		Run: func(p *rule.Pass) {
			v := look(p)
			for i := range v.d.Supplies {
				v.sags(&v.d.Supplies[i])
			}
		},
	}
}

func (v *view) sags(s *model.Supply) {
	e := &v.d.Elements[s.Element]
	if s.Broken || e.OneWay || e.Ohm.Nominal <= 0 || e.Volts.Nominal <= 0 || v.d.Elsewhere(&s.Info) {
		return // what only gives, as a magneto or a converter, may be weak on purpose
	}
	limit := mostSag * e.Volts.Nominal / e.Ohm.Nominal
	if v.atMost(s) <= limit {
		return
	}
	got, ok := v.worst(v.at(circuit.Nominal), &s.Info, ask.Current(s.Element), limit, v.settled(s.Plus, s.Minus))
	if ok != ask.Yes {
		return
	}
	lost := 100 * got.value * e.Ohm.Nominal / e.Volts.Nominal
	v.p.Report(diag.Finding{
		Place:   evidence.Site(v.d, &s.Info),
		Subject: s.Path,
		Message: fmt.Sprintf("%s gives %s, and loses %.0f %% of its %s inside itself", s.Path, got.most(), lost, s.Nominal),
		Numbers: evidence.Numbers(got.most()),
		Help:    "check its inside resistance, and the loads on it",
		Evidence: append([]diag.Evidence{way("the way of the current", got.Solved, s.Element)},
			evidence.Moves("how it comes about", got.trace)...),
	})
}

// atMost is a bound on the current that a supply can give: all that its island has for loads,
// windings and resistors at once, on the volts of all sources together.
func (v *view) atMost(s *model.Supply) float64 {
	island, ok := v.c.IslandOf(s.Plus)
	if !ok {
		island, ok = v.c.IslandOf(s.Minus)
	}
	if !ok {
		return 0
	}
	sum := 0.0
	for _, id := range v.c.Islands()[island].Elements {
		if e := &v.d.Elements[id]; !e.Broken && e.Type != model.ElemSupply && !e.Metal && e.Type != model.ElemDiode && e.Ohm.Min > 0 {
			sum += bounds.Of(v.p).span / e.Ohm.Min
		}
	}
	return sum
}

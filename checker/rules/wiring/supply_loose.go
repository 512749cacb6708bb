package wiring

import (
	"fmt"

	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/spelling"
)

func supplyLoose() rule.Rule {
	return rule.Rule{
		Name:       "supply-loose",
		Severity:   diag.Warning,
		Summary:    "a supply with one end joined to nothing",
		Why:        "a source with only one end joined gives no current, so what it should feed stays dead",
		Doc:        pages.Of("supply-loose"),
		Fixable:    true,
		Needs:      rule.Circuit,
		Everywhere: true,
		Run:        findLooseSupplies,
	}
}

func findLooseSupplies(p *rule.Pass) {
	d := p.Design
	for i := range d.Supplies {
		s := &d.Supplies[i]
		loose := consequence.LooseEnds(p, model.SupplyID(i))
		if len(loose) == 0 {
			p.Clear(s.Path)
			continue
		}
		f := diag.Finding{
			Place: evidence.Site(d, &s.Info), Subject: s.Path,
			Message: fmt.Sprintf("%s feeds nothing: nothing is joined to %s", s.Path, d.Nodes[loose[0]].Path),
			Help:    "wire it to what it is to feed, or leave it out",
		}
		switch {
		case len(loose) == 2:
			f.Message = fmt.Sprintf("%s feeds nothing: nothing is joined to it", s.Path)
		case loose[0] == s.Minus:
			f.Message = fmt.Sprintf("nothing is joined to %s, the minus of %s", d.Nodes[loose[0]].Path, s.Path)
			f.Help = "join it to the earth of what it feeds"
		}
		for _, n := range loose {
			meant(d, s, &f, n)
		}
		p.Report(f)
	}
}

// meant adds what a terminal was probably meant to be: a name that is not known becomes a
// terminal of its supply, so that a slip makes one that nothing is joined to.
func meant(d *model.Design, s *model.Supply, f *diag.Finding, n model.NodeID) {
	end := &d.Nodes[n]
	if end.Kind != "terminal" {
		return
	}
	best := spelling.Best(end.Name, func(yield func(string) bool) {
		for i := range d.Nodes {
			if k := &d.Nodes[i]; k.Kind != "terminal" && k.Kind != "pin" && k.Info.Fit == end.Info.Fit && !yield(k.Name) {
				return
			}
		}
	})
	if best == "" || d.Ground != model.None && best == d.Nodes[d.Ground].Name && s.Nominal.Float64() > classA {
		return // nobody is led to put a traction pack on the body
	}
	f.Help = fmt.Sprintf("`%s` is not known here, and so becomes a terminal of its own; did you mean `%s`?", end.Name, best)
	f.Fixes = append(f.Fixes, diag.Fix{Title: "write `" + best + "`", Edits: []diag.Edit{{Place: end.NamePlace, New: best}}})
}

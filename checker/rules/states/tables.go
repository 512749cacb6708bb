package states

import (
	"fmt"

	"pintle/checker/engine/system"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

const tableSource = "disjointness and coverage of decision tables: SRI-CSL-95-12, section 3.2"

func results(p *rule.Pass, f func(model.ResultID, *model.Result)) {
	for i := range p.Design.Results {
		r := &p.Design.Results[i]
		readable := !r.Broken
		for k := range r.Rows {
			readable = readable && !r.Rows[k].Broken && r.Rows[k].When.Known()
		}
		if readable {
			f(model.ResultID(i), r)
		}
	}
}

func outputOverlap() rule.Rule {
	return rule.Rule{
		Name:     "output-overlap",
		Severity: diag.Error,
		Summary:  "two rows of a result are true at once",
		Why:      "the result then has two values at once, and whatever uses it may get either",
		Doc:      pages.Of("output-overlap"),
		Source:   tableSource,
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			results(p, func(id model.ResultID, r *model.Result) {
				for i := range r.Rows {
					for k := i + 1; k < len(r.Rows); k++ {
						if r.Rows[i].Otherwise || r.Rows[k].Otherwise {
							continue // true only where no other row is
						}
						one, other := &r.Rows[i], &r.Rows[k]
						v, occurs, known := possible(p, other.NamePlace, other.Path,
							system.All(system.Row(id, i), system.Row(id, k)), atRest(p))
						if !known || !occurs {
							continue
						}
						p.Report(diag.Finding{Place: other.NamePlace, Subject: other.Path,
							Message:  fmt.Sprintf("%s can be %s and %s at once", r.Path, one.Name, other.Name),
							Help:     "let one of the conditions exclude the other, or join the rows",
							Related:  []diag.Related{{Place: one.NamePlace, Note: "the other row"}},
							Evidence: evidence.Moves("", v.Trace)})
					}
				}
			})
		},
	}
}

func outputGap() rule.Rule {
	return rule.Rule{
		Name:     "output-gap",
		Severity: diag.Error,
		Summary:  "a result of which no row is true",
		Why:      "the result then has no value, and nothing says what the vehicle does there",
		Doc:      pages.Of("output-gap"),
		Source:   tableSource,
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			results(p, func(id model.ResultID, r *model.Result) {
				v, occurs, known := possible(p, r.NamePlace, r.Path, system.NoRow(id), atRest(p))
				if !known || !occurs {
					return
				}
				p.Report(diag.Finding{Place: r.NamePlace, Subject: r.Path,
					Message:  fmt.Sprintf("no row of %s is true", r.Path),
					Help:     "add a row for this case, or one with `otherwise`",
					Evidence: evidence.Moves("", v.Trace)})
			})
		},
	}
}

package faults

import (
	"fmt"

	"pintle/checker/engine/fault"
	"pintle/checker/engine/system"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func symptomUnexplained() rule.Rule {
	return rule.Rule{
		Name:     "symptom-unexplained",
		Severity: diag.Warning,
		Summary:  "a symptom that shows neither in the design as built nor after any single fault",
		Why:      "whoever looks for a fault by this symptom finds none, or the symptom does not describe what is seen on the vehicle",
		Doc:      pages.Of("symptom-unexplained"),
		Needs:    rule.States,
		Claims:   true,
		Run: func(p *rule.Pass) {
			var open []*model.Symptom
			var conds []*model.Cond
			for i := range p.Design.Symptoms {
				s := &p.Design.Symptoms[i]
				if s.Broken || !s.Cond.Known() || len(p.Design.Incomplete) > 0 || shows(p, s) {
					continue
				}
				open, conds = append(open, s), append(conds, s.Cond)
			}
			if open == nil {
				return
			}
			got, err := p.Faults().Explain(p.Ctx, conds)
			p.StopOn(err)
			for i, s := range open {
				switch got[i].Outcome {
				case fault.Undecided:
					p.UndecidedClaim(s.NamePlace, s.Path, got[i].Why)
				case fault.Fails:
					p.Report(diag.Finding{
						Place: s.NamePlace, Subject: s.Path,
						Message: fmt.Sprintf("%s never shows: none of %s causes it", s.Name, number(got[i].Tried, "single fault", "single faults")),
						Help:    "check what the symptom says, or declare the `fault` that causes it",
					})
				}
			}
		},
	}
}

// shows reports whether the sound design may show a symptom, or whether that is not known.
func shows(p *rule.Pass, s *model.Symptom) bool {
	v, err := p.System().PossibleHere(p.Ctx, system.On(s.Cond))
	p.StopOn(err)
	if v.Outcome == system.Fails {
		v, err = p.System().Never(p.Ctx, system.On(s.Cond)) // within all tolerances
		p.StopOn(err)
		if v.Outcome == system.Holds {
			return false
		}
	}
	if v.Outcome == system.Undecided {
		p.UndecidedClaim(s.NamePlace, s.Path, v.Why, evidence.Unsettled(p.Ctx, v)...)
	}
	return true
}

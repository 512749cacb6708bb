package states

import (
	"errors"
	"fmt"

	"pintle/checker/engine/fault"
	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/checker/question/claim"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// requirements calls f for those that could be read, with their verdict. What is undecided
// is said whichever rule asks.
func requirements(p *rule.Pass, f func(*model.Requirement, claim.Answer)) {
	for i := range p.Design.Requirements {
		r := &p.Design.Requirements[i]
		switch a := claim.Requirement(p, i); a.Standing {
		case claim.Unread:
		case claim.Undecided:
			p.UndecidedClaim(r.NamePlace, r.Path, a.Why, evidence.Unsettled(p.Ctx, a.Verdict)...)
		default:
			f(r, a)
		}
	}
}

// claimed is how people call a requirement: by its text, if it has one.
func claimed(r *model.Requirement) string {
	if r.Text != "" {
		return fmt.Sprintf("%s (%q)", r.Name, r.Text)
	}
	return r.Name
}

func requirementViolated() rule.Rule {
	return rule.Rule{
		Name:         "requirement-violated",
		Severity:     diag.Error,
		Summary:      "a requirement that does not hold",
		Why:          "something that must never happen can happen on the vehicle as described, or something that must always hold does not",
		Doc:          pages.Of("requirement-violated"),
		SuppressedBy: []string{"depends-on-warmth", "depends-on-tolerance"},
		Needs:        rule.States,
		Claims:       true,
		Run: func(p *rule.Pass) {
			requirements(p, func(r *model.Requirement, a claim.Answer) {
				if r.Form == model.Possible || r.Form == model.Apart {
					return // never-possible and not-apart speak of these
				}
				violated(p, r, a.Verdict)
			})
		},
	}
}

// violated reports what fails. What holds at nominal values only is reported by the rules
// depends-on-tolerance and depends-on-warmth.
func violated(p *rule.Pass, r *model.Requirement, v system.Verdict) {
	f := diag.Finding{Place: r.NamePlace, Subject: r.Path, Evidence: evidence.Moves("", v.Trace)}
	switch v.Outcome {
	case system.Fails:
		f.Message = claimed(r) + " does not hold: " + counterexample(p.Design, r)
		f.Evidence = append(f.Evidence, evidence.Because(p.Ctx, v.Trace, r.A, r.Form != model.Never)...)
		f.Help = "follow the moves: they lead to it"
	default:
		return
	}
	p.Report(f)
}

// counterexample says what can be the case.
func counterexample(d *model.Design, r *model.Requirement) string {
	a, not := d.Words(r.A), d.Opposite(r.A)
	switch r.Form {
	case model.Never:
		return a + " can be"
	case model.Always:
		return not + " can be"
	case model.Whenever:
		return fmt.Sprintf("%s can be while %s", d.Words(r.B), not)
	case model.Within, model.Repeats:
		if r.B != nil {
			return fmt.Sprintf("%s can be for longer than %s while %s", d.Words(r.B), r.Time, not)
		}
		return fmt.Sprintf("%s can be for longer than %s", not, r.Time)
	}
	return a
}

func requirementVacuous() rule.Rule {
	return rule.Rule{
		Name:     "requirement-vacuous",
		Severity: diag.Warning,
		Summary:  "a requirement that holds only because its condition never occurs",
		Why:      "it looks proved, but it says nothing",
		Doc:      pages.Of("requirement-vacuous"),
		Needs:    rule.States,
		Claims:   true,
		Run: func(p *rule.Pass) {
			requirements(p, func(r *model.Requirement, a claim.Answer) {
				if a.Standing != claim.Vacuous {
					return
				}
				if claim.ForAFault(p, r) {
					return // it is a claim about what a fault brings about
				}
				p.Report(diag.Finding{Place: r.NamePlace, Subject: r.Path,
					Message:  fmt.Sprintf("%s says nothing: no reachable state has: %s%s", claimed(r), p.Design.Words(r.B), butWith(p, r.B)),
					Help:     "check the condition after `whenever`",
					Evidence: whyNever(p, r.B)})
			})
		},
	}
}

// withSomeFault reports whether some single fault brings a condition about, or that can't be
// told with the work that is allowed.
func withSomeFault(p *rule.Pass, c *model.Cond) bool {
	got, err := p.Faults().Explain(p.Ctx, []*model.Cond{c})
	p.StopOn(err)
	return got[0].Outcome != fault.Fails
}

func neverPossible() rule.Rule {
	return rule.Rule{
		Name:     "never-possible",
		Severity: diag.Error,
		Summary:  "something that must be possible and is not",
		Why:      "what the circuit is there for can't happen, whatever the driver does",
		Doc:      pages.Of("never-possible"),
		Needs:    rule.States,
		Claims:   true,
		Run: func(p *rule.Pass) {
			requirements(p, func(r *model.Requirement, a claim.Answer) {
				if r.Form != model.Possible || a.Standing != claim.Failed {
					return
				}
				p.Report(diag.Finding{
					Place: r.NamePlace, Subject: r.Path,
					Message:  fmt.Sprintf("%s: no reachable state has: %s%s", claimed(r), p.Design.Words(r.A), butWith(p, r.A)),
					Help:     "look for the first thing on its path that never happens: a feed, an earth, a threshold",
					Evidence: whyNever(p, r.A),
				})
			})
		},
	}
}

// butWith tells of a condition that never holds at nominal values where it does hold: with
// other volts, resistances or filaments that are stated.
func butWith(p *rule.Pass, c *model.Cond) string {
	got, err := p.System().Never(p.Ctx, system.On(c))
	p.StopOn(err)
	if got.Outcome != system.HoldsNominally {
		return ""
	}
	return fmt.Sprintf(" at nominal values; one has with %s", got.Corner)
}

func scenarioFailed() rule.Rule {
	return rule.Rule{
		Name:     "scenario-failed",
		Severity: diag.Error,
		Summary:  "a drive that does not see what it expects",
		Why:      "the description does not do what the drive expects, and one of them is wrong about the vehicle",
		Doc:      pages.Of("scenario-failed"),
		Needs:    rule.Drives,
		Claims:   true,
		Run: func(p *rule.Pass) {
			said := map[diag.Place]bool{} // one finding an expectation, whatever the pace
			for _, run := range p.Drives() {
				d := &p.Design.Drives[run.Drive]
				if run.Err != nil {
					unfinished(p, d, run.Err)
					continue
				}
				for _, f := range run.Failures {
					if !said[f.Place] {
						said[f.Place] = true
						p.Report(failed(p.Design, d, f))
					}
				}
			}
		},
	}
}

func unfinished(p *rule.Pass, d *model.Drive, err error) {
	if errors.Is(err, scenario.ErrHunts) {
		p.Report(diag.Finding{Place: d.NamePlace, Subject: d.Path,
			Message: fmt.Sprintf("%s can't be driven to its end: %v", d.Name, err),
			Help:    "break the ring: it must not undo the condition that switches it"})
		return
	}
	p.UndecidedClaim(d.NamePlace, d.Path, err.Error())
}

func failed(design *model.Design, d *model.Drive, f scenario.Failure) diag.Finding {
	name := scenario.StepName(d, f.Step)
	out := diag.Finding{Place: f.Place, Subject: d.Path,
		Message: fmt.Sprintf("%s of %s expects %s; at %s %s", name, d.Name, f.Expected, f.When(), f.Seen),
		Help:    "follow the causes to the first one that is not as it should be"}
	if f.Pace != scenario.Middle {
		out.Message += " (with " + f.Pace.String() + ")"
	}
	if len(f.Chain) > 0 {
		var causes diag.Evidence
		causes, out.Numbers = evidence.Causes(design, f)
		out.Evidence = []diag.Evidence{causes}
	}
	return out
}

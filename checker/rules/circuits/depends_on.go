package circuits

import (
	"fmt"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/claim"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func dependsOnWarmth() rule.Rule {
	return rule.Rule{
		Name:     "depends-on-warmth",
		Severity: diag.Warning,
		Summary:  "a requirement that holds only while filaments are warm, or only while they are cold",
		Why:      "it works on a long run and fails in the first moment, or the other way round, and no workshop finds the fault",
		Doc:      pages.Of("depends-on-warmth"),
		Needs:    rule.States,
		Claims:   true,
		Run:      func(p *rule.Pass) { findNominalOnly(p, true) },
	}
}

func dependsOnTolerance() rule.Rule {
	return rule.Rule{
		Name:     "depends-on-tolerance",
		Severity: diag.Warning,
		Summary:  "a requirement that holds at nominal values, but not within the stated tolerances and supply range",
		Why:      "it works on one vehicle of the series and not on the next, or it fails with a weak battery",
		Doc:      pages.Of("depends-on-tolerance"),
		Needs:    rule.States,
		Claims:   true,
		Run:      func(p *rule.Pass) { findNominalOnly(p, false) },
	}
}

func findNominalOnly(p *rule.Pass, warmth bool) {
	for i := range p.Design.Requirements {
		r := &p.Design.Requirements[i]
		answer := claim.Requirement(p, i)
		got := answer.Verdict
		switch {
		case answer.Standing == claim.Undecided:
			p.UndecidedClaim(r.NamePlace, r.Path, answer.Why, evidence.Unsettled(p.Ctx, got)...)
			continue
		case answer.Standing != claim.Nominal:
			continue
		case (got.Offsets.Exact() && byWarmth(p.Circuit(), got.Where)) != warmth:
			continue
		}
		f := diag.Finding{
			Message: fmt.Sprintf("%s holds at nominal values, but not with %s", r.Path, got.Corner),
			Place:   r.NamePlace,
			Subject: r.Path,
			Help:    "leave more margin: choose a level, resistance or supply range that holds at both ends",
		}
		if !got.Offsets.Exact() {
			f.Help = "leave more room than the sender's accuracy between the value that it speaks of and the one that is switched at, or take a closer sender"
		}
		if cold := got.Where.Cold() || coldIn(p.Circuit(), got.Where); cold && !warmth {
			f.Why = "with all of this at once it fails, if only until the filaments are warm"
			if cure := warmCure(p, r); cure != "" {
				f.Help = "if the first moment does not matter, " + cure + ", when filaments are warm; else " + f.Help
			}
		}
		if warmth {
			f.Help = "leave more room between the levels that it speaks of and what a cold filament lets through"
			if cure := warmCure(p, r); cure != "" {
				f.Help = "if the first moment does not matter, " + cure + ", when filaments are warm; else " + f.Help
			}
		}
		if len(got.DependsOn) > 0 {
			var lines []diag.Line
			for _, d := range got.DependsOn {
				lines = append(lines, diag.Line{Text: d})
			}
			f.Evidence = append(f.Evidence, diag.Evidence{Kind: diag.Values, Title: "it depends on", Lines: lines})
		}
		f.Evidence = append(f.Evidence, departs(p, r, got)...)
		p.Report(f)
	}
}

// departs reports what becomes of a requirement in the corner in which it does not hold: how
// what it forbids comes about there, or, where it asks for something to be possible, that the
// moves that lead to it at nominal values do not lead to it there.
func departs(p *rule.Pass, r *model.Requirement, got system.Verdict) []diag.Evidence {
	if got.Trace == nil {
		return nil
	}
	if s := got.Trace.System; s.Corner() == got.Where && s.Offsets() == got.Offsets {
		return append(evidence.Moves("with "+got.Corner, got.Trace), evidence.Because(p.Ctx, got.Trace, r.A, r.Form != model.Never)...)
	}
	why := evidence.BecauseIn(p.Ctx, got.Trace, got.Where, got.Offsets, r.A, true)
	for i := range why {
		if why[i].Kind == diag.Chain {
			why[i].Title = "with " + got.Corner + " the same moves do not lead there, because"
		}
	}
	return append(evidence.Moves("how it comes about at nominal values", got.Trace), why...)
}

// byWarmth reports whether a corner leaves the nominal one by the warmth of filaments and
// by nothing else.
func byWarmth(c *circuit.Circuit, k circuit.Corner) bool {
	warm := !k.Cold()
	for i, info := range c.Params() {
		value, set := k.Value(circuit.ParamID(i))
		switch {
		case !set || value == info.Nominal:
		case info.Kind == circuit.Warmth:
			warm = false
		default:
			return false
		}
	}
	return !warm
}

// coldIn reports whether a filament is cold in a corner.
func coldIn(c *circuit.Circuit, k circuit.Corner) bool {
	for i, info := range c.Params() {
		if x, set := k.Value(circuit.ParamID(i)); set && info.Kind == circuit.Warmth && x != info.Nominal {
			return true
		}
	}
	return false
}

// warmCure is how a requirement that holds with warm filaments only is claimed so that the first
// moment does not count; empty where it does not hold so either, as with a relay that what is
// cold pulls in and what is warm holds.
func warmCure(p *rule.Pass, r *model.Requirement) string {
	const soon = 0.3 // s, more than filaments take to become warm
	good, words := system.On(r.A), "claim it with `within 300 ms`"
	switch r.Form {
	case model.Always, model.Whenever:
	case model.Never:
		good, words = system.Not(good), "claim `not (…) within 300 ms whenever always` of it"
	case model.Within:
		words = "give it 200 ms or more"
	default:
		return ""
	}
	got, err := p.System().Within(p.Ctx, good, system.On(r.B), soon)
	p.StopOn(err)
	if got.Outcome != system.Holds || got.NominalOnly {
		return ""
	}
	return words
}

// Package states holds the rules about what a design can come to: modes and their
// transitions, decision tables, hardware that never settles, races, assumptions,
// requirements and drives.
package states

import (
	"embed"

	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/diag"
)

//go:embed pages testdata
var files embed.FS

var pages = rule.Pages{FS: files}

// Group lists the rules.
func Group() rule.Group {
	return rule.Group{
		Name:     "states",
		Title:    "States",
		Fixtures: pages.Fixtures(),
		Rules: []rule.Rule{
			modeUnreachable(), modeTrap(), modeSame(), modePassing(),
			transitionNever(), transitionAmbiguous(), timerNeverRuns(),
			outputOverlap(), outputGap(),
			hunting(), timedCycle(), race(), bothWindings(), runsOn(),
			assumptionUnused(), assumptionBlocks(),
			requirementViolated(), requirementVacuous(), neverPossible(),
			scenarioFailed(),
		},
	}
}

// possible asks whether a condition occurs. known is false where that can't be told;
// what is undecided has then been said.
func possible(p *rule.Pass, at diag.Place, subject string, c system.Condition, ask func(system.Condition) (system.Verdict, error)) (v system.Verdict, occurs, known bool) {
	v, err := ask(c)
	p.StopOn(err)
	switch v.Outcome {
	case system.Undecided:
		p.UndecidedBy(at, subject, v)
		return v, false, false
	case system.Unknown:
		return v, false, false
	}
	return v, v.Outcome != system.Fails, true
}

// atRest asks of the states that everything has settled in.
func atRest(p *rule.Pass) func(system.Condition) (system.Verdict, error) {
	return func(c system.Condition) (system.Verdict, error) { return p.System().PossibleHere(p.Ctx, c) }
}

// atStep asks of the states that the machines read.
func atStep(p *rule.Pass) func(system.Condition) (system.Verdict, error) {
	return func(c system.Condition) (system.Verdict, error) { return p.System().PossibleAtStep(p.Ctx, c) }
}

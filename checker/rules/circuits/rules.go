// Package circuits holds the rules about where current runs: consumers without feed or
// earth, short circuits, ways that nobody drew, sources and drivers against each other,
// isolation, and the fluid paths. How wires, fuses and connectors are dimensioned is the
// matter of package wiring.
//
// Every rule asks over all reachable states. What a finding shows, the way of a current
// and its numbers, is solved in one reachable state of which the moves that lead there
// are told.
package circuits

import (
	"embed"
	"io/fs"

	"pintle/checker/rule"
)

//go:embed testdata
var files embed.FS

//go:embed pages/*.md
var pages embed.FS

// page is what the reference tells of a rule.
func page(name string) string {
	text, err := pages.ReadFile("pages/" + name + ".md")
	if err != nil {
		return "" // the catalogue refuses a rule without a page
	}
	return string(text)
}

// Group lists the rules.
func Group() rule.Group {
	fixtures, err := fs.Sub(files, "testdata")
	if err != nil {
		fixtures = nil // the catalogue refuses a group without fixtures
	}
	return rule.Group{
		Name:     "circuits",
		Title:    "Circuits",
		Fixtures: fixtures,
		Rules: []rule.Rule{
			floatingGround(), noFeed(), feedAndGroundNeverTogether(),
			neverEnergised(), alwaysEnergised(), seriesShare(),
			supplyToGroundShort(), diodeAcrossFeed(), driverConflict(), suppliesJoined(), throwsMeet(),
			sneakPath(), backFeed(), feedsBack(), heldInThroughLoad(),
			dependsOnWarmth(), dependsOnTolerance(), notApart(),
			fedAndVented(), fluidAbsentWhenNeeded(),
		},
	}
}

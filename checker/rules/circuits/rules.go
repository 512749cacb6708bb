// Package circuits holds the rules about where current runs: consumers without feed or
// earth, short circuits, ways that nobody drew, sources and drivers against each other,
// isolation, and the fluid paths. How wires, fuses and connectors are dimensioned is the
// matter of package wiring.
//
// Every rule asks over all reachable states. What a finding shows, the way of a current
// and its numbers, is solved in one reachable state of which the moves that lead there
// are reported.
package circuits

import (
	"embed"

	"pintle/checker/rule"
)

//go:embed pages testdata
var files embed.FS

var pages = rule.Pages{FS: files}

// Group lists the rules.
func Group() rule.Group {
	return rule.Group{
		Name:     "circuits",
		Title:    "Circuits",
		Fixtures: pages.Fixtures(),
		Rules: []rule.Rule{
			floatingGround(), noFeed(), feedAndGroundNeverTogether(),
			neverEnergised(), nothingStartsIt(), alwaysEnergised(), seriesShare(), inputNeverChanges(),
			supplyToGroundShort(), diodeAcrossFeed(), driverConflict(), suppliesJoined(), suppliesOpposed(), throwsMeet(), contactsMeet(),
			sneakPath(), backFeed(), feedsBack(), heldInThroughLoad(),
			dependsOnWarmth(), dependsOnTolerance(), notApart(),
			fedAndVented(), fluidAbsentWhenNeeded(), portUnused(),
		},
	}
}

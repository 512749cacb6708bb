// Package wiring holds the rules about what wires, fuses, connectors, windings and the
// pins of controllers are made for: currents against limits, volts that are left at the
// far end, what a fuse protects, and how a loom is put together. Where current runs at all
// is the matter of package circuits.
//
// Currents and volts are solved, and a finding shows them in one reachable state of which
// the moves that lead there are reported.
package wiring

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
		Name:     "wiring",
		Title:    "Wires, fuses and connectors",
		Fixtures: pages.Fixtures(),
		Rules: []rule.Rule{
			unfusedFeed(), fuseAboveWire(), fuseBelowLoad(), wireOverload(),
			driverOverload(), contactOverload(), supplySags(), voltageDrop(), loadOverVolts(), pullInNotReached(), noSuppression(),
			sensorGroundShared(), inputNotWired(), inputUnread(), looseWirePermits(), outputNotWired(), driverUnpowered(), settingReachesNothing(), chartRowMissing(),
			pinUnused(), bridged(), leadsNowhere(), pinTwice(), wireDangling(), spliceSingle(), supplyLoose(),
			wireColoursRepeat(), wireColourChanges(), connectorsSwappable(),
			voltageClassB(), valueAssumed(),
		},
	}
}

// Package wiring holds the rules about what wires, fuses, connectors, windings and the
// pins of controllers are made for: currents against limits, volts that are left at the
// far end, what a fuse protects, and how a loom is put together. Where current runs at all
// is the matter of package circuits.
//
// Currents and volts are solved, and a finding shows them in one reachable state of which
// the moves that lead there are told.
package wiring

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
		Name:     "wiring",
		Title:    "Wires, fuses and connectors",
		Fixtures: fixtures,
		Rules: []rule.Rule{
			unfusedFeed(), fuseAboveWire(), fuseBelowLoad(), wireOverload(),
			driverOverload(), contactOverload(), voltageDrop(), pullInNotReached(), noSuppression(),
			sensorGroundShared(), inputNotWired(), driverUnpowered(), settingReachesNothing(),
			pinUnused(), pinTwice(), wireDangling(), spliceSingle(),
			wireColoursRepeat(), wireColourChanges(), connectorsSwappable(),
			voltageClassB(), valueAssumed(),
		},
	}
}

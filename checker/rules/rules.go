// Package rules collects the rules of all groups into the one catalogue.
package rules

import (
	"sync"

	"pintle/checker/rule"
	"pintle/checker/rules/bands"
	"pintle/checker/rules/circuits"
	"pintle/checker/rules/faults"
	"pintle/checker/rules/names"
	"pintle/checker/rules/reading"
	"pintle/checker/rules/states"
	"pintle/checker/rules/wiring"
)

// Groups are the groups of rules in the order of the reference.
func Groups() []rule.Group {
	return []rule.Group{
		bands.Group(), circuits.Group(), wiring.Group(), states.Group(), faults.Group(), reading.Group(), names.Group(),
	}
}

// All returns the catalogue of all rules. The error reports what is wrong with a rule;
// a test makes sure that there is none.
var All = sync.OnceValues(func() (*rule.Catalogue, error) {
	return rule.NewCatalogue(Groups()...)
})

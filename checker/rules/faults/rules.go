// Package faults holds the rules about single faults: what a design still keeps to when one
// thing fails, and what one fault can account for.
//
// What is asked and what is left out is reported by package checker/engine/fault.
package faults

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
		Name:     "faults",
		Title:    "Single faults",
		Fixtures: pages.Fixtures(),
		Rules:    []rule.Rule{faultViolatesRequirement(), faultLeftOut(), symptomUnexplained(), exceptionIdle(), faultUnnoticed(), faultSilent(), weldUnseen(), openMeansGo()},
	}
}

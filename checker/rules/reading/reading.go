// Package reading lists what is found while files are read and elaborated: text that can't
// be understood, names that nothing stands behind, units that do not fit. The findings come
// out of the language; this is their place in the catalogue.
package reading

import (
	"embed"

	"pintle/checker/rule"
	"pintle/lang/diag"
)

//go:embed pages testdata
var files embed.FS

var pages = rule.Pages{FS: files}

// Group lists the rules.
func Group() rule.Group {
	return rule.Group{
		Name:     "reading",
		Title:    "Reading",
		Fixtures: pages.Fixtures(),
		Rules: []rule.Rule{
			found("syntax", "a line that can't be understood",
				"what the line was to say is missing, and what names it can't be checked"),
			found("kind-misplaced", "a statement in a place where its kind has no meaning",
				"it is left out, as if it had not been written"),
			found("missing-clause", "a statement that leaves out what its kind can't do without",
				"a guess in its place would make every answer a guess"),
			found("clause-twice", "a statement that says one thing twice, or two things that exclude each other",
				"only one of the two can be true of the car"),
			found("unit-mismatch", "a value whose dimension does not fit where it stands",
				"volts in the place of ohms are no slip that can be converted away"),
			found("undefined-name", "a name that nothing stands behind",
				"the wire ends nowhere, or the condition asks for something that is not there"),
			found("duplicate-name", "a name given twice in one place",
				"which of the two is meant can't be told, and neither can what is wired to it"),
			found("wrong-kind", "a name or a clause where something of another kind belongs",
				"the line says something that can't be so, and what it was meant to say is missing"),
			found("missing-argument", "a fit that leaves out what its part takes",
				"without it the part is not one that could be bought or built"),
			found("no-ground", "something that is held against ground, in a design without one",
				"volts at a point mean nothing without a zero to measure from"),
			found("condition-cycle", "conditions, results or drives that rest on each other in a ring",
				"whether one is true could be said only if it were known already"),
			found("part-cycle", "a part that holds itself",
				"putting it in place would never end"),
			found("import-missing", "a file that is used and can't be read",
				"what it declares is missing, and everything that names it is unknown"),
			found("import-cycle", "files that use each other in a circle",
				"a file that uses itself has no order in which it could be read"),
			found("option-too-many", "more combinations of options than are looked at",
				"of the variants that are left out nothing is known"),
			found("too-many-fits", "a design of more fits than are elaborated",
				"nothing is checked in the rest of it"),
		},
	}
}

// found is the entry of a rule that speaks while files are read. Why is said where the
// finding brings no reason of its own.
func found(name, summary, why string) rule.Rule {
	return rule.Rule{
		Name:     name,
		Severity: diag.Error,
		Summary:  summary,
		Why:      why,
		Doc:      pages.Of(name),
		Needs:    rule.Reading,
		Fixable:  fixable[name],
	}
}

// fixable are the rules of which some findings carry a fix.
var fixable = map[string]bool{"syntax": true, "clause-twice": true, "undefined-name": true, "wrong-kind": true}

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
				"what the line should say is missing, and whatever uses it can't be checked"),
			found("kind-misplaced", "a statement in a place where its kind has no meaning",
				"it is ignored, as if it had not been written"),
			found("missing-clause", "a statement without a clause that its kind needs",
				"a guess in its place would turn every answer into a guess"),
			found("clause-twice", "a statement that says one thing twice, or two things that contradict each other",
				"only one of the two can be true of the vehicle"),
			found("unit-mismatch", "a value whose dimension does not fit where it stands",
				"volts can't be converted into ohms"),
			found("undefined-name", "a name that nothing declares",
				"the wire ends nowhere, or the condition asks for something that is not there"),
			found("duplicate-name", "a name given twice in one place",
				"it is unclear which of the two is meant, and what is wired to it"),
			found("wrong-kind", "a name or a clause of the wrong kind for its place",
				"the line says something impossible, and what it should say is missing"),
			found("missing-argument", "a fit without an argument that its part takes",
				"without it the part is incomplete and can't be built"),
			found("no-ground", "something that refers to ground, in a design without one",
				"volts at a point mean nothing without a zero to measure from"),
			found("condition-cycle", "conditions, results or drives that depend on each other in a ring",
				"each is known only once it is known already"),
			found("part-cycle", "a part that contains itself",
				"building it would never end"),
			found("import-missing", "a file that is used and can't be read",
				"what it declares is missing, and everything that uses it is unknown"),
			found("import-cycle", "files that use each other in a circle",
				"there is no order in which such files could be read"),
			found("option-too-many", "more combinations of options than are checked",
				"nothing is known about the variants that are left out"),
			found("too-many-fits", "a design with more fits than the checker builds",
				"the rest of it is not checked"),
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

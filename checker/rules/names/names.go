// Package names holds the rules about what is declared and never named, about what no
// drive tries, and the entries of those that come up when all findings are known:
// acceptances, and what could not be decided.
package names

import (
	"embed"

	"pintle/checker/rule"
	"pintle/checker/run/accept"
	"pintle/lang/diag"
)

//go:embed pages testdata
var files embed.FS

var pages = rule.Pages{FS: files}

// Group lists the rules.
func Group() rule.Group {
	return rule.Group{
		Name:     "names",
		Title:    "Names and housekeeping",
		Fixtures: pages.Fixtures(),
		Rules: []rule.Rule{
			unused(), optionUntested(),
			judged(accept.Unused, diag.Warning, "an acceptance without a finding",
				"its finding is gone, or there never was one: it would hide the next finding of that kind"),
			judged(accept.Lapsed, diag.Warning, "an acceptance whose last day is over",
				"what was accepted for a while has become permanent"),
			judged(rule.Undecided, diag.Error, "something that a rule could not decide, and why",
				"silence would look like a design that is in order"),
		},
	}
}

// judged is the entry of a rule that speaks about findings and verdicts of others.
func judged(name string, severity diag.Severity, summary, why string) rule.Rule {
	return rule.Rule{
		Name:     name,
		Severity: severity,
		Summary:  summary,
		Why:      why,
		Doc:      pages.Of(name),
		Needs:    rule.Judging,
	}
}

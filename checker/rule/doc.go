// Package rule says what a rule of the checker is and holds the catalogue of
// them.
//
// A rule is a plain value: a slug, what it finds, why that matters on the
// vehicle, a page, what it needs to know, and a function. The function looks at
// one [Pass] and reports what it found:
//
//	func sneakPath() rule.Rule {
//		return rule.Rule{
//			Name:     "sneak-path",
//			Severity: diag.Error,
//			Summary:  "a load that runs although everything meant to switch it is off",
//			Why:      "the load runs when nobody asked for it, drains the battery or moves something",
//			Doc:      sneakPathDoc,
//			Needs:    rule.Circuit,
//			Run:      func(p *rule.Pass) { … p.Report(diag.Finding{…}) … },
//		}
//	}
//
// # What a rule may count on
//
//   - A rule speaks only when it is sure. Where it can't decide it calls
//     [Pass.Undecided] with the reason.
//   - It stays silent about anything whose model.Info is Broken, and about
//     conditions that are not Known: their statement has its own finding already.
//   - It leaves Finding.Rule, Severity, Why and Where empty; Report fills them in.
//     Finding.Severity may be set to speak more softly than usual in one case.
//   - It sets Finding.Subject to the path of the thing that the finding is about
//     (model.Info.Path), since that is what `accept … : on THING` names.
//   - One finding has one cause; further places are Related, the way there is
//     Evidence, what to do is Help.
//   - The order in which it reports does not matter: findings are sorted.
//   - Long loops look at Pass.Ctx.
//
// # Once per design, or once per file
//
// A rule that Needs [Names] runs once for a root file, over its trees and its
// index, with Pass.Design nil. Every other rule runs once for each design that
// the file elaborates to: each combination of options, and each bench.
//
// Some defects are defects only if they are there in every combination: a load
// that is lit in one variant of the vehicle is not "never energised", even if in
// another variant nothing feeds it. Such a rule sets Everywhere, reports in each
// design in which it finds the defect and calls [Pass.Clear] in each in which it
// looked and found none; what one design cleared no other one reports.
//
// # Work that rules share
//
// The engines are reached through accessors of Pass ([Pass.Circuit], [Pass.Fluid],
// [Pass.System], [Pass.Verdict], [Pass.Drives]). They run when first asked and their
// answers are shared by all rules that look at the same design. An accessor never
// returns nil: where an engine can't be made it ends the rule, and so does
// [Pass.StopOn] with an error that a question returned:
//
//	v, err := p.System().Never(p.Ctx, system.On(cond))
//	p.StopOn(err)
//
// What the rules of one group share beyond that is declared with [Share].
package rule

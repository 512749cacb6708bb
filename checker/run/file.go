package run

import (
	"context"
	"fmt"
	"runtime/debug"
	"slices"
	"time"

	"pintle/checker/engine/budget"
	"pintle/checker/engine/circuit"
	"pintle/checker/question/rootcause"
	"pintle/checker/rule"
	"pintle/checker/run/accept"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/syntax"
)

// Plan says which rules look, whatever the file.
type Plan struct {
	Catalogue *rule.Catalogue
	// Only, unless it is empty, names the rules that run. What comes up while reading
	// is reported all the same: a file that was not understood was not checked.
	Only []string
	// Quiet runs the quiet rules too.
	Quiet bool
	// Verdicts asks for how everything stands that the designs say of themselves, one by one.
	Verdicts bool
	// Today decides which acceptances have lapsed; zero: none.
	Today time.Time
	// Memo is what the circuits of all files share; nil: one for each file.
	Memo *circuit.Memo
	// Time, unless it is zero, stands for the most that one design may take by the settings.
	Time time.Duration
	// Doing, if set, is told what is looked for next.
	Doing func(what string)
}

// FileRequest is the wish to have one root file checked.
type FileRequest struct {
	Plan
	Root     *syntax.File
	Settings *settings.Settings
	// Loader reads what the file uses. It is not asked when Read is set.
	Loader elaborate.Loader
	// Read is what the file elaborates to, if that is known already.
	Read *elaborate.Result
	// Most bounds the findings of one rule in one file; 0: as many as there are.
	Most int
	// Upto leaves rules out that need more than this; zero: none. Acceptances are then
	// not judged.
	Upto rule.Need
	// Keep, if set, is handed the pass over each design when all rules have looked, so
	// that its engines can be asked more. It is not called where one was interrupted.
	Keep func(*rule.Pass)
}

// FileResult is what came of one root file.
type FileResult struct {
	Findings []diag.Finding // sorted; each once, whatever the number of designs
	Failures []Failure
	Summary  Summary // without the counts of findings
	// Verdicts and Accepted are listed if the plan asks for it.
	Verdicts []Verdict
	Accepted []Accepted
	// Costs are what the work on each design took.
	Costs []Cost
}

// File checks one root file with everything that it uses. It is what both the command
// line and the editor call. When the context ends it stops early; the result is then
// incomplete.
func File(ctx context.Context, req FileRequest) *FileResult {
	c := &fileCheck{FileRequest: req, ctx: ctx, name: req.Root.Src.Name}
	c.out.Summary.Files = 1
	if c.Memo == nil {
		c.Memo = circuit.NewMemo()
	}
	c.matcher = accept.New(req.Today, req.Catalogue.Names())
	c.try("elaboration", func() {
		if c.Read == nil {
			c.Read = elaborate.Elaborate(ctx, c.Root, c.Loader)
		}
	})
	if c.Read == nil {
		c.found = append(c.found, c.settle(c.Root.Findings)...)
	} else {
		c.reading()
		c.designs()
		c.judge()
	}
	c.out.Findings = first(c.Most, mergeInstances(mergeCombinations(c.found, c.combinations())))
	settleRoots(c.out.Findings)
	if c.Verdicts {
		c.out.Accepted = acceptances(c.matcher, c.Today, c.out.Findings)
	}
	for i := range c.out.Findings {
		c.locate(&c.out.Findings[i])
	}
	out := c.out // by itself: who keeps a result must not keep what it was worked out from
	return &out
}

// fileCheck is the work on one root file.
type fileCheck struct {
	FileRequest
	ctx     context.Context
	name    string
	matcher *accept.Matcher
	found   []diag.Finding
	cleared map[clearance]bool
	running []rule.Rule // once rules has been asked
	out     FileResult
}

// clearance is a subject with which a rule found nothing wrong; bench is empty for the
// designs of the file itself, which answer for each other.
type clearance struct{ rule, subject, bench string }

// try does one piece of work. If it panics that is a Failure and the rest goes on.
func (c *fileCheck) try(what string, work func()) {
	defer func() {
		if r := recover(); r != nil {
			c.out.Failures = append(c.out.Failures, Failure{
				File:  c.name,
				What:  fmt.Sprintf("internal fault in %s: %v", what, r),
				Stack: string(debug.Stack()),
			})
		}
	}()
	work()
}

// turn orders rules: the cheapest come first, and claims, those that no faults are tried for
// first, before what is only looked for.
func turn(r *rule.Rule) int {
	switch {
	case !r.Claims:
		return 3 * int(r.Needs)
	case r.Group == "faults":
		return 3*int(rule.States) - 1
	}
	return 3*int(rule.States) - 2
}

// rules are those that run, cheapest first.
func (c *fileCheck) rules() []rule.Rule {
	if c.running == nil {
		c.running = slices.DeleteFunc(slices.Clone(c.Catalogue.Rules()), func(r rule.Rule) bool { return r.Run == nil || !c.runs(r) })
		slices.SortStableFunc(c.running, func(a, b rule.Rule) int { return turn(&a) - turn(&b) })
	}
	return c.running
}

func (c *fileCheck) runs(r rule.Rule) bool {
	switch {
	case c.Upto != 0 && r.Needs > c.Upto,
		len(c.Only) > 0 && !slices.Contains(c.Only, r.Name) && !slices.Contains(c.Only, rule.Undecided),
		c.Settings.Severity(r.Name, r.Severity) == diag.Off:
		return false
	case r.Quiet:
		return c.Quiet || c.Settings.Names(r.Name) || slices.Contains(c.Only, r.Name)
	}
	return true
}

// ran reports whether findings of a rule can have come up, for acceptances.
func (c *fileCheck) ran(name string) bool {
	r, ok := c.Catalogue.Lookup(name)
	return ok && c.runs(r)
}

// reading takes what came up while reading and lets the rules look that look at a file
// as it is written.
func (c *fileCheck) reading() {
	var fs []diag.Finding
	for _, f := range c.Read.Files {
		fs = append(fs, f.Findings...)
	}
	fs = append(fs, c.Read.Findings...)
	sink := &collector{found: fs, most: c.Most}
	c.pass(c.ctx, &rule.Pass{}, sink, func(n rule.Need) bool { return n == rule.Names })
	fs = c.settle(sink.found)
	for _, d := range c.Read.Designs {
		c.matcher.Apply(d, fs, c.ran)
	}
	c.found = append(c.found, fs...)
}

// designs lets the rules look at each design.
func (c *fileCheck) designs() {
	type assumed struct{ path, what string }
	seen := map[assumed]bool{}
	var all []*collector
	c.cleared = map[clearance]bool{}
	for _, d := range c.Read.Designs {
		if c.ctx.Err() != nil {
			return
		}
		c.out.Summary.Designs++
		if d.Bench {
			c.out.Summary.Benches++
		}
		for _, a := range d.Assumed {
			seen[assumed{a.Path, a.What}] = true
		}
		sink := &collector{design: d, cleared: c.cleared, most: c.Most}
		p := &rule.Pass{Design: d}
		failures := len(c.out.Failures)
		ctx, end := bounded(c.ctx, &c.Settings.Limits, c.Time)
		c.pass(ctx, p, sink, func(n rule.Need) bool { return n > rule.Names })
		keep := c.Keep != nil && ctx.Err() == nil && len(c.out.Failures) == failures
		sink.found = c.settle(sink.found)
		if c.Verdicts && c.ctx.Err() == nil {
			c.try("the verdicts", func() { c.out.Verdicts = append(c.out.Verdicts, verdicts(p, sink.found, sink.ran(c.ran))...) })
		}
		end()
		if p.Ctx = c.ctx; keep && c.ctx.Err() == nil {
			c.Keep(p)
		}
		all = append(all, sink)
	}
	c.out.Summary.Assumed = len(seen)
	for _, sink := range all {
		kept := slices.DeleteFunc(sink.found, func(f diag.Finding) bool {
			r, _ := c.Catalogue.Lookup(f.Rule)
			return r.Everywhere && c.cleared[sink.clearance(f.Rule, f.Subject)]
		})
		kept = c.withoutEffects(kept)
		c.matcher.Apply(sink.design, kept, sink.ran(c.ran))
		c.try("root causes", func() { rootcause.Fold(sink.design, kept) })
		c.found = append(c.found, kept...)
	}
}

// withoutEffects leaves out what other findings of a design tell the cause of.
func (c *fileCheck) withoutEffects(found []diag.Finding) []diag.Finding {
	type said struct{ rule, subject string }
	all := make(map[said]bool, len(found))
	for i := range found {
		all[said{found[i].Rule, found[i].Subject}] = true
	}
	return slices.DeleteFunc(found, func(f diag.Finding) bool {
		r, _ := c.Catalogue.Lookup(f.Rule)
		return slices.ContainsFunc(r.SuppressedBy, func(cause string) bool { return f.Subject != "" && all[said{cause, f.Subject}] })
	})
}

// pass lets rules look at one design, or at the file.
func (c *fileCheck) pass(ctx context.Context, p *rule.Pass, sink *collector, wanted func(rule.Need) bool) {
	p.Ctx, p.Root, p.Read, p.Limits, p.Memo = ctx, c.Root, c.Read, c.Settings.Limits, c.Memo
	p.Severity = c.Settings.Severity
	where := ""
	if p.Design != nil && p.Design.Name != "" {
		where = " (" + p.Design.Name + ")"
	}
	w := &costs{ctx: ctx}
	defer func() { sink.left = w.left }()
	for _, r := range c.rules() {
		if c.ctx.Err() != nil {
			return
		}
		if !wanted(r.Needs) {
			continue
		}
		if budget.Stopped(ctx) == nil {
			if c.Doing != nil {
				c.Doing(r.Name + where)
			}
			c.try("rule "+r.Name+where, func() { p.Run(&r, sink) })
		}
		w.after(&r)
	}
	c.limits(p, sink, wanted)
	c.stopped(p, sink, w)
	c.try("the tally"+where, func() { c.out.Summary.tally(ctx, p, w) })
	if p.Design != nil {
		c.out.Costs = append(c.out.Costs, w.cost(c.name, p.Design.Name))
	}
}

// limits says of a design of which some question met a limit that not all could be found,
// unless a rule has said so already: as severe as the most that could have been found.
func (c *fileCheck) limits(p *rule.Pass, sink *collector, wanted func(rule.Need) bool) {
	why := p.Limit()
	if why == "" || p.Ctx.Err() != nil {
		return
	}
	worst, said := diag.Off, diag.Off
	for _, r := range c.rules() {
		if wanted(r.Needs) && r.Needs >= rule.States {
			worst = max(worst, c.Settings.Severity(r.Name, r.Severity))
		}
	}
	for i := range sink.found {
		if f := &sink.found[i]; f.Rule == rule.Undecided {
			said = max(said, f.Severity)
		}
	}
	if said < worst {
		sink.Report(diag.Finding{
			Rule: rule.Undecided, Severity: worst, Where: p.Design.Name, Place: diag.Place{File: c.Root.Src},
			Message: "not all of the design can be decided: " + why,
			Help:    "raise the limit in pintle.toml, or split the design",
		})
	}
}

// judge reports what is wrong with the acceptances.
func (c *fileCheck) judge() {
	if c.Upto == 0 {
		c.found = append(c.found, c.settle(c.matcher.Findings())...)
	}
}

// settle gives findings the severity that the settings want, and a reason, and drops
// those that are switched off.
func (c *fileCheck) settle(fs []diag.Finding) []diag.Finding {
	var out []diag.Finding
	for _, f := range fs {
		r, known := c.Catalogue.Lookup(f.Rule)
		if f.Severity == diag.Off {
			f.Severity = r.Severity
			if !known {
				f.Severity = diag.Error
			}
		}
		f.Severity = c.Settings.Severity(f.Rule, f.Severity)
		if f.Why == "" {
			f.Why = r.Why
		}
		reading := !known || r.Needs == rule.Reading
		// What a rule that runs could not decide is no less to be told than what it finds.
		wanted := len(c.Only) == 0 || slices.Contains(c.Only, f.Rule) || reading || f.Rule == rule.Undecided
		if f.Severity != diag.Off && wanted {
			out = append(out, f)
		}
	}
	return out
}

// locate says of a finding about a design, if it stands in a file which the root uses,
// where it was seen. What came up while reading that file is a matter of that file.
func (c *fileCheck) locate(f *diag.Finding) {
	r, _ := c.Catalogue.Lookup(f.Rule)
	aboutDesign := r.Run != nil && r.Needs > rule.Names || f.Rule == rule.Undecided
	if !aboutDesign || f.IsZero() || f.File.Name == c.name {
		return
	}
	in := "in " + c.name
	if f.Where != "" {
		in += ", " + f.Where
	}
	f.Where = in
}

// combinations is the number of designs of the file that are no benches.
func (c *fileCheck) combinations() int {
	return c.out.Summary.Designs - c.out.Summary.Benches
}

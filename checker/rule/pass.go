package rule

import (
	"context"
	"fmt"

	"pintle/checker/circuit"
	"pintle/checker/settings"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/syntax"
)

// Undecided is the name of the rule under which all others say what they could
// not decide.
const Undecided = "undecided"

// Pass is one look of the rules at one design, or, for rules that need Names only,
// at one root file. It is used by one goroutine.
type Pass struct {
	// Ctx ends when nobody waits for the findings any more.
	Ctx context.Context
	// Root is the file that is being checked.
	Root *syntax.File
	// Read is what the root file and the files that it uses came to: their trees,
	// the index of their names, and all designs.
	Read *elaborate.Result
	// Design is the one of Read.Designs that is looked at; nil for rules that need
	// Names only.
	Design *model.Design
	Limits settings.Limits
	// Memo is what circuits that are alike share; nil: nothing.
	Memo *circuit.Memo

	rule     *Rule
	sink     Sink
	shared   map[any]func() any
	undecide map[string]bool
}

// Sink takes what rules have to say.
type Sink interface {
	// Report takes a finding that lacks nothing.
	Report(diag.Finding)
	// Clear takes that a rule found nothing wrong with a subject.
	Clear(rule, subject string)
}

// Run lets one rule look. What is shared between rules stays in the pass.
func (p *Pass) Run(r *Rule, to Sink) {
	p.rule, p.sink = r, to
	defer func() { p.resume(recover()) }()
	r.Run(p)
}

// about is the place of findings about the design as a whole: the beginning of its
// file.
func (p *Pass) about() diag.Place {
	if p.Root == nil {
		return diag.Place{}
	}
	return diag.Place{File: p.Root.Src}
}

// Report adds a finding of the rule that runs. Rule, Where, and where they are
// left empty Severity and Why, are filled in.
func (p *Pass) Report(f diag.Finding) {
	f.Rule = p.rule.Name
	if f.Severity == diag.Off {
		f.Severity = p.rule.Severity
	}
	if f.Why == "" {
		f.Why = p.rule.Why
	}
	p.add(f)
}

// Reportf reports a finding on a thing with nothing but a message; see Report for
// all that a finding may carry.
func (p *Pass) Reportf(on *model.Info, format string, args ...any) {
	p.Report(diag.Finding{
		Place:   on.NamePlace,
		Subject: on.Path,
		Message: fmt.Sprintf(format, args...),
	})
}

// Undecided says that the rule that runs can't tell about subject, a path, and
// why: "the states of this design are more than 4000000 decision nodes hold". What
// several rules can't decide about one subject for one reason is said once.
func (p *Pass) Undecided(at diag.Place, subject, reason string) {
	key := subject + "\x00" + reason
	if p.undecide[key] {
		return
	}
	if p.undecide == nil {
		p.undecide = map[string]bool{}
	}
	p.undecide[key] = true
	about := subject
	if about == "" {
		about = "the design"
	}
	p.add(diag.Finding{
		Rule:    Undecided,
		Message: fmt.Sprintf("%s can't be decided for %s: %s", p.rule.Name, about, reason),
		Place:   at,
		Subject: subject,
	})
}

// Clear says that the rule that runs, one with Everywhere set, looked at subject
// in this design and found nothing wrong with it.
func (p *Pass) Clear(subject string) { p.sink.Clear(p.rule.Name, subject) }

func (p *Pass) add(f diag.Finding) {
	if f.Where == "" && p.Design != nil {
		f.Where = p.Design.Name
	}
	if p.Design != nil {
		f.Design = p.Design.Name
	}
	p.sink.Report(f)
}

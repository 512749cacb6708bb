package rule

import (
	"context"
	"errors"
	"fmt"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/run/settings"
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
	// Severity is how severe the settings want the findings of a rule with a severity of
	// its own; nil: as that.
	Severity func(rule string, own diag.Severity) diag.Severity
	// Memo is what circuits that are alike share; nil: nothing.
	Memo *circuit.Memo

	limit    string // why some question met a limit
	asking   bool   // Ask is at work
	rule     *Rule
	sink     Sink
	shared   map[any]func() any
	undecide map[string]diag.Severity // what was said, with the severity
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

// Ask puts a question from outside: the function sees the pass as a rule does, and what it
// reports goes nowhere. The error says why an engine could not answer; what the function had
// done by then stands.
func (p *Pass) Ask(question func(*Pass)) error {
	var s stopSink
	was := p.asking
	p.asking = true
	defer func() { p.asking = was }()
	p.Run(&Rule{Name: "question", Run: question}, &s)
	if s != "" {
		return errors.New(string(s))
	}
	return nil
}

// stopSink hears why a question could not be answered.
type stopSink string

func (s *stopSink) Report(f diag.Finding) {
	if f.Rule == Undecided && *s == "" {
		*s = stopSink(f.Message)
	}
}

func (*stopSink) Clear(string, string) {}

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
// why: "the states of this design are more than 4000000 decision nodes hold". It is as
// severe as what the rule would have found, so that a search that is given up early never
// makes a design look better. What several rules can't decide about one subject for one
// reason is said once for each severity.
func (p *Pass) Undecided(at diag.Place, subject, reason string) {
	about := subject
	if about == "" {
		about = "the design"
	}
	severity := p.rule.Severity
	if p.Severity != nil {
		severity = p.Severity(p.rule.Name, severity)
	}
	p.undecided(severity, subject, reason, diag.Finding{
		Message: fmt.Sprintf("%s can't be decided for %s: %s", p.rule.Name, about, reason),
		Place:   at,
		Subject: subject,
	})
}

// UndecidedBy says the same for a verdict that is undecided. Where that is for hardware that
// never settles it says nothing: the finding about that is the one to mend.
func (p *Pass) UndecidedBy(at diag.Place, subject string, v system.Verdict) {
	if v.Unsettled == nil && v.Round == nil {
		p.Undecided(at, subject, v.Why)
	}
}

// LimitMet notes why a question met a limit; empty: it did not.
func (p *Pass) LimitMet(why string) {
	if p.limit == "" {
		p.limit = why
	}
}

// Limit says why some question that a rule asked met a limit, so that not all could be
// found; empty if none did.
func (p *Pass) Limit() string {
	for _, systems := range [...]*Shared[made[*system.System]]{systems, fusedSystems} {
		if s, ok := systems.known(p); ok && s.it != nil {
			p.LimitMet(s.it.LimitMet())
		}
	}
	return p.limit
}

// UndecidedClaim says that a claim of the design, a requirement, symptom, drive or the claim
// of a band, is neither proved nor refuted, and why. That is an error whatever rule finds
// it: nobody must take the claim for proved.
func (p *Pass) UndecidedClaim(at diag.Place, subject, reason string, evidence ...diag.Evidence) {
	p.undecided(diag.Error, subject, reason, diag.Finding{
		Message:  fmt.Sprintf("%s can't be decided: %s", subject, reason),
		Place:    at,
		Subject:  subject,
		Evidence: evidence,
	})
}

func (p *Pass) undecided(s diag.Severity, subject, reason string, f diag.Finding) {
	key := subject + "\x00" + reason
	// A rule without a severity is a question from outside: each gets its answer.
	if said, ok := p.undecide[key]; ok && said >= s && s != diag.Off {
		return
	}
	if p.undecide == nil {
		p.undecide = map[string]diag.Severity{}
	}
	p.undecide[key] = s
	f.Rule, f.Severity = Undecided, s
	p.add(f)
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

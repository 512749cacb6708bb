package rule

import (
	"pintle/lang/diag"
)

// Need says how much has to be known before a rule can run, in rising order of
// cost. Rules run in this order, so that cheap findings come first.
type Need uint8

const (
	// Reading marks findings that come up while files are read and elaborated;
	// such a rule has no Run.
	Reading Need = iota
	// Names needs the trees of the files and the index of their names. The rule
	// runs once for a root file and Pass.Design is nil.
	Names
	// Design needs the flat model.
	Design
	// Circuit needs solved circuits.
	Circuit
	// States needs the reachable states.
	States
	// Drives needs the scenarios to have been run.
	Drives
	// Judging marks findings about other findings (acceptances); they come up when
	// everything else is known and such a rule has no Run.
	Judging
)

var needNames = [...]string{"reading", "names", "design", "circuit", "states", "drives", "judging"}

func (n Need) String() string { return needNames[n] }

// Rule is one thing that the checker looks for.
type Rule struct {
	// Name is a slug made of trade words: "sneak-path".
	Name string
	// Group is filled in by the Group that the rule is listed in.
	Group string
	// Severity that its findings have unless the settings say otherwise.
	Severity diag.Severity
	// Summary says in one sentence what it finds, without a final full stop.
	Summary string
	// Why says in one sentence why that matters on the vehicle, without a final
	// full stop.
	Why string
	// Doc tells more, in Markdown: what exactly is looked at, what is not, what to
	// do. It needs no examples: the reference shows the fixtures. Code blocks
	// marked `pintle` are read by a test.
	Doc string
	// Source names the published source that the rule rests on; empty: none.
	Source string
	// Fixable tells that its findings may carry a fix.
	Fixable bool
	// Everywhere: a finding counts only if no design of the file clears its subject.
	Everywhere bool
	// SuppressedBy names rules that report the cause: where one of them speaks of the same
	// subject, in the same design, what this one says of it is left out.
	SuppressedBy []string
	// Quiet: the rule is not run unless it is asked for, by name, in the settings or
	// with all notes; what it would say is only counted.
	Quiet bool
	Needs Need
	// Claims: its findings are verdicts on what the design says of itself. Such rules look
	// before those that only look for more, so that these leave work for them.
	Claims bool
	// Run is nil exactly for Reading and Judging.
	Run func(*Pass)
}

// HasRun reports whether rules with this need carry a Run function.
func (n Need) HasRun() bool { return n != Reading && n != Judging }

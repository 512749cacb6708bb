// Package diag holds what Pintle has to say: findings with their evidence and
// edits, as plain data with a total order.
package diag

import (
	"cmp"
	"slices"

	"pintle/lang/source"
)

// Severity of a finding. The zero value is Note so that sorting by severity puts
// the worst last; use Compare for the order in which findings are shown.
type Severity uint8

// The severities, in rising order.
const (
	Off Severity = iota // a rule switched off in the settings; never on a finding
	Note
	Warning
	Error
)

var severityNames = [...]string{Off: "off", Note: "note", Warning: "warning", Error: "error"}

func (s Severity) String() string { return severityNames[s] }

// ParseSeverity reads "off", "note", "warning" or "error".
func ParseSeverity(s string) (Severity, bool) {
	i := slices.Index(severityNames[:], s)
	return Severity(max(i, 0)), i >= 0
}

// Place is a span in a file.
type Place struct {
	File *source.File
	source.Span
}

// IsZero reports whether the place says nothing.
func (p Place) IsZero() bool { return p.File == nil }

// Compare orders places by file name, then position.
func (p Place) Compare(q Place) int {
	name := func(p Place) string {
		if p.File == nil {
			return ""
		}
		return p.File.Name
	}
	return cmp.Or(cmp.Compare(name(p), name(q)), cmp.Compare(p.Start, q.Start), cmp.Compare(p.End, q.End))
}

// Related is a further place with what it has to do with the finding.
type Related struct {
	Place
	Note string
}

// EvidenceKind says what the lines of a piece of evidence are.
type EvidenceKind string

// The kinds of evidence.
const (
	Path     EvidenceKind = "path"     // the elements that a current runs through, in order
	Interval EvidenceKind = "interval" // a stretch of a quantity
	Trace    EvidenceKind = "trace"    // moves that lead from rest to the state in question
	Values   EvidenceKind = "values"   // solved or tabled numbers
	Chain    EvidenceKind = "chain"    // causes, each because of the next
)

// Line is one line of evidence, with the place that it speaks of, if any, and the
// machine-readable form of what it says.
type Line struct {
	Text string
	Place
	// Set holds, for a move of a trace, what the line does to which input, so that
	// the trace can be replayed as a drive: "set key run", "ramp engine_speed to 4200 rpm over 1 s".
	Step string
	// Numbers are those in the text that were solved, with what it takes to solve them again.
	Numbers []Number
	// Events are what the text says to happen, each with the thing that it happens to.
	Events []Event
	// Facts are what the text says to be so in the state that it speaks of.
	Facts []Event
}

// Evidence backs a finding up.
type Evidence struct {
	Kind  EvidenceKind
	Title string
	Lines []Line
	// State is where a trace leads to or a chain of causes begins; nil where the evidence
	// speaks of no single state.
	State *State
}

// Edit replaces a span of a file by a text.
type Edit struct {
	Place
	New string
}

// Fix is a change that is certain to clear the finding it comes with.
type Fix struct {
	Title string
	Edits []Edit
}

// Waiver tells that a finding was accepted in the design, and why.
type Waiver struct {
	Reason string
	Place
}

// Finding is one thing that the checker has to say.
type Finding struct {
	Rule     string // slug of the rule
	Severity Severity
	Message  string // the short form; stands alone; no final full stop
	Why      string // why it matters on the vehicle; empty: the rule's own sentence
	Help     string // what to do
	Place
	Subject  string // path of the thing that it is about, for `accept … on`
	Key      string // tells several findings of a rule about one thing apart; empty where there is one
	Where    string // which design, option combination or bench; empty when it is the file itself
	Related  []Related
	Evidence []Evidence
	// Numbers are those in the message that were solved.
	Numbers []Number
	// Design is the name of the design whose tables the evidence numbers.
	Design string
	Fixes  []Fix
	Tags   []Tag
	Waived *Waiver
	// Follows is the finding that this one only follows from; nil: none.
	Follows *Root
}

// Root names the finding from which others follow, by what makes it one.
type Root struct {
	Rule, Subject, Message string
	Place
}

// Is reports whether a root names a finding.
func (r *Root) Is(f *Finding) bool {
	return r != nil && r.Rule == f.Rule && r.Message == f.Message && r.Place.Compare(f.Place) == 0
}

// Tag marks findings that editors show in a way of their own.
type Tag uint8

// Unnecessary marks what nothing uses; editors fade it.
const Unnecessary Tag = 1

// Compare is a total order over findings: by place, then rule, message, where.
func Compare(a, b Finding) int {
	return cmp.Or(
		a.Place.Compare(b.Place),
		cmp.Compare(a.Rule, b.Rule),
		cmp.Compare(a.Message, b.Message),
		cmp.Compare(a.Subject, b.Subject),
		cmp.Compare(a.Where, b.Where),
	)
}

// Sort puts findings in their order.
func Sort(fs []Finding) { slices.SortStableFunc(fs, Compare) }

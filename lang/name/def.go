package name

import (
	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// Def is a definition: what a name in a text stands for. A part that is put in place
// ten times has one definition for each of its things; which of the ten is meant is
// decided by the path that leads there.
type Def struct {
	Name string
	// Kind of the statement that defines it. Positions, levels and ways carry the kind
	// of what they belong to and say in Sort what they are.
	Kind schema.ID
	Sort Sort
	// Place is the head of the defining statement, NamePlace the name itself.
	Place     diag.Place
	NamePlace diag.Place
	Stmt      *syntax.Stmt
	// In is the scope that it is defined in, Index its number there.
	In    *Scope
	Index int
	// Inner is what may be named behind a dot; nil if nothing.
	Inner *Scope
	// Twin is a further definition of the same name in the same scope: under other
	// options, or a mistake.
	Twin *Def
	// Broken: its statement could not be read in full.
	Broken bool

	file *Scope // of a short name: the used file
}

// Sort says what a definition is, where the kind of its statement does not.
type Sort uint8

// The sorts.
const (
	Thing    Sort = iota // what the statement's kind says
	Position             // of a setting or an option
	Level                // of a load
	Terminal             // of a supply
	Way                  // of a connector
	Short                // the short name of a used file
	Lost                 // of a statement whose kind is not known
)

// Word says in a word or two what the definition is: "coil", "position".
func (d *Def) Word() string {
	switch d.Sort {
	case Position:
		return "position"
	case Level:
		return "level"
	case Terminal:
		return "terminal"
	case Way:
		return "way"
	case Short:
		return "file"
	case Lost:
		return "thing"
	}
	return d.Kind.String()
}

// Path is the name within its file: "Relay.winding", "key.run".
func (d *Def) Path() string {
	if d.In == nil || d.In.Owner == nil {
		return d.Name
	}
	return d.In.Owner.Path() + "." + d.Name
}

// Doc is the text of the `##` lines above it.
func (d *Def) Doc() string {
	if d.Stmt == nil || d.Sort != Thing {
		return ""
	}
	return DocOf(d.Stmt)
}

// Package schema is the one home of what can be said in Pintle: every kind of
// statement, where it may stand, what its head looks like, which clauses it takes
// and what their words and slots are.
//
// The parser matches against this table, the elaborator asks for clauses by its
// form constants, and completion, hover, the formatter and the reference's test
// read the very same entries. Nothing about a kind is written down anywhere else.
package schema

import (
	"slices"
	"strings"
	"sync"

	"pintle/lang/failure"
	"pintle/lang/unit"
)

// Context says in what a statement stands. Contexts are bits, so that a kind can
// tell all of those where it is at home.
type Context uint16

// The contexts.
const (
	InTop    Context = 1 << iota // the top level of a file
	InPart                       // the body of a part
	InFit                        // the body of a one-off fit or an `elsewhere`
	InBench                      // the body of a bench
	InChart                      // the rows of a chart
	InTimer                      // the rows of a timer
	InResult                     // the rows of a result
	InModes                      // the modes and transitions of a machine
	InBands                      // the bands of a partition
	InDrive                      // the steps of a drive

	// InBodies is wherever the things of a circuit may stand.
	InBodies = InTop | InPart | InFit | InBench
	// Anywhere is every context.
	Anywhere = InBodies | InChart | InTimer | InResult | InModes | InBands | InDrive
)

var contextNames = []struct {
	c    Context
	name string
}{
	{InTop, "at the top level"},
	{InPart, "in a part"},
	{InFit, "in a fit"},
	{InBench, "on a bench"},
	{InChart, "in a chart"},
	{InTimer, "in a timer"},
	{InResult, "in a result"},
	{InModes, "in `modes`"},
	{InBands, "in `bands`"},
	{InDrive, "in a drive"},
}

// Phrases names the contexts in c for people, in their order: "in a part".
func (c Context) Phrases() []string {
	var out []string
	for _, n := range contextNames {
		if c&n.c != 0 {
			out = append(out, n.name)
		}
	}
	return out
}

// HeadForm says what stands between a kind word and the colon.
type HeadForm uint8

// The forms of a head.
const (
	HeadName         HeadForm = iota // NAME
	HeadNames                        // NAME, NAME
	HeadPins                         // NAME, NAME where a name may end in + or -
	HeadOptionalName                 // nothing, or NAME
	HeadText                         // "text"
	HeadUse                          // "path", or "path" as NAME
	HeadWhen                         // when COND
	HeadEnds                         // PIN to PIN
	HeadNameText                     // NAME "text"
	HeadNameMaybe                    // NAME, or NAME "text"
	HeadRule                         // the slug of a rule
	HeadMove                         // NAME, NAME to NAME, or any to NAME
)

// Group orders kinds for reference and completion.
type Group uint8

// The groups, in the order of the reference.
const (
	World Group = iota
	Joining
	Parts
	Body
	Controllers
	Deciding
	Claims
)

var groupNames = [...]string{"The world", "Joining things", "Parts and fits", "In a body", "Controllers", "Deciding", "Claims, drives, faults"}

func (g Group) String() string { return groupNames[g] }

// BodyNeed says whether a kind has a body in braces.
type BodyNeed uint8

// Whether there is a body.
const (
	NoBody BodyNeed = iota
	MayHaveBody
	MustHaveBody
)

// Kind is one entry of the table. Kinds are made once and never change.
type Kind struct {
	ID    ID
	Name  string // the word that a statement begins with
	Doc   string // one or two sentences in plain words
	Group Group
	Where Context // where it may stand
	Head  HeadForm
	Body  BodyNeed
	// Inside is what the body is; 0 for `only when`, whose body is what it stands in.
	Inside Context
	// Forms are the clauses, in the order of the reference and of the canonical text.
	Forms []*Form
	// Fails are the modes in which things of the kind can fail; empty: they can't.
	Fails []failure.Mode
	// Snippet completes a statement in an editor: "coil ${1:name}: …".
	Snippet string

	byWord map[string][]*Form // forms whose pattern begins with that word
	bare   []*Form            // forms whose pattern begins with a slot
}

// Starting returns the forms that begin with the word, longest literal beginning first.
func (k *Kind) Starting(word string) []*Form { return k.byWord[word] }

// Bare returns the forms that begin with a slot, in the order in which they are tried.
func (k *Kind) Bare() []*Form { return k.bare }

// Form returns the form with the ID, or nil if it belongs to another kind.
func (k *Kind) Form(id FormID) *Form {
	for _, f := range k.Forms {
		if f.ID == id {
			return f
		}
	}
	return nil
}

// Form is one clause that a kind takes.
type Form struct {
	ID      FormID
	Kind    *Kind
	Pattern string // "pulls in at {volts:value voltage}"
	Doc     string
	// Alike forms exclude and stand in for each other: `sets at`, `sets above`. The
	// counts hold for all of them together. Empty: the form stands for itself.
	Alike string
	Min   int // 1: required
	Max   int // 0: any number
	// OrBody: a body in braces stands in for a required clause (rows that tell the time
	// of a timer, the inside of a one-off fit).
	OrBody bool
	Elems  []Elem
	// Tally is where in Kind.Forms the form is counted: its own place, or that of the
	// first of those alike.
	Tally int
}

// Literal is the words that the pattern begins with: "pulls in at".
func (f *Form) Literal() string { return f.literal() }

// Slot finds a slot by its role, or nil.
func (f *Form) Slot(role string) *Slot {
	for i := range f.Elems {
		if s := f.Elems[i].Slot; s != nil && s.Role == role {
			return s
		}
	}
	return nil
}

// Elem is a word or a slot of a pattern.
type Elem struct {
	Word string // empty for a slot
	Slot *Slot  // nil for a word
}

// SlotType says what fills a slot.
type SlotType uint8

// What fills a slot.
const (
	SlotName     SlotType = iota // one name: a position, level, band, mode
	SlotWord                     // any one word
	SlotRef                      // a path
	SlotPin                      // a path to something electrical or a port; may begin with `each`
	SlotRefs                     // paths separated by commas
	SlotQuantity                 // a value with its unit; see Shape, Dims, Difference, Tolerance
	SlotCount                    // a whole number, or the name of an argument
	SlotCond                     // a condition
	SlotText                     // text in quotes
	SlotColour                   // a colour, with stripe
	SlotDate                     // 2027-06-30
	SlotChoice                   // one of Choices
	SlotArgType                  // the type of an argument: a unit, or one of Choices
	SlotDefault                  // what an argument is unless said: a quantity, a number or a name
	SlotSubject                  // a path, `current through X`, `volts A to B`, `volts at A`
	SlotCall                     // Part, or Part(rating 10 A, made when COND)
	SlotArgs                     // rating 10 A, made when COND
	SlotFaults                   // faults separated by commas: `W18 open`, `swap C1 with C2`, the name of a `fault`
)

// Shape says how many values a quantity slot holds.
type Shape uint8

// The shapes of a quantity.
const (
	One        Shape = iota // 8 V
	Range                   // 0 to 6800 rpm
	OneOrRange              // either
	Pair                    // 9 V and 15 V
)

// Limit says which numbers a quantity slot takes. Every such slot has one: what can't be
// is found where it is written, not where something is computed with it.
type Limit uint8

// The limits. Of a time that is an interval the lower end may be 0 where it must be Positive.
const (
	Unlimited Limit = iota // the slot holds no quantity
	Signed                 // any number
	Positive               // above 0
	FromZero               // 0 or more
	Share                  // above 0, up to 100 %
)

// Order says what is asked of the two ends of a range or pair.
type Order uint8

// The orders.
const (
	InOrder   Order = iota // the first no higher than the second
	Rising                 // the first below the second
	Unordered              // somebody else looks at that
)

// Slot is a place of a pattern that a design fills in.
type Slot struct {
	Role string
	Type SlotType

	// Of a quantity: the dimensions that are taken (none: any), whether it is a
	// difference (5 degC of accuracy), and whether +- may follow.
	Shape      Shape
	Dims       []unit.Dim
	Difference bool
	Tolerance  bool
	Limit      Limit
	Order      Order
	// Written slots take no name of an argument in place of a value.
	Written bool

	// Of a choice: what may stand there, in words separated by single spaces; of faults the
	// modes in which things fail.
	Choices []string

	// Of a path: the kinds of things that it may name. It is empty where the type of the slot
	// says it (a pin: anything that current reaches), or where it may name anything.
	Names []ID
	names string // the same, in the words of the pattern
}

// Takes reports whether a quantity slot takes a dimension. A slot for pressures takes
// the three of them alike; which are meant is a matter of what they are compared with.
func (s *Slot) Takes(d unit.Dim) bool {
	return len(s.Dims) == 0 && d != unit.None || slices.Contains(s.Dims, d)
}

// MayName reports whether a path in the slot may name a thing of the kind.
func (s *Slot) MayName(id ID) bool { return len(s.Names) == 0 || slices.Contains(s.Names, id) }

// Wants says in words what a path in the slot has to name: "a coil or an armature".
func (s *Slot) Wants() string {
	var words []string
	for i, id := range s.Names {
		switch {
		case s.names != "failing":
			words = append(words, Of(id).WithArticle())
		case i == 0:
			words = append(words, "a thing that can fail: "+Of(id).WithArticle())
		default:
			words = append(words, Of(id).Name)
		}
	}
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " or " + words[n-1]
	}
	return strings.Join(words, "")
}

// WithArticle is the word of the kind behind its article: "an input".
func (k *Kind) WithArticle() string {
	if strings.ContainsRune("aeiou", rune(k.Name[0])) {
		return "an " + k.Name
	}
	return "a " + k.Name
}

type table struct {
	all    []*Kind
	byName map[string][]*Kind
	byID   [idCount]*Kind
	byForm [formCount]*Form
}

var built = sync.OnceValue(build)

// All returns every kind in the order of the reference.
func All() []*Kind { return built().all }

// Lookup finds what a word says in a context. If the word is a kind only elsewhere,
// that kind is returned with ok false.
func Lookup(word string, in Context) (k *Kind, ok bool) {
	for _, k = range built().byName[word] {
		if k.Where&in != 0 {
			return k, true
		}
	}
	return k, false
}

// Named returns every kind with that word: there are three kinds of `row`.
func Named(word string) []*Kind { return built().byName[word] }

// Of returns the kind with the ID.
func Of(id ID) *Kind { return built().byID[id] }

// FormOf returns the form with the ID.
func FormOf(id FormID) *Form { return built().byForm[id] }

// String returns the word of the kind.
func (id ID) String() string { return Of(id).Name }

// String returns kind and pattern.
func (id FormID) String() string {
	f := FormOf(id)
	return f.Kind.Name + ": " + f.Pattern
}

// NeedsClause reports whether a statement of the kind needs at least one clause.
func (k *Kind) NeedsClause() bool {
	return slices.ContainsFunc(k.Forms, func(f *Form) bool { return f.Min > 0 && !f.OrBody })
}

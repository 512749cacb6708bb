// Package syntax turns the text of a design into a tree and findings. It never
// fails: whatever the text is, there is a tree that covers every byte of it, and a
// broken statement costs its neighbours nothing.
//
// The way of a text: the lexer cuts it into tokens that, joined, are the text again;
// the cutter groups tokens into statements and bodies and finds lost braces; each
// statement is read by itself, its shape by the grammar and its clauses against the
// table in package schema. A statement whose text did not change since the last parse
// keeps its tree. [Stmt.Expect] asks the same parser what could stand at a cursor.
package syntax

import (
	"sync/atomic"

	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/unit"
)

// File is a parsed text. It is immutable, and so is everything that can be reached from it.
type File struct {
	Src *source.File
	// Tokens cover the text without a gap.
	Tokens Tokens
	Stmts  []*Stmt
	// Findings are sorted.
	Findings []diag.Finding
	// Reparsed counts the statements that were read anew rather than taken over.
	Reparsed int

	order  []*Stmt // every statement, in the order of the text
	capped bool    // there is more to say than is said
}

// All returns every statement of the file, nested ones too, in the order of the text.
func (f *File) All() []*Stmt { return f.order }

// Stmt is one statement with its body. Spans are absolute.
type Stmt struct {
	Kind   *schema.Kind // nil if the word is none, or if there is none
	In     schema.Context
	Parent *Stmt
	Body   []*Stmt
	// HasBody tells that there are braces.
	HasBody bool
	// Broken tells that something about the statement itself was not understood;
	// what it declares is unknown. Its body may be in order all the same.
	Broken bool
	// Span covers the statement with its body; Line what stands before the body, the
	// brace included; BodySpan what stands between the braces.
	Span, Line, BodySpan source.Span

	file *File
	base int   // absolute offset of Line
	from *tree // as it was parsed, perhaps at another place
	here atomic.Pointer[tree]
}

// tree is what reading a statement by itself yields. Its spans are absolute for a
// statement that begins at base; one that moved is shifted when it is first asked for.
type tree struct {
	base     int
	word     Word
	head     Head
	clauses  []*Clause
	findings []diag.Finding
	broken   bool
	sought   bool // there are findings, and it was sought what was meant
}

// KindWord is the word that the statement begins with; empty if there is none.
func (s *Stmt) KindWord() Word { return s.tree().word }

// Head is what stands between the kind word and the colon.
func (s *Stmt) Head() *Head { return &s.tree().head }

// Name is the first name of the head, or a zero Word.
func (s *Stmt) Name() Word {
	if h := s.Head(); len(h.Names) > 0 {
		return h.Names[0]
	}
	return Word{}
}

// Clauses are those that were understood, and broken ones whose form is known.
func (s *Stmt) Clauses() []*Clause { return s.tree().clauses }

// Clause returns the first clause of a form that is not broken, or nil.
func (s *Stmt) Clause(id schema.FormID) *Clause {
	for _, c := range s.Clauses() {
		if c.Form != nil && c.Form.ID == id && !c.Broken {
			return c
		}
	}
	return nil
}

// All returns every clause of a form that is not broken, in the order of the text.
func (s *Stmt) All(id schema.FormID) []*Clause {
	var out []*Clause
	for _, c := range s.Clauses() {
		if c.Form != nil && c.Form.ID == id && !c.Broken {
			out = append(out, c)
		}
	}
	return out
}

// Has reports whether there is a clause of the form.
func (s *Stmt) Has(id schema.FormID) bool { return s.Clause(id) != nil }

// File is the file that the statement stands in.
func (s *Stmt) File() *File { return s.file }

// Place puts a span of the statement into its file.
func (s *Stmt) Place(span source.Span) diag.Place {
	return diag.Place{File: s.file.Src, Span: span}
}

// Word is one word with its place. For a colour or a choice of several words it is
// the canonical spelling of all of them.
type Word struct {
	Text string
	source.Span
}

// Str is a text in quotes; Text is without them.
type Str struct {
	Text string
	source.Span
}

// Head is what stands between the kind word and the colon. Which fields are set is a
// matter of kinds.Kind.Head.
type Head struct {
	Names []Word // also the rule of `accept`, the short name of `use`, the modes left by `from`
	Text  *Str
	Cond  *Cond
	From  *Ref // of `powered`
	To    *Ref // of `powered`; of `from A to B` the mode that is entered
	Any   bool // `from any to C`
	source.Span
}

// Clause is one clause, matched against a form.
type Clause struct {
	Form *schema.Form
	// Args are in the order of the form's slots.
	Args []Arg
	// Broken tells that the form is known by its words, but what fills it is wrong.
	Broken bool
	source.Span
}

// Arg is what fills a slot.
type Arg struct {
	Slot *schema.Slot
	Node Node
}

// Node is what may fill a slot: *Ref, *Refs, *Faults, *Quantity, *Count, *Cond, *Str, *Word,
// *Subject, *Call, *Args or *Date.
type Node interface {
	Extent() source.Span
	shifted(by int) Node
}

// Arg returns what fills the slot with the role, or nil.
func (c *Clause) Arg(role string) Node {
	for i := range c.Args {
		if c.Args[i].Slot.Role == role {
			return c.Args[i].Node
		}
	}
	return nil
}

func arg[T Node](c *Clause, role string) T {
	n, _ := c.Arg(role).(T)
	return n
}

// Ref returns the path in a slot, or nil.
func (c *Clause) Ref(role string) *Ref { return arg[*Ref](c, role) }

// Refs returns the paths in a slot, or nil.
func (c *Clause) Refs(role string) []*Ref {
	if r := arg[*Refs](c, role); r != nil {
		return r.List
	}
	return nil
}

// Faults returns the faults in a slot, or nil.
func (c *Clause) Faults(role string) []FaultName {
	if f := arg[*Faults](c, role); f != nil {
		return f.List
	}
	return nil
}

// Quantity returns the quantity in a slot, or nil.
func (c *Clause) Quantity(role string) *Quantity { return arg[*Quantity](c, role) }

// Cond returns the condition in a slot, or nil.
func (c *Clause) Cond(role string) *Cond { return arg[*Cond](c, role) }

// Word returns the word in a slot (name, word, choice, colour, type), or a zero Word.
func (c *Clause) Word(role string) Word {
	if w := arg[*Word](c, role); w != nil {
		return *w
	}
	return Word{}
}

// Text returns the text in a slot, or nil.
func (c *Clause) Text(role string) *Str { return arg[*Str](c, role) }

// Count returns the whole number in a slot, or nil.
func (c *Clause) Count(role string) *Count { return arg[*Count](c, role) }

// Subject returns the subject in a slot, or nil.
func (c *Clause) Subject(role string) *Subject { return arg[*Subject](c, role) }

// Call returns the part with its arguments in a slot, or nil.
func (c *Clause) Call(role string) *Call { return arg[*Call](c, role) }

// NamedArgs returns the arguments in a slot of a bench, or nil.
func (c *Clause) NamedArgs(role string) []NamedArg {
	if a := arg[*Args](c, role); a != nil {
		return a.List
	}
	return nil
}

// Date returns the day in a slot, or nil.
func (c *Clause) Date(role string) *Date { return arg[*Date](c, role) }

// Ref is a path: names joined by dots.
type Ref struct {
	Parts []Word
	Each  bool // `each plug.1`
	source.Span
}

// String joins the parts by dots.
func (r *Ref) String() string {
	if len(r.Parts) == 1 {
		return r.Parts[0].Text
	}
	n := len(r.Parts)
	for _, p := range r.Parts {
		n += len(p.Text)
	}
	b := make([]byte, 0, n)
	for i, p := range r.Parts {
		if i > 0 {
			b = append(b, '.')
		}
		b = append(b, p.Text...)
	}
	return string(b)
}

// Refs is a list of paths.
type Refs struct {
	List []*Ref
	source.Span
}

// Faults is a list of faults.
type Faults struct {
	List []FaultName
	source.Span
}

// FaultName is one fault as it is written: `W18 open`, `swap C1 with C2`, or the name of one
// that is declared.
type FaultName struct {
	Thing *Ref
	Mode  Word // Text is empty where there is none
	Other *Ref // of a swap
	source.Span
}

// Quantity is a value, a range or a pair of values, or the names of arguments that
// hold them. Where Param is set the dimension was not checked here.
type Quantity struct {
	Value unit.Value
	Param *Ref // instead of Value

	Ranged  bool // LO to HI, or LO and HI
	Hi      unit.Value
	HiParam *Ref // instead of Hi

	// Tol is set when +- follows.
	HasTol bool
	Tol    unit.Tolerance
	source.Span
}

// Count is a whole number, or the name of an argument that holds one.
type Count struct {
	N     int
	Param *Ref
	source.Span
}

// Date is a day of the calendar that exists.
type Date struct {
	Year, Month, Day int
	source.Span
}

// Call is a part with its arguments.
type Call struct {
	Part *Ref
	Args []NamedArg
	source.Span
}

// Args are the arguments of a bench.
type Args struct {
	List []NamedArg
	source.Span
}

// NamedArg is one argument: exactly one of Cond, Quantity, Count and Ref is set. A
// bare whole number is a Count; a number with a unit a Quantity; `made when COND` a
// Cond; a name a Ref.
type NamedArg struct {
	Name     Word
	Cond     *Cond
	Quantity *Quantity
	Count    *Count
	Ref      *Ref
	source.Span
}

// SubjectKind says what a comparison or threshold looks at.
type SubjectKind uint8

// The kinds of subjects.
const (
	SubjectRef   SubjectKind = iota // A
	SubjectEvery                    // every A
	SubjectAny                      // any A
	CurrentThrough
	VoltsBetween // volts A to B
	VoltsAt      // volts at A
)

// Subject is what a comparison or a threshold looks at.
type Subject struct {
	Kind SubjectKind
	A    *Ref
	B    *Ref // of VoltsBetween
	source.Span
}

// CondOp says what a node of a condition is.
type CondOp uint8

// The nodes of a condition.
const (
	CondBad    CondOp = iota // not understood; there is a finding
	CondAlways               // always
	CondTest                 // Subject and Pred
	CondAnd                  // Kids, two or more
	CondOr                   // Kids, two or more
	CondNot                  // Kids[0]
	CondFor                  // Kids[0] for Dur
	CondInLast               // Kids[0] in the last Dur
	CondBegins               // Kids[0] begins
	CondEnds                 // Kids[0] ends
	CondStays                // Kids[0] stays
)

// Pred is what is said of a subject.
type Pred uint8

// What is said of a subject.
const (
	PredTrue    Pred = iota // just the name: a threshold, a condition
	PredIs                  // is W
	PredIsNot               // is not W
	PredIsAnyOf             // is any of W, W
	PredAbove               // above Q
	PredBelow               // below Q
	PredAtLeast             // at least Q
	PredAtMost              // at most Q
	PredBetween             // between Q and Q
)

// Cond is a node of a condition.
type Cond struct {
	Op      CondOp
	Kids    []*Cond
	Subject Subject   // of CondTest
	Pred    Pred      // of CondTest
	Words   []Word    // of the predicates with `is`
	Value   *Quantity // of the comparisons; a pair for PredBetween
	Dur     *Quantity // of CondFor and CondInLast, a value or a range
	source.Span
}

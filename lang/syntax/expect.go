package syntax

import (
	"slices"
	"sort"
	"strings"

	"pintle/lang/schema"
)

// Expected is something that the parser would take where a line that is still being typed
// ends: at the cursor of an editor.
type Expected struct {
	What ExpectedKind
	Form *schema.Form // the clause that is being read; nil in a head
	// Begins: the clause would begin at the cursor.
	Begins bool
	Slot   *schema.Slot // the slot of the clause that is being filled, if any
	Word   string       // of ExpectWord and ExpectChoice: the words still to come
	// Subject is what a state, a comparison, a value or a unit is said of. Its path is nil
	// where that path is itself what is expected.
	Subject *Subject
	Before  *Ref // the path that the clause names before the cursor: the setting of a position
	// Of an argument, or of what it is given: the part (nil on a bench), the arguments that
	// are given already, and the one that is being given.
	Part     *Ref
	Given    []string
	Argument string
}

// ExpectedKind says what is expected.
type ExpectedKind uint8

// What may be expected.
const (
	ExpectClause        ExpectedKind = iota // the first words of a clause
	ExpectWord                              // words of a pattern, of a head or of a condition
	ExpectChoice                            // one of the choices of the slot
	ExpectPath                              // a path
	ExpectName                              // a name that the clause or the head decides about
	ExpectText                              // text in quotes
	ExpectColour                            // a colour
	ExpectDate                              // a day
	ExpectCount                             // a whole number
	ExpectValue                             // a number with its unit, or an argument that holds one
	ExpectUnit                              // a unit behind a number
	ExpectTolerance                         // +- and how much
	ExpectSubject                           // the beginning of a condition, or what a threshold looks at
	ExpectComparison                        // what may be said of a subject
	ExpectState                             // a state of a subject
	ExpectType                              // the type of an argument
	ExpectPart                              // a part
	ExpectArgument                          // the name of an argument
	ExpectArgumentValue                     // what an argument is given
)

// cursor collects what is expected at the end of the tokens. A parser has one only if it
// was asked for that; it then tries every form that can reach the cursor instead of the
// first that matches, and explains nothing.
type cursor struct {
	isArgument func(name string) bool
	found      []Expected
	again      []int // tokens at which a list goes on, or another clause begins
	begin      int   // the first token of the clause at hand
	subject    *Subject
	part       *Ref
	given      []string
	argument   string
}

// Expect returns what the parser would take at an offset, having read the line of the
// statement up to there: nothing behind the offset counts. A name may stand for a value if
// isArgument says that it is one of an argument.
func (s *Stmt) Expect(end int, isArgument func(name string) bool) []Expected {
	if s.Kind == nil {
		return nil
	}
	ts := s.file.Tokens
	from := ts.At(s.Span.Start)
	to := from + sort.Search(ts.Len()-from, func(i int) bool { return int(ts[from+i].start) >= end })
	c := cursor{isArgument: isArgument, begin: -1}
	p := parser{text: s.file.Src.Text, sigs: significant(ts[from : to+1]), kind: s.Kind, in: s.In, mending: true, cursor: &c}
	p.end, p.cache.at = len(p.sigs)-1, -1
	if p.end == 0 {
		return nil // at the kind word
	}
	p.i = 1
	var h Head
	ok := p.head(&h)
	if behind := p.i; p.toColon() {
		p.i++
	} else {
		p.expectInHead()
		p.i = behind
		if len(c.found) > 0 || !ok || !p.colon() {
			return c.found
		}
	}
	p.expectClauses()
	return c.found
}

// atCursor reports whether a token is where the cursor stands.
func (p *parser) atCursor(i int) bool { return p.cursor != nil && i == p.end }

// expect notes what is expected at the cursor.
func (p *parser) expect(e Expected) {
	c := p.cursor
	e.Form, e.Begins = p.form, c.begin == p.end
	if e.Slot == nil {
		e.Slot = p.slotNow
	}
	if e.Subject == nil {
		e.Subject = c.subject
	}
	for i := range p.args {
		if r, ok := p.args[i].Node.(*Ref); ok && p.args[i].Slot.Type == schema.SlotRef {
			e.Before = r
		}
	}
	e.Part, e.Given, e.Argument = c.part, slices.Clone(c.given), c.argument
	c.found = append(c.found, e)
}

// expects notes what is expected at a token if the cursor is there, and reports that.
func (p *parser) expects(i int, kinds ...ExpectedKind) bool {
	if !p.atCursor(i) {
		return false
	}
	for _, k := range kinds {
		p.expect(Expected{What: k})
	}
	return true
}

// expectsWords notes words that are expected at a token if the cursor is there, and reports that.
func (p *parser) expectsWords(i int, words ...string) bool {
	if !p.atCursor(i) {
		return false
	}
	for _, w := range words {
		p.expect(Expected{What: ExpectWord, Word: w})
	}
	return true
}

// expectsChoice notes how a choice goes on from a token if the cursor is there.
func (p *parser) expectsChoice(choice string, i int) {
	if p.atCursor(i) {
		p.expect(Expected{What: ExpectChoice, Word: strings.Join(strings.Fields(choice)[i-p.i:], " ")})
	}
}

// expectsJoin notes what may join conditions at the cursor: only what joins those before it.
func (p *parser) expectsJoin(op CondOp) {
	if op != CondOr {
		p.expectsWords(p.i, "and")
	}
	if op != CondAnd {
		p.expectsWords(p.i, "or")
	}
}

// expectsPathOf notes that what a condition looks at, or its path, is expected at a token if
// the cursor is there, and reports that.
func (p *parser) expectsPathOf(i int, kind SubjectKind) bool {
	if !p.atCursor(i) {
		return false
	}
	if kind == SubjectRef {
		p.expect(Expected{What: ExpectSubject})
	} else {
		p.expect(Expected{What: ExpectPath, Subject: &Subject{Kind: kind}})
	}
	return true
}

// expectClauses reads the clauses behind the colon up to the cursor.
func (p *parser) expectClauses() {
	for {
		if p.kindAt(p.i) != Comma || p.i >= p.end {
			p.expectClause()
		}
		if p.i >= p.end {
			break
		}
		p.i++ // the comma
	}
	for n := 0; n < len(p.cursor.again); n++ {
		if at := p.cursor.again[n]; !slices.Contains(p.cursor.again[:n], at) {
			p.i = at
			p.expectClause()
		}
	}
}

// expectClause matches every form that the clause at hand may have, up to the one that ends
// in a comma before the cursor. What begins with the words of a form is that form.
func (p *parser) expectClause() {
	start := p.i
	p.cursor.begin = start
	forms := p.kind.Starting(p.textAt(start))
	if len(forms) == 0 || p.kindAt(start) != NameTok {
		forms = p.kind.Bare()
	}
	if p.atCursor(start) {
		for _, f := range p.kind.Forms {
			if f.Elems[0].Slot == nil {
				p.form, p.args = f, p.args[:0]
				p.expects(start, ExpectClause)
			}
		}
	}
	for _, f := range forms {
		if (p.atCursor(start) || f.Elems[0].Slot == nil || p.mayBegin(f.Elems[0].Slot, start)) && p.try(f, start, 0) && p.i < p.end {
			return
		}
	}
	p.i = start
	p.toComma()
}

// wordsFrom is the words of a pattern from the n-th element on, up to its next slot.
func wordsFrom(f *schema.Form, n int) string {
	var words []string
	for _, e := range f.Elems[n:] {
		if e.Slot != nil {
			break
		}
		words = append(words, e.Word)
	}
	return strings.Join(words, " ")
}

// listMayEnd notes that the last comma may be followed by another clause as well as by the
// item of a list that is read there: what decides it is behind the cursor.
func (p *parser) listMayEnd() {
	if p.inParens == 0 && p.atCursor(p.i+2) {
		p.cursor.again = append(p.cursor.again, p.i+1)
	}
}

// expectInHead notes what the grammar of the head would take at the cursor, by trying it.
func (p *parser) expectInHead() {
	note := func(what ExpectedKind, word string) { p.expect(Expected{What: what, Word: word}) }
	name := p.headTakes("a")
	switch {
	case p.headTakes("a.b"):
		note(ExpectPath, "")
	case name:
		note(ExpectName, "")
	}
	if p.headTakes(`"a"`) {
		note(ExpectText, "")
	}
	for _, w := range [...]string{"to", "as", "any"} {
		if !p.headTakes(w) && !p.headTakes(w+" a") {
			continue
		}
		special := !name
		for _, then := range [...]string{" to", " a", ", a"} {
			// What may follow a word of the grammar is not what may follow a name.
			special = special || p.headTakes(w+then) != p.headTakes("a"+then)
		}
		if !special {
			continue
		}
		if p.headTakes(w+" to") && !p.headTakes(w+" a") {
			w += " to"
		}
		note(ExpectWord, w)
	}
}

// headTakes reports whether the head may go on with a text at the cursor.
func (p *parser) headTakes(more string) bool {
	text := p.between(int(p.sigs[0].start), p.endOff()) + " " + more
	ts := append(lex(nil, text, 0, len(text)), Token{start: int32(len(text))})
	q := parser{text: text, sigs: significant(ts), kind: p.kind, i: 1, mending: true}
	q.end = len(q.sigs) - 1
	var h Head
	ok := q.grammarHead(&h, p.kind.Head)
	return q.i >= q.end && (!ok || q.checkNames(&h))
}

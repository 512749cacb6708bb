package syntax

import "pintle/lang/schema"

// maxNesting is how deep bodies and parentheses may be nested. Designs need four or
// five levels; the bound keeps a hostile text from exhausting the stack.
const maxNesting = 64

// cutStmt is a statement as the cutter finds it: a stretch of significant tokens.
type cutStmt struct {
	from, to int32 // the line without its brace: sigs[from:to]
	brace    int32 // the `{`, or -1
	close    int32 // the `}`, or -1 where it is missing or there is no body
	parent   int32 // index of the enclosing statement, or -1
	kind     *schema.Kind
	in       schema.Context
	misfit   bool // the kind may not stand here
	unopened bool // the `{` is missing: the body was found by its indentation
}

// trouble is what the cutter found wrong with braces.
type trouble struct {
	what troubleKind
	at   int32 // index of a brace; of the last token before a missing one
	stmt int32 // whose brace it is, or -1
}

type troubleKind uint8

const (
	neverClosed troubleKind = iota
	neverOpened
	strayClose
	tooDeep
	tooMany
)

// Bounds that only a text which is no design reaches; they keep its costs in proportion.
const (
	maxStmts    = 1 << 20
	maxTroubles = 1000
)

type openBlock struct {
	stmt   int32
	indent int
	in     schema.Context
}

// cutter groups significant tokens into statements. Braces decide. Only where they
// don't match up does a second pass look at the indentation as well, to find out where
// one is missing or too many: in a text whose braces match, indentation means nothing.
type cutter struct {
	text     string
	sigs     []sig
	stmts    []cutStmt
	open     []openBlock
	troubles []trouble
	byIndent bool
	extra    bool // there are more closing braces than opening ones
	at       int

	// The line in which the current statement begins: its first token, and its
	// indentation once somebody has asked for it, otherwise -1.
	line       int
	lineIndent int
}

// cut returns the statements in the order of the text.
func cut(text string, sigs []sig) ([]cutStmt, []trouble) {
	c := &cutter{text: text, sigs: sigs, stmts: make([]cutStmt, 0, len(sigs)/12+8), lineIndent: -1}
	c.run()
	for _, t := range c.troubles {
		c.extra = c.extra || t.what == strayClose
		c.byIndent = c.byIndent || t.what == strayClose || t.what == neverClosed
	}
	if c.byIndent {
		c.stmts, c.open, c.troubles, c.at, c.line, c.lineIndent = c.stmts[:0], c.open[:0], nil, 0, 0, -1
		c.run()
	}
	return c.stmts, c.troubles
}

func (c *cutter) run() {
	for c.at < len(c.sigs)-1 {
		if len(c.stmts) == maxStmts {
			c.trouble(trouble{what: tooMany, at: int32(c.at), stmt: -1})
			c.open = c.open[:0]
			return
		}
		switch c.sigs[c.at].kind {
		case CloseBrace:
			c.closeBrace()
		default:
			c.statement()
		}
	}
	for len(c.open) > 0 {
		c.leave(-1)
	}
}

func (c *cutter) trouble(t trouble) {
	if len(c.troubles) < maxTroubles || t.what == tooMany {
		c.troubles = append(c.troubles, t)
	}
}

// context is what the current block is.
func (c *cutter) context() schema.Context {
	if len(c.open) == 0 {
		return schema.InTop
	}
	return c.open[len(c.open)-1].in
}

// leave closes the innermost block; at is its closing brace, or -1 if that is missing.
func (c *cutter) leave(at int) {
	top := c.open[len(c.open)-1]
	c.open = c.open[:len(c.open)-1]
	s := &c.stmts[top.stmt]
	s.close = int32(at)
	if at < 0 && !s.unopened {
		c.trouble(trouble{what: neverClosed, at: s.brace, stmt: top.stmt})
	}
}

func (c *cutter) closeBrace() {
	at := c.at
	c.at++
	n := len(c.open)
	if n > 0 && c.byIndent && c.sigs[at].first {
		n = c.matching(c.indent(at))
	}
	if n == 0 {
		c.trouble(trouble{what: strayClose, at: int32(at), stmt: -1})
		return
	}
	for len(c.open) > n {
		c.leave(-1)
	}
	c.leave(at)
}

// matching is how many blocks are open when the one that a closing brace with this
// indentation belongs to is the innermost; 0 if it belongs to none.
func (c *cutter) matching(indent int) int {
	for n := len(c.open); n > 0; n-- {
		if c.open[n-1].indent == indent {
			return n
		}
	}
	if c.extra && indent > c.open[len(c.open)-1].indent {
		return 0
	}
	return len(c.open)
}

// statement takes one statement and, if it has one, enters its body.
func (c *cutter) statement() {
	from := c.at
	if c.sigs[from].first {
		c.line, c.lineIndent = from, -1
		if c.byIndent {
			c.leaveByIndent(from)
		}
	}
	in := c.context()
	s := cutStmt{from: int32(from), brace: -1, close: -1, parent: -1, in: in}
	if len(c.open) > 0 {
		s.parent = c.open[len(c.open)-1].stmt
	}
	if c.sigs[from].kind == NameTok {
		var ok bool
		s.kind, ok = schema.Lookup(c.word(from), in)
		s.misfit = s.kind != nil && !ok
	}
	to := c.lineEnd(from, s)
	s.to = int32(to)
	c.at = to
	index := int32(len(c.stmts))
	// The brace may open the next line as well.
	if c.sigs[to].kind == OpenBrace {
		s.brace = int32(to)
		c.at++
	}
	if s.brace < 0 && !c.lacksBrace(s) {
		c.stmts = append(c.stmts, s)
		return
	}
	if s.brace < 0 {
		s.unopened = true
		c.trouble(trouble{what: neverOpened, at: s.to - 1, stmt: index})
	}
	c.stmts = append(c.stmts, s)
	if len(c.open) == maxNesting {
		if s.brace >= 0 {
			c.trouble(trouble{what: tooDeep, at: s.brace, stmt: index})
			c.skipBody(index)
		}
		return
	}
	c.open = append(c.open, openBlock{stmt: index, indent: c.ownIndent(), in: c.inside(s)})
}

// inside is the context of the body of a statement; 0 where nobody can know.
func (c *cutter) inside(s cutStmt) schema.Context {
	k := s.kind
	if k == nil {
		if s.from == s.to {
			return 0
		}
		if next := c.sigs[s.from+1].kind; next == Colon || next == OpenBrace {
			return 0 // the kind is missing, not mistyped
		}
		named := schema.Named(schema.Suggest(c.word(int(s.from)), s.in))
		if len(named) == 0 {
			return 0
		}
		k = named[0]
	}
	if k.ID == schema.Only {
		return s.in
	}
	return k.Inside
}

// skipBody passes over a body without looking into it.
func (c *cutter) skipBody(index int32) {
	for depth := 1; c.at < len(c.sigs)-1; c.at++ {
		switch c.sigs[c.at].kind {
		case OpenBrace:
			depth++
		case CloseBrace:
			if depth--; depth == 0 {
				c.stmts[index].close = int32(c.at)
				c.at++
				return
			}
		}
	}
}

// lineEnd finds the token behind a statement's line: an open brace, a closing one, or
// the first of the next line, unless the line goes on.
func (c *cutter) lineEnd(from int, s cutStmt) int {
	parens := 0
	i := from
	for ; i < len(c.sigs)-1; i++ {
		t := c.sigs[i]
		if t.first && i > from {
			if t.kind == OpenBrace && parens == 0 {
				return i
			}
			if parens == 0 && !c.goesOn(i-1) {
				if !c.strayLine(i) {
					return i
				}
			} else if t.kind == NameTok && c.nextStatement(i, s) {
				return i
			}
		}
		switch t.kind {
		case OpenParen:
			parens++
		case CloseParen:
			parens = max(parens-1, 0)
		case OpenBrace, CloseBrace:
			return i
		}
	}
	return i
}

// goesOn reports whether a line that ends with this token continues on the next.
func (c *cutter) goesOn(last int) bool {
	switch c.sigs[last].kind {
	case Comma, Colon:
		return true
	case NameTok:
		w := c.word(last)
		return w == "and" || w == "or"
	}
	return false
}

func (c *cutter) word(at int) string {
	return c.text[c.sigs[at].start:c.sigs[at].end]
}

// ownIndent is the indentation of the line in which the current statement begins.
func (c *cutter) ownIndent() int {
	if c.lineIndent < 0 {
		c.lineIndent = c.indent(c.line)
	}
	return c.lineIndent
}

// indent is the indentation of the line that a token is the first of, a tab reaching to
// the next multiple of four.
func (c *cutter) indent(at int) int {
	end := int(c.sigs[at].start)
	start := end
	for start > 0 && c.text[start-1] != '\n' && c.text[start-1] != '\r' {
		start--
	}
	n := 0
	for _, r := range c.text[start:end] {
		switch r {
		case '\t':
			n += 4 - n%4
		case '\ufeff': // a byte order mark takes no room
		default:
			n++
		}
	}
	return n
}

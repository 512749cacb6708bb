package syntax

import (
	"pintle/lang/schema"
	"pintle/lang/source"
)

// maxClauses bounds the clauses of one statement; a line of ten megabytes would
// otherwise become a tree of a gigabyte.
const maxClauses = 10_000

// read reads the line of a statement: its kind, its head and its clauses.
func (p *parser) read(c *cutStmt) *tree {
	p.kind, p.first, p.i, p.end = c.kind, int(c.from), int(c.from), int(c.to)
	p.findings, p.broken, p.depth, p.inParens, p.in = nil, false, 0, 0, c.in
	p.cache.at = -1
	base := int(p.sigs[c.from].start)
	here := source.Span{Start: base, End: base}
	t := p.pool.trees.one(tree{base: base, word: Word{Span: here}, head: Head{Span: here}})
	switch {
	case c.in == 0:
		// Inside a body of which nobody knows what it is: there is a finding about
		// that already.
		p.broken = true
	case c.from == c.to:
		p.broken = true
		p.report(p.braceSpan(c), "a body begins here without a statement that it belongs to",
			"write what it is before the brace, for example `fit relay: {`")
	case c.kind == nil:
		p.unknownKind(c, t)
	default:
		t.word = p.wordAt(p.i)
		p.i++
		if c.misfit {
			p.misplaced(c)
		}
		p.statement(c, t)
	}
	if c.misfit {
		p.broken = true
	}
	if len(p.findings) > 0 && !p.mending {
		p.mend(c)
		t.sought = true
	}
	t.findings, t.broken = p.findings, p.broken
	return t
}

func (p *parser) braceSpan(c *cutStmt) source.Span {
	s := p.sigs[c.brace]
	return source.Span{Start: int(s.start), End: int(s.end)}
}

// statement reads on behind the kind word.
func (p *parser) statement(c *cutStmt, t *tree) {
	start := p.i
	ok := p.head(&t.head)
	t.head.Span = p.from(start)
	if !ok {
		p.broken = true
		if !p.toColon() {
			return
		}
	}
	p.body(c)
	if !p.colon() {
		p.required(c, t)
		return
	}
	p.clauses(t)
	p.required(c, t)
}

// toColon moves to the colon behind a head that was not understood.
func (p *parser) toColon() bool {
	for p.i < p.end && p.kindAt(p.i) != Colon {
		p.i++
	}
	return p.i < p.end
}

// colon steps over the colon. Where it was forgotten what follows is read all the same.
func (p *parser) colon() bool {
	switch {
	case p.i >= p.end:
		return false
	case p.kindAt(p.i) == Colon:
		p.i++
		return p.i < p.end
	case p.reported() || p.strange(p.i):
		p.broken = true
		return false
	}
	here := p.spanAt(p.i)
	before := source.Span{Start: int(p.sigs[p.i-1].end), End: int(p.sigs[p.i-1].end)}
	shown := "`" + p.excerpt(p.i, p.i+1) + "`"
	switch form := p.kind.Head; {
	case (form == schema.HeadNames || form == schema.HeadPins) && p.kindAt(p.i) == Comma && p.i+1 == p.end:
		p.broken = true
		p.report(here, "a name is expected after this comma", "")
		return false
	case (form == schema.HeadNames || form == schema.HeadPins) && p.nameHere():
		p.broken = true
		p.report(here, "a comma is missing before "+shown, "")
		p.findings[len(p.findings)-1].Fixes = insertion("write the comma", before, ",")
		return false
	case form == schema.HeadUse && p.isWord(p.i, "as"):
		p.broken = true
		p.report(here, "a short name is expected after `as`", "write `as relays`")
		return false
	case len(p.kind.Forms) == 0:
		p.broken = true
		p.report(here, shown+" is not understood here: `"+p.kind.Name+"` takes no clauses", "end the line before it")
		return false
	case p.kindAt(p.i) == Comma:
		p.report(here, "a colon stands before the first clause, not a comma", "")
		p.findings[len(p.findings)-1].Fixes = insertion("write a colon", here, ":")
		p.i++
	default:
		p.report(here, "a colon is missing before "+shown, "")
		p.findings[len(p.findings)-1].Fixes = insertion("write the colon", before, ":")
	}
	return p.i < p.end
}

// clauses reads the clauses behind the colon. Of several that are wrong only the first
// is reported: what follows a slip is too often just its echo.
func (p *parser) clauses(t *tree) {
	var list []*Clause
	var buffer [16]*Clause
	list = buffer[:0]
	for n := 0; ; n++ {
		if n == maxClauses {
			p.broken = true
			p.report(p.spanAt(p.i), "this statement has more than 10,000 clauses", "divide it")
			break
		}
		if p.i >= p.end {
			// Behind a trailing comma.
			p.nothingFollows()
			break
		}
		if p.kindAt(p.i) == Comma {
			p.broken = true
			if !p.reported() {
				p.report(p.spanAt(p.i), "a clause is missing before this comma", "take the comma away, or write the clause")
			}
			p.i++
			continue
		}
		if c := p.clause(); c != nil {
			list = append(list, c)
		}
		if p.i >= p.end {
			break
		}
		p.i++ // the comma
	}
	t.clauses = p.pool.pointers.copyOf(list)
}

func (p *parser) reported() bool { return len(p.findings) > 0 }

func (p *parser) nothingFollows() {
	p.broken = true
	if p.reported() {
		return
	}
	last := p.spanAt(p.i - 1)
	p.report(last, "nothing follows this comma", "take the comma away, or go on with a clause")
	p.findings[len(p.findings)-1].Fixes = insertion("take the comma away", last, "")
}

// body checks that there are braces where the kind has them, and none where not.
func (p *parser) body(c *cutStmt) {
	switch {
	case p.kind.Body == schema.MustHaveBody && c.brace < 0 && !c.unopened:
		p.broken = true
		if !p.reported() {
			end := source.Span{Start: p.endOff(), End: p.endOff()}
			p.report(end, "`"+p.kind.Name+"` needs a body in braces", "write `{` here, and `}` in a line of its own behind the body")
		}
	case p.kind.Body == schema.NoBody && c.brace >= 0:
		p.broken = true
		if !p.reported() {
			p.report(p.braceSpan(c), "`"+p.kind.Name+"` has no body", "end the line here; what stands in the braces belongs outside")
		}
	}
}

// required counts the clauses: one that must be there, one that may be there once.
func (p *parser) required(c *cutStmt, t *tree) {
	forms := p.kind.Forms
	if cap(p.tally) < len(forms) {
		p.tally = make([]int, 2*len(forms))
	}
	count := p.tally[:len(forms)]
	clear(count)
	broken := p.broken
	for _, cl := range t.clauses {
		f := cl.Form
		count[f.Tally]++
		if f.Max > 0 && count[f.Tally] > f.Max && !cl.Broken && !p.reported() {
			p.twice(cl, t.clauses)
		}
	}
	if broken {
		return // one slip, one finding
	}
	for i, f := range forms {
		if f.Tally != i || count[i] >= f.Min || f.OrBody && (c.brace >= 0 || c.unopened) {
			continue
		}
		p.broken = true
		if !p.reported() {
			p.missing(f, count[i])
		}
	}
}

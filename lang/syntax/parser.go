package syntax

import (
	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
)

// parser reads statements one by one. Offsets in its tokens are those of the file; text
// begins at off, so that a few statements can be read from a small copy of the text and
// don't keep the whole of it alive.
type parser struct {
	text string
	off  int
	sigs []sig

	// Of the statement at hand.
	kind     *schema.Kind
	first    int // its first token
	i, end   int
	findings []diag.Finding
	broken   bool
	depth    int  // of parentheses and `not`
	inParens int  // parentheses in which clauses don't end
	fail     fail // the furthest that the clause at hand was understood
	why      fail // of the clause that the first finding is about
	in       schema.Context
	mixed    bool         // `and` and `or` were mixed
	form     *schema.Form // the form that is being tried,
	words    int          // how many of its literal words matched at its beginning,
	slotNow  *schema.Slot // and its slot that is being filled
	cache    condCache
	tally    []int
	args     []Arg

	cursor *cursor // what is expected there is asked; nil: nothing is

	mending     bool // a line is tried that was changed: no more is made of its findings
	grammarOnly bool // for the test that holds plain heads against the grammar

	pool pool
}

// condCache remembers the condition at a place: several forms may begin with one.
type condCache struct {
	at, end  int
	cond     *Cond
	ok       bool
	findings []diag.Finding
}

func (p *parser) kindAt(i int) TokenKind {
	if i < p.end {
		return p.sigs[i].kind
	}
	return Newline
}

// textAt is the text of a token; empty behind the end of the statement.
func (p *parser) textAt(i int) string {
	if i >= p.end {
		return ""
	}
	s := &p.sigs[i]
	return p.text[int(s.start)-p.off : int(s.end)-p.off]
}

func (p *parser) between(start, end int) string { return p.text[start-p.off : end-p.off] }

// isWord reports whether a token is a given word.
func (p *parser) isWord(i int, w string) bool {
	return i < p.end && p.sigs[i].kind == NameTok && p.textAt(i) == w
}

// spanAt is where a token stands; behind the end of the statement, its end.
func (p *parser) spanAt(i int) source.Span {
	if i < p.end {
		return source.Span{Start: int(p.sigs[i].start), End: int(p.sigs[i].end)}
	}
	return source.Span{Start: p.endOff(), End: p.endOff()}
}

// endOff is the offset at which the line of the statement ends.
func (p *parser) endOff() int {
	if p.end == 0 {
		return p.off
	}
	return int(p.sigs[p.end-1].end)
}

// from is the stretch from a token up to the one before the current.
func (p *parser) from(start int) source.Span {
	if start >= p.i {
		return p.spanAt(start)
	}
	return source.Span{Start: int(p.sigs[start].start), End: int(p.sigs[p.i-1].end)}
}

func (p *parser) wordAt(i int) Word { return Word{Text: p.textAt(i), Span: p.spanAt(i)} }

// report adds a finding of the rule `syntax`.
func (p *parser) report(span source.Span, message, help string) {
	p.reportRule("syntax", span, message, help)
}

func (p *parser) reportRule(rule string, span source.Span, message, help string) {
	p.findings = append(p.findings, diag.Finding{
		Rule: rule, Severity: diag.Error, Message: message, Help: help,
		Place: diag.Place{Span: span},
	})
}

// pool hands out the nodes of trees from blocks. A tree is many small nodes that live
// and die together; one block for a hundred of them costs the collector little.
type pool struct {
	clauses  block[Clause]
	args     block[Arg]
	words    block[Word]
	refs     block[Ref]
	conds    block[Cond]
	pointers block[*Clause]
	kids     block[*Cond]
	quants   block[Quantity]
	trees    block[tree]
}

// block hands out elements of one type. The first block is small, so that reading one
// statement anew while somebody types costs as much as it needs.
type block[T any] struct {
	free []T
	size int
}

const (
	firstBlock = 8
	lastBlock  = 512
)

// take returns n new elements in a row.
func (b *block[T]) take(n int) []T {
	if n > len(b.free) {
		b.size = min(max(2*b.size, firstBlock), lastBlock)
		b.free = make([]T, max(n, b.size))
	}
	out := b.free[:n:n]
	b.free = b.free[n:]
	return out
}

// one returns a new element with a value.
func (b *block[T]) one(v T) *T {
	s := b.take(1)
	s[0] = v
	return &s[0]
}

// copyOf returns the elements in a row of their own, nil for none.
func (b *block[T]) copyOf(vs []T) []T {
	if len(vs) == 0 {
		return nil
	}
	out := b.take(len(vs))
	copy(out, vs)
	return out
}

package syntax

import (
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/unit"
)

// clauseCond reads the condition that fills a slot of a clause. Several forms of a kind
// may begin with a condition; the one at a place is read once.
func (p *parser) clauseCond() (Node, bool) {
	if c := &p.cache; c.at == p.i && c.ok {
		p.i = c.end
		p.findings = append(p.findings, c.findings...)
		return c.cond, true
	}
	at, mark := p.i, len(p.findings)
	p.depth = 0
	cond, ok := p.cond()
	if ok {
		p.cache = condCache{at: at, end: p.i, cond: cond, ok: true}
		if len(p.findings) > mark {
			p.cache.findings = append(p.cache.findings, p.findings[mark:]...)
		}
	}
	return cond, ok
}

// cond reads terms joined by `and` or by `or`.
func (p *parser) cond() (*Cond, bool) {
	if p.depth++; p.depth > maxNesting {
		return nil, p.failed(fail{why: failDeep, start: p.i, at: p.i})
	}
	defer func() { p.depth-- }()
	start := p.i
	c, ok := p.term()
	if !ok {
		return nil, false
	}
	var op CondOp
	var kids []*Cond
	var buffer [6]*Cond
	mixes, turn, operand := 0, 0, start // where the first mix is, and the operand before it
	for {
		next := CondBad
		switch {
		case p.isWord(p.i, "and"):
			next = CondAnd
		case p.isWord(p.i, "or"):
			next = CondOr
		}
		if next == CondBad {
			p.expectsJoin(op)
			break
		}
		switch {
		case op == CondBad:
			kids = append(buffer[:0], c)
		case op != next:
			if mixes++; mixes == 1 {
				turn, p.mixed = p.i, true
				p.report(p.spanAt(p.i), "`and` and `or` are mixed without parentheses",
					"put parentheses around what belongs together: `(a and b) or c`, or `a and (b or c)`")
			}
			c = p.pool.conds.one(Cond{Op: op, Kids: p.pool.kids.copyOf(kids), Span: p.from(start)})
			kids = append(buffer[:0], c)
		}
		op = next
		p.i++
		if mixes == 0 {
			operand = p.i
		}
		t, ok := p.term()
		if !ok {
			return nil, false
		}
		kids = append(kids, t)
	}
	if op == CondBad {
		return c, true
	}
	if mixes == 1 {
		p.bracket(start, turn, operand)
	}
	return p.pool.conds.one(Cond{Op: op, Kids: p.pool.kids.copyOf(kids), Span: p.from(start)}), true
}

// bracket offers both ways to put parentheses around what `and` and `or` join: from the first
// token up to where the second of them stands, or from the operand between them to the end.
func (p *parser) bracket(start, turn, operand int) {
	f := &p.findings[len(p.findings)-1]
	if f.Start != p.spanAt(turn).Start {
		return // something else was found since
	}
	for _, s := range []source.Span{{Start: start, End: turn}, {Start: operand, End: p.i}} {
		span := source.Span{Start: int(p.sigs[s.Start].start), End: int(p.sigs[s.End-1].end)}
		text := "(" + p.between(span.Start, span.End) + ")"
		f.Fixes = append(f.Fixes, insertion("write `"+shorten(text)+"`", span, text)...)
	}
}

// term reads a single term with what may follow it: `for`, `in the last`, `begins`.
func (p *parser) term() (*Cond, bool) {
	start := p.i
	if p.isWord(p.i, "not") && !p.isWord(p.i+1, "is") {
		return p.negation()
	}
	c, ok := p.primary()
	if !ok {
		return nil, false
	}
	for {
		op := p.postfix()
		if op == CondBad {
			return c, true
		}
		var dur *Quantity
		if op == CondFor || op == CondInLast {
			n, ok := p.quantity(duration)
			if !ok {
				return nil, p.failed(fail{why: failSlot, slot: duration, start: p.i, at: p.i})
			}
			dur = n.(*Quantity)
		}
		c = p.node(Cond{Op: op, Dur: dur, Span: p.from(start)}, c)
	}
}

// What a condition compares with: any dimension, a single value or a pair; and times.
var (
	anyValue = &schema.Slot{Role: "value", Type: schema.SlotQuantity}
	anyPair  = &schema.Slot{Role: "range", Type: schema.SlotQuantity, Shape: schema.Pair}
	duration = &schema.Slot{Role: "time", Type: schema.SlotQuantity, Shape: schema.OneOrRange, Dims: []unit.Dim{unit.Time}}
)

// negation reads `not C`. What follows C would belong to either of the two, so it asks
// for parentheses.
func (p *parser) negation() (*Cond, bool) {
	start := p.i
	if p.depth++; p.depth > maxNesting {
		return nil, p.failed(fail{why: failDeep, start: p.i, at: p.i})
	}
	defer func() { p.depth-- }()
	p.i++
	before := p.i
	mark := len(p.findings)
	kid, ok := p.term()
	if !ok {
		return nil, false
	}
	switch kid.Op {
	case CondFor, CondInLast, CondBegins, CondEnds, CondStays:
		// A term in parentheses of its own ends with its parenthesis.
		whole := p.kindAt(before) == OpenParen && p.sigs[p.i-1].kind == CloseParen
		if !whole && len(p.findings) == mark {
			p.report(p.from(start), "it is not clear how far `not` reaches here",
				"write `(not C) "+postfixWord[kid.Op]+" …` or `not (C "+postfixWord[kid.Op]+" …)`")
		}
	}
	return p.node(Cond{Op: CondNot, Span: p.from(start)}, kid), true
}

var postfixWord = map[CondOp]string{CondFor: "for", CondInLast: "in the last", CondBegins: "begins", CondEnds: "ends", CondStays: "stays"}

// node makes a node with one kid.
func (p *parser) node(c Cond, kid *Cond) *Cond {
	c.Kids = p.pool.kids.take(1)
	c.Kids[0] = kid
	return p.pool.conds.one(c)
}

// postfix steps over what may follow a term and reports what it was.
func (p *parser) postfix() CondOp {
	if p.expectsWords(p.i, "for", "in the last", "begins", "ends", "stays") || p.kindAt(p.i) != NameTok {
		return CondBad
	}
	op, n := CondBad, 1
	switch p.textAt(p.i) {
	case "for":
		op = CondFor
	case "in":
		p.expectsWords(p.i+1, "the last")
		if p.isWord(p.i+1, "the") && !p.expectsWords(p.i+2, "last") && p.isWord(p.i+2, "last") {
			op, n = CondInLast, 3
		}
	case "begins":
		op = CondBegins
	case "ends":
		op = CondEnds
	case "stays":
		op = CondStays
	}
	if op != CondBad {
		p.i += n
	}
	return op
}

func (p *parser) primary() (*Cond, bool) {
	start := p.i
	switch p.kindAt(p.i) {
	case OpenParen:
		p.i++
		p.inParens++
		c, ok := p.cond()
		p.inParens--
		if !ok {
			return nil, false
		}
		if p.kindAt(p.i) != CloseParen {
			if p.i < p.end {
				return nil, p.failed(fail{why: failTrailing, start: p.i, at: p.i})
			}
			return nil, p.failed(fail{why: failParen, start: start, at: p.i})
		}
		p.i++
		return c, true
	case NameTok:
		if p.textAt(p.i) == "always" && !p.comparisonAt(p.i+1) {
			p.i++
			return p.pool.conds.one(Cond{Op: CondAlways, Span: p.from(start)}), true
		}
	}
	s, ok := p.subject(true)
	if !ok {
		return nil, false
	}
	return p.test(s, start)
}

// comparisonAt reports whether a word says something of a subject before it.
func (p *parser) comparisonAt(i int) bool {
	switch p.textAt(i) {
	case "is", "above", "below", "between":
		return true
	case "at":
		return p.isWord(i+1, "least") || p.isWord(i+1, "most")
	}
	return false
}

// subject reads what is looked at. Words such as `volts` and `every` are names too,
// where what follows does not fit.
func (p *parser) subject(quantified bool) (Subject, bool) {
	start := p.i
	s := Subject{Kind: SubjectRef}
	if p.kindAt(p.i) == NameTok {
		switch p.textAt(p.i) {
		case "current":
			if p.isWord(p.i+1, "through") {
				s.Kind = CurrentThrough
				p.i += 2
			} else if p.expectsWords(p.i+1, "through") {
				return s, false
			}
		case "volts":
			switch {
			case p.isWord(p.i+1, "at") && !p.comparisonAt(p.i+1):
				s.Kind = VoltsAt
				p.i += 2
			case p.isRef(p.i+1) && p.isWord(p.i+2, "to"):
				s.Kind = VoltsBetween
				p.i++
			case p.expectsWords(p.i+1, "at"):
				p.expectsPathOf(p.i+1, VoltsBetween)
				return s, false
			case p.isRef(p.i+1) && !p.comparisonAt(p.i+1) && p.expectsWords(p.i+2, "to"):
				return s, false
			}
		case "every", "any":
			if quantified && p.isRef(p.i+1) && !p.comparisonAt(p.i+1) {
				s.Kind = SubjectEvery
				if p.textAt(p.i) == "any" {
					s.Kind = SubjectAny
				}
				p.i++
			} else if quantified && p.expectsPathOf(p.i+1, SubjectEvery) {
				return s, false
			}
		}
	}
	p.expectsPathOf(p.i, s.Kind)
	if s.A = p.ref(); s.A == nil {
		return s, p.failed(fail{why: failCond, start: p.i, at: p.i, word: condExpected})
	}
	if s.Kind == VoltsBetween {
		p.i++ // to
		p.expectsPathOf(p.i, s.Kind)
		if s.B = p.ref(); s.B == nil {
			return s, p.failed(fail{why: failCond, start: p.i, at: p.i, word: "the second point is expected here, as in `volts K1.85 to K1.86`"})
		}
	}
	s.Span = p.from(start)
	return s, true
}

const condExpected = "a condition is expected here, for example `key is run`"

// test reads what is said of a subject.
func (p *parser) test(s Subject, start int) (*Cond, bool) {
	c := Cond{Op: CondTest, Subject: s}
	ok := true
	if p.cursor != nil {
		of := s
		p.cursor.subject = &of
		p.expects(p.i, ExpectComparison)
		defer func() { p.cursor.subject = nil }()
	}
	slot := anyValue
	switch w := p.textAt(p.i); w {
	case "is":
		p.i++
		c.Pred, c.Words, ok = p.is()
	case "above":
		c.Pred = PredAbove
		p.i++
	case "below":
		c.Pred = PredBelow
		p.i++
	case "between":
		c.Pred, slot = PredBetween, anyPair
		p.i++
	case "at":
		switch {
		case p.isWord(p.i+1, "least"):
			c.Pred = PredAtLeast
			p.i += 2
		case p.isWord(p.i+1, "most"):
			c.Pred = PredAtMost
			p.i += 2
		default:
			p.expectsWords(p.i+1, "least", "most")
		}
	}
	if !ok {
		return nil, false
	}
	if c.Pred >= PredAbove {
		n, ok := p.quantity(slot)
		if !ok {
			return nil, p.failed(fail{why: failSlot, slot: slot, start: p.i, at: p.i})
		}
		c.Value = n.(*Quantity)
	}
	if c.Pred == PredTrue && s.Kind >= CurrentThrough {
		return nil, p.failed(fail{why: failCond, start: p.i, at: p.i, word: "a comparison is expected here, for example `above 2 A`"})
	}
	c.Span = p.from(start)
	return p.pool.conds.one(c), true
}

// is reads what follows `is`: a word, `not` and a word, or `any of` and a list.
func (p *parser) is() (Pred, []Word, bool) {
	expected := func() (Pred, []Word, bool) {
		return PredTrue, nil, p.failed(fail{why: failCond, start: p.i, at: p.i, word: "a position or a state is expected here, for example `is run`"})
	}
	pred := PredIs
	p.expectsWords(p.i, "not", "any of")
	switch {
	case p.isWord(p.i, "not") && (p.atCursor(p.i+1) || !p.termEnds(p.i+1)):
		pred = PredIsNot
		p.i++
	case p.isWord(p.i, "any") && p.isWord(p.i+1, "of"):
		p.i += 2
		return p.anyOf()
	}
	if p.expects(p.i, ExpectState) || p.isWord(p.i, "any") && p.expectsWords(p.i+1, "of") || !p.nameHere() {
		return expected()
	}
	words := p.pool.words.take(1)
	words[0] = p.wordAt(p.i)
	p.i++
	return pred, words, true
}

// termEnds reports whether nothing that could be a name stands there.
func (p *parser) termEnds(i int) bool {
	switch p.kindAt(i) {
	case NameTok, Mixed, Number:
		return false
	}
	return true
}

func (p *parser) anyOf() (Pred, []Word, bool) {
	var buffer [8]Word
	words := buffer[:0]
	for {
		if p.expects(p.i, ExpectState) || !p.nameHere() {
			return PredTrue, nil, p.failed(fail{why: failCond, start: p.i, at: p.i, word: "a position is expected here, as in `is any of run, crank`"})
		}
		words = append(words, p.wordAt(p.i))
		p.i++
		if p.kindAt(p.i) != Comma || p.expects(p.i+1, ExpectState) || p.termEnds(p.i+1) || !p.listGoesOn(p.i+1) || p.ownClause(p.i+1) {
			return PredIsAnyOf, p.pool.words.copyOf(words), true
		}
		p.listMayEnd()
		p.i++
	}
}

package syntax

import (
	"pintle/lang/schema"
	"pintle/lang/spelling"
	"pintle/lang/unit"
)

// fail is where and why a form did not match. Of all forms that were tried the one
// that was understood furthest is what the finding is about.
type fail struct {
	why   failWhy
	form  *schema.Form
	slot  *schema.Slot
	word  string // what is expected, for failWord and failCond
	start int    // first token of what did not fit
	at    int    // how far it was understood: more is better
	words int    // literal words that matched
	dims  dimSet // for failUnit: what would be taken
	value unit.Value
	note  string // for failNumber: what is wrong; for failUnit instead of the usual words
	inner bool   // of failWord: the word belongs to what fills a slot
}

type failWhy uint8

const (
	failNone     failWhy = iota
	failStart            // not even the beginning
	failWord             // a word of the pattern
	failSlot             // what fills a slot
	failUnit             // a quantity of another dimension
	failNoUnit           // a number without a unit
	failBadUnit          // a unit that there is none of
	failNumber           // a number that can't be
	failTrailing         // the form matched, and something follows
	failComma            // something follows that wants a comma before it
	failCond             // a condition
	failParen            // a parenthesis that is not closed
	failDeep             // parentheses nested too deep
)

type dimSet uint32

// failed notes a failure if it came at least as far as what is noted already. It always
// returns false, for its callers to return.
func (p *parser) failed(f fail) bool {
	old := &p.fail
	if f.why == failUnit && old.why == failUnit && f.at == old.at {
		old.dims |= f.dims
		return false
	}
	if old.why != failNone && (f.at < old.at || f.at == old.at && p.words <= old.words) {
		return false
	}
	f.form, f.words = p.form, p.words
	if f.slot == nil {
		f.slot = p.slotNow
	}
	p.fail = f
	return false
}

// clause reads one clause, up to its comma or the end of the line. It returns nil for
// one that is not even known by its first words.
func (p *parser) clause() *Clause {
	start := p.i
	p.fail = fail{}
	mark := len(p.findings)
	if p.kindAt(start) == NameTok {
		for _, f := range p.kind.Starting(p.textAt(start)) {
			if p.try(f, start, mark) {
				return p.done(f, start, p.doubtful(mark))
			}
		}
	}
	for _, f := range p.kind.Bare() {
		if p.mayBegin(f.Elems[0].Slot, start) && p.try(f, start, mark) {
			return p.done(f, start, p.doubtful(mark))
		}
	}
	p.i, p.findings = start, p.findings[:mark]
	first := !p.reported()
	p.broken = true
	if first {
		p.explain(start)
		p.why = p.fail
	}
	p.toComma()
	if f := p.fail.form; f != nil && p.fail.words > 0 {
		p.args = p.args[:0]
		return p.done(f, start, true)
	}
	return nil
}

// doubtful reports whether a clause that was matched may mean two things, such as `and` and
// `or` without parentheses: what it says is then as little known as what can't be read.
func (p *parser) doubtful(mark int) bool {
	if len(p.findings) == mark {
		return false
	}
	p.broken = true
	return true
}

// done makes the clause that was just matched.
func (p *parser) done(f *schema.Form, start int, broken bool) *Clause {
	return p.pool.clauses.one(Clause{Form: f, Args: p.pool.args.copyOf(p.args), Broken: broken, Span: p.from(start)})
}

// toComma moves to the comma that ends a clause which was not understood.
func (p *parser) toComma() {
	depth := 0
	for ; p.i < p.end; p.i++ {
		switch p.kindAt(p.i) {
		case OpenParen:
			depth++
		case CloseParen:
			depth = max(depth-1, 0)
		case Comma:
			if depth == 0 {
				return
			}
		}
	}
}

// try matches a form from a token up to the end of the clause.
func (p *parser) try(f *schema.Form, start, mark int) bool {
	p.i, p.args, p.findings = start, p.args[:0], p.findings[:mark]
	p.form, p.words = f, 0
	if p.cursor == nil && p.misses(f, start) {
		return false
	}
	for n := range f.Elems {
		e := &f.Elems[n]
		if e.Slot == nil {
			if !p.literal(e.Word, n) {
				return false
			}
			if p.words == n {
				p.words++
			}
			continue
		}
		p.slotNow = e.Slot
		node, ok := p.slot(e.Slot)
		if !ok {
			// Where the slot itself said nothing, or not as much as another form did.
			return p.failed(fail{why: failSlot, start: p.i, at: p.i})
		}
		p.args = append(p.args, Arg{Slot: e.Slot, Node: node})
	}
	if p.i < p.end && p.kindAt(p.i) != Comma {
		return p.failed(fail{why: failTrailing, start: p.i, at: p.i})
	}
	return true
}

// literal steps over the n-th word of a pattern.
func (p *parser) literal(word string, n int) bool {
	if p.isWord(p.i, word) {
		p.i++
		return true
	}
	if p.atCursor(p.i) {
		p.expect(Expected{What: ExpectWord, Word: wordsFrom(p.form, n)})
	}
	at := p.i
	if n > p.words && spelling.Distance(p.textAt(p.i), word) == 1 {
		at++ // a slip of the fingers: as good as understood
	}
	return p.failed(fail{why: failWord, word: word, start: p.i, at: at})
}

// misses looks ahead whether the word behind a first path is the one of the pattern:
// most clauses are no `A to B`, and it costs less to see that before reading A.
func (p *parser) misses(f *schema.Form, start int) bool {
	if len(f.Elems) < 2 || f.Elems[0].Slot == nil || f.Elems[1].Slot != nil {
		return false
	}
	next := start + 1
	switch f.Elems[0].Slot.Type {
	case schema.SlotPin:
		if p.isWord(start, "each") {
			return false
		}
	case schema.SlotRef, schema.SlotName, schema.SlotCount:
	default:
		return false
	}
	if p.isWord(next, f.Elems[1].Word) {
		return false
	}
	p.i, p.slotNow = next, f.Elems[0].Slot
	word := f.Elems[1].Word
	slip := spelling.Distance(p.textAt(next), word) == 1
	switch first, second := p.kindAt(start), p.kindAt(next); {
	case slip:
	case first == Number:
		// More likely a quantity with something wrong about it.
		return !p.failed(fail{why: failWord, word: word, start: next, at: start})
	case second == Comma || second == Newline:
		return !p.failed(fail{why: failStart, start: start, at: start})
	}
	p.literal(word, 1)
	return true
}

// mayBegin tells by its first token whether a slot is worth trying. It is a shortcut
// only: what it lets through may still fail.
func (p *parser) mayBegin(s *schema.Slot, at int) bool {
	k := p.kindAt(at)
	switch s.Type {
	case schema.SlotQuantity:
		return k == Number || k == Mixed || !s.Written && (k == NameTok || k == PathTok)
	case schema.SlotName, schema.SlotWord, schema.SlotCount:
		return k == NameTok || k == Number || k == Mixed
	case schema.SlotRef:
		return k == NameTok || k == PathTok // a number is more likely short of its unit
	case schema.SlotPin, schema.SlotRefs, schema.SlotCall, schema.SlotFaults:
		return k == NameTok || k == PathTok || k == Number || k == Mixed
	case schema.SlotColour, schema.SlotChoice:
		return k == NameTok
	}
	return true
}

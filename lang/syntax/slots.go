package syntax

import (
	"strconv"
	"strings"
	"time"

	"pintle/lang/schema"
	"pintle/lang/source"
)

// slot reads what fills a slot. Where it does not fit, p.fail tells why, and where
// that says nothing, that the slot is not filled at all.
func (p *parser) slot(s *schema.Slot) (Node, bool) {
	switch s.Type {
	case schema.SlotName, schema.SlotWord:
		if !p.expects(p.i, ExpectName) && p.nameHere() {
			return p.takeWord(), true
		}
	case schema.SlotRef:
		if r := p.refHere(); r != nil {
			return r, true
		}
	case schema.SlotPin:
		return p.pin()
	case schema.SlotRefs:
		return p.refs()
	case schema.SlotFaults:
		return p.faults(s)
	case schema.SlotQuantity:
		return p.quantity(s)
	case schema.SlotCount:
		return p.count()
	case schema.SlotCond:
		return p.clauseCond()
	case schema.SlotText:
		return p.textSlot()
	case schema.SlotColour:
		return p.colour()
	case schema.SlotDate:
		return p.date()
	case schema.SlotChoice:
		return p.choice(s.Choices)
	case schema.SlotArgType:
		return p.argType(s)
	case schema.SlotDefault:
		return p.argDefault()
	case schema.SlotSubject:
		if s, ok := p.subject(false); ok {
			return &s, true
		}
	case schema.SlotCall:
		return p.call()
	case schema.SlotArgs:
		start := p.i
		list, ok := p.argList()
		return &Args{List: list, Span: p.from(start)}, ok
	}
	return nil, false
}

// nameHere reports whether a single name stands here; 30 and 87a are names.
func (p *parser) nameHere() bool {
	switch p.kindAt(p.i) {
	case NameTok, Mixed:
		return true
	case Number:
		return isWhole(p.textAt(p.i))
	}
	return false
}

// isWhole reports whether a number is written in digits only.
func isWhole(s string) bool {
	for i := range len(s) {
		if classes[s[i]] != classDigit {
			return false
		}
	}
	return s != ""
}

func (p *parser) takeWord() *Word {
	w := p.pool.words.one(p.wordAt(p.i))
	p.i++
	return w
}

// refHere reads a path where nothing but one is expected, or returns nil.
func (p *parser) refHere() *Ref {
	p.expects(p.i, ExpectPath)
	return p.ref()
}

// ref reads a path, or returns nil.
func (p *parser) ref() *Ref {
	switch p.kindAt(p.i) {
	case NameTok:
		r := p.pool.refs.one(Ref{Parts: p.pool.words.take(1), Span: p.spanAt(p.i)})
		r.Parts[0] = p.wordAt(p.i)
		p.i++
		return r
	case PathTok, Mixed, Number:
		text, span := p.textAt(p.i), p.spanAt(p.i)
		if text[0] == '-' {
			return nil
		}
		p.i++
		return p.pool.refs.one(Ref{Parts: p.parts(text, span), Span: span})
	}
	return nil
}

func (p *parser) parts(text string, span source.Span) []Word {
	out := p.pool.words.take(strings.Count(text, ".") + 1)
	at := span.Start
	for i := range out {
		part, rest, _ := strings.Cut(text, ".")
		out[i] = Word{Text: part, Span: source.Span{Start: at, End: at + len(part)}}
		at += len(part) + 1
		text = rest
	}
	return out
}

func (p *parser) pin() (Node, bool) {
	start := p.i
	each := p.isWord(p.i, "each") && p.isRef(p.i+1) && !p.isWord(p.i+1, "to")
	switch {
	case each:
		p.i++
	case p.isWord(p.i, "each"):
		p.expects(p.i+1, ExpectPath)
	default:
		p.expectsWords(p.i, "each")
	}
	r := p.refHere()
	if r == nil {
		return nil, false
	}
	r.Each = each
	r.Span = p.from(start)
	return r, true
}

func (p *parser) isRef(i int) bool {
	switch p.kindAt(i) {
	case NameTok, PathTok, Mixed, Number:
		return true
	}
	return false
}

// refs reads paths separated by commas, as far as they don't begin another clause.
func (p *parser) refs() (Node, bool) {
	start := p.i
	var list []*Ref
	for {
		r := p.refHere()
		if r == nil {
			return nil, false
		}
		list = append(list, r)
		if p.kindAt(p.i) != Comma || p.expects(p.i+1, ExpectPath) || !p.isRef(p.i+1) || !p.listGoesOn(p.i+1) || p.ownClause(p.i+1) {
			break
		}
		p.listMayEnd()
		p.i++
	}
	return &Refs{List: list, Span: p.from(start)}, true
}

// listGoesOn reports whether a word behind a comma is a further item of a list rather
// than the beginning of something else: nothing follows it, or what ends an item does.
func (p *parser) listGoesOn(i int) bool {
	switch p.kindAt(i + 1) {
	case Newline, CloseParen:
		return true
	case Comma:
		return true
	case NameTok:
		switch p.textAt(i + 1) {
		case "and", "or", "for", "begins", "ends", "stays", "whenever", "within", "repeats", "once", "throughout":
			return true
		case "in":
			return p.isWord(i+2, "the") && p.isWord(i+3, "last")
		case "at":
			return p.isWord(i+2, "end")
		case "unless":
			return p.isWord(i+2, "said")
		}
	}
	return false
}

// ownClause reports whether a lone word is a whole clause of the kind by itself: `keeps`,
// `clamped`, or a colour.
func (p *parser) ownClause(i int) bool {
	if p.inParens > 0 || p.kindAt(i) != NameTok {
		return false
	}
	if k := p.kindAt(i + 1); k != Comma && k != Newline {
		return false
	}
	text := p.textAt(i)
	for _, f := range p.kind.Starting(text) {
		if len(f.Elems) == 1 {
			return true
		}
	}
	for _, f := range p.kind.Bare() {
		switch s := f.Elems[0].Slot; {
		case len(f.Elems) > 1:
		case s.Type == schema.SlotColour:
			if _, ok := schema.Colour(text); ok {
				return true
			}
		}
	}
	return false
}

func (p *parser) count() (Node, bool) {
	p.expects(p.i, ExpectCount)
	c := &Count{Span: p.spanAt(p.i)}
	switch p.kindAt(p.i) {
	case NameTok:
		c.Param = p.ref()
		return c, true
	case Number:
		n, err := strconv.Atoi(p.textAt(p.i))
		if err != nil || n < 0 || n > maxCount {
			return nil, p.failed(fail{why: failNumber, start: p.i, at: p.i + 1, note: "a whole number from 0 to 100,000 is expected here"})
		}
		c.N = n
		p.i++
		return c, true
	}
	return nil, false
}

// maxCount bounds whole numbers: ways, turns, repeated fits.
const maxCount = 100_000

func (p *parser) textSlot() (Node, bool) {
	p.expects(p.i, ExpectText)
	if p.kindAt(p.i) != Text {
		return nil, false
	}
	return p.takeText(), true
}

// takeText reads a text in quotes, reporting the lack of the closing one.
func (p *parser) takeText() *Str {
	text, span := p.textAt(p.i), p.spanAt(p.i)
	p.i++
	body := text[1:]
	if n := len(body); n > 0 && body[n-1] == '"' {
		body = body[:n-1]
	} else {
		p.broken = true
		p.report(source.Span{Start: span.Start, End: span.Start + 1}, "this text has no closing quote", "write `\"` where the text ends")
	}
	return &Str{Text: body, Span: span}
}

// colour reads `light green/white`.
func (p *parser) colour() (Node, bool) {
	start := p.i
	first, ok := p.oneColour()
	if !ok {
		return nil, false
	}
	if p.kindAt(p.i) == Slash {
		p.i++
		stripe, ok := p.oneColour()
		if !ok {
			return nil, p.failed(fail{why: failSlot, start: p.i, at: p.i})
		}
		first += "/" + stripe
	}
	return p.pool.words.one(Word{Text: first, Span: p.from(start)}), true
}

func (p *parser) oneColour() (string, bool) {
	if p.expects(p.i, ExpectColour) || p.kindAt(p.i) != NameTok {
		return "", false
	}
	shade := p.textAt(p.i)
	if schema.IsShade(shade) {
		p.expects(p.i+1, ExpectColour)
	}
	if schema.IsShade(shade) && p.kindAt(p.i+1) == NameTok {
		if c, ok := schema.Colour(p.textAt(p.i + 1)); ok {
			p.i += 2
			return shade + " " + c, true
		}
	}
	c, ok := schema.Colour(shade)
	if ok {
		p.i++
	}
	return c, ok
}

func (p *parser) date() (Node, bool) {
	p.expects(p.i, ExpectDate)
	text := p.textAt(p.i)
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		if p.kindAt(p.i) == Mixed || p.kindAt(p.i) == Number {
			return nil, p.failed(fail{why: failNumber, start: p.i, at: p.i + 1,
				note: "a day of the calendar is expected here, as year, month and day: `2027-06-30`"})
		}
		return nil, false
	}
	d := &Date{Year: t.Year(), Month: int(t.Month()), Day: t.Day(), Span: p.spanAt(p.i)}
	p.i++
	return d, true
}

// choice reads the longest of the choices that stands here.
func (p *parser) choice(choices []string) (Node, bool) {
	best, bestLen := "", 0
	for _, c := range choices {
		i := p.i
		for w := range strings.SplitSeq(c, " ") {
			if !p.isWord(i, w) {
				p.expectsChoice(c, i)
				i = -1
				break
			}
			i++
		}
		if i-p.i > bestLen {
			best, bestLen = c, i-p.i
		}
	}
	if bestLen == 0 {
		return nil, false
	}
	start := p.i
	p.i += bestLen
	return p.pool.words.one(Word{Text: best, Span: p.from(start)}), true
}

// argType reads the type of an argument: a unit, `condition`, `count` and so on.
func (p *parser) argType(s *schema.Slot) (Node, bool) {
	if p.expects(p.i, ExpectType) {
		return nil, false
	}
	if n, ok := p.choice(s.Choices); ok {
		return n, true
	}
	start := p.i
	u, found, ok := p.unit()
	if !found || !ok {
		p.i = start
		return nil, false
	}
	return p.pool.words.one(Word{Text: u.Symbol, Span: p.from(start)}), true
}

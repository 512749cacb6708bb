package syntax

import (
	"strings"

	"pintle/lang/schema"
)

// head reads what stands between the kind word and the colon.
func (p *parser) head(h *Head) bool {
	start := p.i
	form := p.kind.Head
	switch form {
	case schema.HeadWhen:
		return p.whenHead(h)
	case schema.HeadName, schema.HeadNames, schema.HeadPins, schema.HeadOptionalName, schema.HeadNameMaybe, schema.HeadRule:
		if !p.grammarOnly && p.plainNames(h, form) {
			return p.checkNames(h)
		}
		p.i = start
	}
	if p.grammarHead(h, form) {
		return p.checkNames(h)
	}
	if k := p.kindAt(p.i); k == PathTok && form != schema.HeadEnds {
		p.report(p.spanAt(p.i), "a name has no dots: `"+p.textAt(p.i)+"` is a path to something that exists", "write one name")
		return false
	}
	if !p.strange(p.i) {
		p.report(p.spanAt(p.i), p.headMessage(form), "write `"+p.kind.Name+headExamples[form]+"`")
	}
	return false
}

var headExamples = [...]string{
	schema.HeadName: " NAME", schema.HeadNames: " NAME, NAME", schema.HeadPins: " 30, 87a, B+",
	schema.HeadOptionalName: " NAME", schema.HeadText: ` "text"`, schema.HeadUse: ` "parts/relays.pintle"`,
	schema.HeadWhen: " when side is left {", schema.HeadEnds: " 15 to 31", schema.HeadNameText: ` NAME "text"`,
	schema.HeadNameMaybe: " NAME", schema.HeadRule: " wire-colours-repeat", schema.HeadMove: " one to two",
}

// headMessage says what belongs behind the kind word, or where in it something is amiss.
func (p *parser) headMessage(form schema.HeadForm) string {
	kind := "`" + p.kind.Name + "`"
	last := p.sigs[p.i-1]
	if last.kind == Comma {
		return "a name is expected after this comma"
	}
	switch form {
	case schema.HeadText, schema.HeadUse:
		if p.sigs[p.i-1].kind == NameTok && p.textAt(p.i-1) == "as" {
			return "a short name is expected after `as`"
		}
		return kind + " needs a text in double quotes"
	case schema.HeadEnds:
		return kind + " needs its feed pin and its ground pin"
	case schema.HeadMove:
		return kind + " needs the mode that is left and the mode that is entered"
	case schema.HeadRule:
		return kind + " needs the name of a rule"
	case schema.HeadNameText:
		if p.sigs[p.i-1].kind != NameTok || p.textAt(p.i-1) != p.kind.Name {
			return kind + " needs a text in double quotes after its name"
		}
	}
	return kind + " needs a name"
}

// plainNames reads a name, or names with commas between, right up to the colon, the
// brace or the end. Everything else is left to the grammar.
func (p *parser) plainNames(h *Head, form schema.HeadForm) bool {
	var buffer [16]Word
	names := buffer[:0]
	if form == schema.HeadOptionalName && p.headEnds(p.i) {
		return true
	}
	for {
		if !p.nameHere() {
			return false
		}
		names = append(names, p.wordAt(p.i))
		p.i++
		if p.headEnds(p.i) {
			h.Names = p.pool.words.copyOf(names)
			return true
		}
		if p.kindAt(p.i) != Comma || form != schema.HeadNames && form != schema.HeadPins {
			return false
		}
		p.i++
	}
}

func (p *parser) headEnds(i int) bool { return i >= p.end || p.kindAt(i) == Colon }

// checkNames finds names that are spelled as names are not.
func (p *parser) checkNames(h *Head) bool {
	form := p.kind.Head
	if form == schema.HeadUse && h.Text != nil && h.Text.Text == "" {
		p.report(h.Text.Span, "the path of a file is expected between the quotes", "write `use \"parts/relays.pintle\"`")
		return false
	}
	if h.Text != nil && form != schema.HeadText && form != schema.HeadUse && form != schema.HeadNameText && form != schema.HeadNameMaybe {
		p.report(h.Text.Span, "`"+p.kind.Name+"` has no text after its name", "say it in a `##` line above")
		return false
	}
	for _, w := range h.Names {
		last := w.Text[len(w.Text)-1]
		switch {
		case form != schema.HeadPins && (last == '+' || last == '-'):
			p.report(w.Span, "only pins and nodes may be called `"+w.Text+"`", "write a name of letters, digits, `_` and inner `-`")
			return false
		case strings.Contains(w.Text, "."):
			p.report(w.Span, "a name has no dots: `"+w.Text+"`", "write one name")
			return false
		case strings.ContainsAny(w.Text, "°²³·℃℉"):
			p.report(w.Span, "a name is made of letters, digits, `_` and inner `-`; `"+w.Text+"` holds a sign that belongs to units", "")
			return false
		}
	}
	return true
}

// whenHead reads `when COND` of `only`.
func (p *parser) whenHead(h *Head) bool {
	p.expectsWords(p.i, "when")
	if !p.isWord(p.i, "when") {
		if !p.strange(p.i) {
			p.report(p.spanAt(p.i), "`only` needs `when` and a condition", "write `only when side is left {`")
		}
		return false
	}
	p.i++
	start := p.i
	p.fail, p.form, p.words, p.slotNow = fail{}, nil, 0, nil
	cond, ok := p.cond()
	if ok && p.i < p.end && p.kindAt(p.i) != Colon {
		ok = p.failed(fail{why: failTrailing, start: p.i, at: p.i})
	}
	if !ok {
		if len(p.findings) == 0 {
			p.explain(start)
			p.why = p.fail
		}
		return false
	}
	if len(p.findings) > 0 {
		return false // it may mean two things
	}
	h.Cond = cond
	return true
}

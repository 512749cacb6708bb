package syntax

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/spelling"
	"pintle/lang/unit"
)

// maxQuoted bounds how much of a text is repeated in a finding, in code points.
const maxQuoted = 40

func insertion(title string, at source.Span, text string) []diag.Fix {
	return []diag.Fix{{Title: title, Edits: []diag.Edit{{Place: diag.Place{Span: at}, New: text}}}}
}

// excerpt is the text of the tokens from one up to another, shortened when long.
func (p *parser) excerpt(from, to int) string {
	to = min(to, p.end)
	if from >= to {
		return ""
	}
	s := p.between(int(p.sigs[from].start), int(p.sigs[to-1].end))
	n := 0
	for i := range s {
		if n == maxQuoted || s[i] == '\n' || s[i] == '\r' {
			return strings.TrimRight(strings.ToValidUTF8(s[:i], "�"), " ") + "…"
		}
		n++
	}
	return strings.ToValidUTF8(s, "�")
}

// explain reports why the clause that begins at start was not understood.
func (p *parser) explain(start int) {
	f := &p.fail
	at := f.start
	if f.why == failNone {
		at = start
	}
	if p.strange(at) {
		return
	}
	switch f.why {
	case failUnit:
		span := p.quantitySpan(at, f.at)
		if f.note != "" {
			p.reportRule("unit-mismatch", span, f.note, "")
			return
		}
		p.reportRule("unit-mismatch", span, phrase(f.dims)+" is expected here, for example `"+example(f.dims)+"`; `"+
			f.value.String()+"` is "+f.value.Dim().Phrase(), "")
	case failNoUnit:
		p.noUnit(at, f.dims)
	case failBadUnit:
		p.badUnit(f)
	case failNumber:
		p.report(p.quantitySpan(at, f.at), f.note, "")
	case failParen:
		p.report(p.spanAt(at), "this parenthesis is not closed", "write `)` where it ends")
	case failDeep:
		p.report(p.spanAt(at), "parentheses are nested more than "+strconv.Itoa(maxNesting)+" deep", "give parts of the condition a name with `condition`")
	case failCond:
		p.report(p.spanAt(at), p.instead(f.word, at), "")
	case failComma:
		p.missingComma(at)
	case failSlot:
		if f.slot.Type == schema.SlotChoice {
			p.noChoice(f.slot, at)
			return
		}
		p.report(p.spanAt(at), p.instead(expected(f.slot)+" is expected here, for example `"+f.slot.Example()+"`", at), "")
	case failTrailing:
		p.trailing(at)
	case failWord:
		if f.words == 0 && p.sibling(start) {
			return
		}
		if f.start-start == f.words && p.kindAt(at) == NameTok {
			p.unknownClause(start)
			return
		}
		help := ""
		if !f.inner && f.form != nil {
			help = "the clause is written `" + schema.Written(f.form) + "`"
		}
		p.report(p.spanAt(at), p.instead("`"+f.word+"` is expected after "+p.before(at), at), help)
	default:
		p.unknownClause(start)
	}
}

// instead adds what stands there in place of what is expected.
func (p *parser) instead(message string, at int) string {
	if at < p.end && p.kindAt(at) != Comma {
		return message + ", instead of `" + p.excerpt(at, at+1) + "`"
	}
	return message
}

// quantitySpan covers the tokens from one up to another, at least one.
func (p *parser) quantitySpan(from, to int) source.Span {
	s := p.spanAt(from)
	if to > from && to <= p.end {
		s.End = int(p.sigs[to-1].end)
	}
	return s
}

// trailing reports what stands behind a clause that was complete.
func (p *parser) trailing(at int) {
	text := p.excerpt(at, at+1)
	if p.kindAt(at) == CloseParen {
		p.report(p.spanAt(at), "this parenthesis closes nothing", "take it away")
		return
	}
	if p.inParens == 0 && p.another(at) {
		p.missingComma(at)
		return
	}
	p.report(p.spanAt(at), "`"+text+"` is not understood after "+p.before(at), "a clause ends with a comma or with its line")
}

// before quotes what stands before a token: a word, or a number with its unit.
func (p *parser) before(at int) string {
	from := at - 1
	if k := p.kindAt(from); (k == NameTok || k == Percent) && from > 0 && p.kindAt(from-1) == Number {
		from--
	}
	return "`" + p.excerpt(from, at) + "`"
}

func (p *parser) missingComma(at int) {
	prev := p.spanAt(at - 1)
	p.report(p.spanAt(at), "a comma is missing before `"+p.excerpt(at, at+1)+"`", "")
	p.findings[len(p.findings)-1].Fixes = insertion("write the comma", source.Span{Start: prev.End, End: prev.End}, ",")
}

// another reports whether another clause begins at a token, and may be said besides the
// one before.
func (p *parser) another(at int) bool {
	if p.kindAt(at) == NameTok && p.beginsForm(at) {
		return true
	}
	was, i, mark := p.fail, p.i, len(p.findings)
	defer func() { p.fail, p.i, p.findings = was, i, p.findings[:mark] }()
	for _, f := range p.kind.Bare() {
		if (f.Max != 1 || f.Tally != was.form.Tally) && p.mayBegin(f.Elems[0].Slot, at) && p.try(f, at, mark) {
			return true
		}
	}
	return false
}

func (p *parser) noUnit(at int, dims dimSet) {
	if p.strange(at + 1) {
		return
	}
	text := p.textAt(at)
	// 1,5 mm2: in many countries decimals are written with a comma.
	if p.kindAt(at+1) == Comma && p.kindAt(at+2) == Number && p.sigs[at+1].end == p.sigs[at+2].start && p.sigs[at].end == p.sigs[at+1].start {
		whole := p.quantitySpan(at, at+3)
		point := text + "." + p.textAt(at+2)
		p.report(whole, "decimals are written with a point: `"+point+"`", "")
		p.findings[len(p.findings)-1].Fixes = insertion("write the point", whole, point)
		return
	}
	symbol := unitFor(dims)
	if dims == 0 {
		symbol = p.unitBefore(at)
	}
	if symbol == "" {
		p.report(p.spanAt(at), anyUnit(text), "")
		return
	}
	p.report(p.spanAt(at), needsUnit(text, symbol), "")
}

// unitBefore is the unit of the number that stands before another in its statement: what
// is compared with one thing in one line measures the same. "" where there is none.
func (p *parser) unitBefore(at int) string {
	for i := at - 1; i > p.first; i-- {
		switch p.kindAt(i) {
		case NameTok:
			if u, ok := unit.Lookup(p.textAt(i)); ok && p.kindAt(i-1) == Number {
				return u.Symbol
			}
		case Mixed:
			if _, symbol, ok := splitNumber(p.textAt(i)); ok {
				if u, ok := unit.Lookup(symbol); ok {
					return u.Symbol
				}
			}
		}
	}
	return ""
}

func (p *parser) noChoice(s *schema.Slot, at int) {
	message := "`" + strings.Join(s.Choices, "`, `") + "`"
	if i := strings.LastIndex(message, ", "); i >= 0 {
		message = message[:i] + " or" + message[i+1:]
	}
	message = p.instead(message+" is expected here", at)
	var fixes []diag.Fix
	if best := spelling.Best(p.textAt(at), slices.Values(s.Choices)); best != "" {
		message += "; did you mean `" + best + "`?"
		fixes = insertion("write "+best, p.spanAt(at), best)
	}
	p.report(p.spanAt(at), message, "")
	p.findings[len(p.findings)-1].Fixes = fixes
}

// beginsForm reports whether the literal words of a form stand here.
func (p *parser) beginsForm(at int) bool {
	return slices.ContainsFunc(p.kind.Starting(p.textAt(at)), func(f *schema.Form) bool { return p.standsAt(f, at) })
}

func (p *parser) badUnit(f *fail) {
	// The unit stands at the end of a joined token, or in a token of its own.
	span := p.spanAt(f.start)
	span.Start = max(span.Start, span.End-len(f.word))
	if p.kindAt(f.start) == NameTok {
		span = p.quantitySpan(f.start, max(p.unitEnd(f.start), f.start+1))
	}
	message := "there is no unit `" + shorten(f.word) + "`"
	var fixes []diag.Fix
	if u, ok := unit.Suggest(f.word); ok {
		// `85 degrees` beside `90 degC`.
		if v, known := unit.Lookup(p.unitBefore(f.start)); known && u.Dim == unit.Angle && v.Dim == unit.Temperature {
			u = v
		}
		message += "; did you mean `" + u.Symbol + "`?"
		fixes = insertion("write "+u.Symbol, span, u.Symbol)
	}
	p.report(span, message, "")
	p.findings[len(p.findings)-1].Fixes = fixes
}

func shorten(s string) string {
	if utf8.RuneCountInString(s) <= maxQuoted {
		return s
	}
	return string([]rune(s)[:maxQuoted]) + "…"
}

// unknownClause reports a clause that is not known even by its first words.
func (p *parser) unknownClause(start int) {
	kind := p.kind
	if len(kind.Forms) == 0 {
		p.report(p.spanAt(start), "`"+kind.Name+"` takes no clauses", "end the line after the name")
		return
	}
	if p.sibling(start) {
		return
	}
	var words []string
	end := start
	for ; p.kindAt(end) == NameTok && len(words) < 3; end++ {
		words = append(words, p.textAt(end))
	}
	// As many words as it takes to see that it is none of the language's.
	known := 1
	if f := kind.Suggest(words); f != nil {
		for n, w := range strings.Fields(f.Literal()) {
			if n >= len(words) || words[n] != w {
				break
			}
			known = n + 2
		}
	}
	shown := p.excerpt(start, min(max(end, start+1), start+known))
	wide := p.quantitySpan(start, start+max(1, min(known, len(words))))
	message := "`" + kind.Name + "` has no clause that begins with `" + shown + "`"
	if f := kind.Suggest(words); f != nil {
		p.report(wide, message+"; did you mean `"+f.Literal()+"`?",
			"the clause is written `"+schema.Written(f)+"`")
		return
	}
	var all []string
	for _, f := range kind.Forms {
		all = append(all, "`"+schema.Written(f)+"`")
	}
	p.report(wide, message, "its clauses are "+strings.Join(all, ", "))
}

func list(words []string, last string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " " + last + " " + words[n-1]
	}
	return strings.Join(words, "")
}

// phrase names what is expected: "a current, a power or a resistance".
func phrase(dims dimSet) string {
	var out []string
	for _, d := range unit.Dims() {
		if dims&(1<<d) != 0 {
			out = append(out, d.Phrase())
		}
	}
	if len(out) == 0 {
		return "a quantity"
	}
	return list(out, "or")
}

func firstDim(dims dimSet) unit.Dim {
	for _, d := range unit.Dims() {
		if dims&(1<<d) != 0 {
			return d
		}
	}
	return unit.Voltage
}

func example(dims dimSet) string { return firstDim(dims).Example() }
func unitFor(dims dimSet) string { return firstDim(dims).Base().Symbol }

// expected says what fills a slot.
func expected(s *schema.Slot) string {
	switch s.Type {
	case schema.SlotQuantity:
		return phrase(dims(s))
	case schema.SlotPin:
		return "a pin, a node or a port"
	case schema.SlotRef, schema.SlotRefs, schema.SlotSubject:
		return "a name"
	case schema.SlotCount:
		return "a whole number"
	case schema.SlotCond:
		return "a condition"
	case schema.SlotText:
		return "a text in double quotes"
	case schema.SlotColour:
		return "a colour"
	case schema.SlotDate:
		return "a day"
	case schema.SlotArgType:
		return "a unit, or `condition`, `quantity`, `setting` or `count`,"
	case schema.SlotChoice:
		return "`" + strings.Join(s.Choices, "`, `") + "`"
	case schema.SlotCall:
		return "the name of a part"
	case schema.SlotFaults:
		return "a fault"
	}
	return "a name"
}

package syntax

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"pintle/lang/diag"
	"pintle/lang/kinds"
	"pintle/lang/source"
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
	span := p.spanAt(at)
	if p.i > at {
		span = p.from(at)
	}
	switch f.why {
	case failUnit:
		span = p.quantitySpan(at, f.at)
		p.reportRule("unit-mismatch", span, phrase(f.dims)+" is expected here, for example `"+example(f.dims)+"`; `"+
			f.value.String()+"` is "+f.value.Dim().Phrase(), "")
	case failNoUnit:
		p.report(p.spanAt(at), "`"+p.textAt(at)+"` needs a unit here, for example `"+p.textAt(at)+" "+unitFor(f.dims)+"`", "")
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
	case failSlot:
		p.report(p.spanAt(at), p.instead(expected(f.slot)+" is expected here, for example `"+f.slot.Example()+"`", at), "")
	case failTrailing:
		p.trailing(at)
	case failWord:
		if f.start-start == f.words {
			p.unknownClause(start)
			return
		}
		p.report(p.spanAt(at), p.instead("`"+f.word+"` is expected after `"+p.excerpt(at-1, at)+"`", at),
			"the clause is written `"+kinds.Reading(f.form)+"`")
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
		p.report(p.spanAt(at), "nothing is opened that this parenthesis could close", "take it away")
		return
	}
	if p.inParens == 0 && p.kindAt(at) == NameTok && p.beginsForm(at) {
		prev := p.spanAt(at - 1)
		p.report(p.spanAt(at), "a comma is missing before `"+text+"`", "")
		p.findings[len(p.findings)-1].Fixes = insertion("write the comma", source.Span{Start: prev.End, End: prev.End}, ",")
		return
	}
	p.report(p.spanAt(at), "`"+text+"` is not understood after `"+p.excerpt(at-1, at)+"`", "a clause ends with a comma or with its line")
}

// beginsForm tells whether the literal words of a form stand here.
func (p *parser) beginsForm(at int) bool {
	for _, f := range p.kind.Starting(p.textAt(at)) {
		ok := true
		for n, w := range strings.Fields(f.Literal()) {
			ok = ok && p.isWord(at+n, w)
		}
		if ok {
			return true
		}
	}
	return false
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
	var words []string
	end := start
	for ; p.kindAt(end) == NameTok && len(words) < 3; end++ {
		words = append(words, p.textAt(end))
	}
	shown := p.excerpt(start, min(max(end, start+1), start+2))
	message := "`" + kind.Name + "` says nothing that begins with `" + shown + "`"
	if f := kind.Suggest(words); f != nil {
		p.report(p.quantitySpan(start, start+max(1, min(2, len(words)))), message+"; did you mean `"+f.Literal()+"`?",
			"the clause is written `"+kinds.Reading(f)+"`")
		return
	}
	var all []string
	for _, f := range kind.Forms {
		all = append(all, "`"+kinds.Reading(f)+"`")
	}
	p.report(p.quantitySpan(start, start+max(1, min(2, len(words)))), message, "it may say "+strings.Join(all, ", "))
}

func (p *parser) twice(c *Clause, all []*Clause) {
	f := c.Form
	first := all[0]
	for _, other := range all {
		if other.Form.Tally == f.Tally {
			first = other
			break
		}
	}
	message := "`" + name(f) + "` is said twice"
	if first.Form != f {
		message = "`" + name(f) + "` and `" + name(first.Form) + "` exclude each other"
	}
	p.reportRule("clause-twice", c.Span, message, "take one of the two away")
	p.findings[len(p.findings)-1].Related = []diag.Related{{Place: diag.Place{Span: first.Span}, Note: "it is said here first"}}
}

// name is how a clause is called in a finding: by its words, or by its whole pattern.
func name(f *kinds.Form) string {
	if l := f.Literal(); l != "" {
		return l
	}
	return kinds.Reading(f)
}

func (p *parser) missing(f *kinds.Form, have int) {
	end := source.Span{Start: p.endOff(), End: p.endOff()}
	if p.kind.Forms[f.Tally].Min > 1 && have > 0 {
		p.reportRule("missing-clause", end, "`"+p.kind.Name+"` needs at least two of `"+kinds.Reading(f)+"`", f.Doc)
		return
	}
	var ways []string
	for _, other := range p.kind.Forms {
		if other.Tally == f.Tally {
			ways = append(ways, "`"+kinds.Reading(other)+"`")
		}
	}
	p.reportRule("missing-clause", end, "`"+p.kind.Name+"` does not say "+strings.Join(ways, " or "),
		f.Doc+" Write for example `"+f.Example()+"`.")
}

// unknownKind reports a statement whose first word is no kind.
func (p *parser) unknownKind(c *cutStmt, t *tree) {
	p.broken = true
	if p.kindAt(p.i) != NameTok {
		if !p.strange(p.i) {
			p.report(p.spanAt(p.i), "a statement begins with its kind, not with `"+p.excerpt(p.i, p.i+1)+"`", "write for example `wire W1: …`")
		}
		return
	}
	t.word = p.wordAt(p.i)
	message := "`" + shorten(t.word.Text) + "` is no kind of statement"
	if k := p.kindAt(p.i + 1); k == Colon || k == Newline && c.brace >= 0 {
		p.report(t.word.Span, message, "write what it is before the name, for example `fit "+shorten(t.word.Text)+": …`")
		t.head.Names, t.head.Span = []Word{t.word}, t.word.Span
		t.word = Word{Span: source.Span{Start: t.word.Start, End: t.word.Start}}
		return
	}
	var fixes []diag.Fix
	if s := kinds.Suggest(t.word.Text, c.in); s != "" {
		message += "; did you mean `" + s + "`?"
		fixes = insertion("write "+s, t.word.Span, s)
	}
	p.report(t.word.Span, message, "")
	p.findings[0].Fixes = fixes
	// What it was meant to declare is unknown, not missing.
	for p.i++; p.nameHere(); p.i += 2 {
		t.head.Names = append(t.head.Names, p.wordAt(p.i))
		if p.kindAt(p.i+1) != Comma {
			break
		}
	}
	t.head.Span = p.from(int(c.from) + 1)
}

func (p *parser) misplaced(c *cutStmt) {
	p.reportRule("kind-misplaced", p.spanAt(p.i-1), "`"+p.kind.Name+"` has no place in "+list(c.in.Phrases(), "or"),
		"it stands in "+list(p.kind.Where.Phrases(), "or"))
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
func expected(s *kinds.Slot) string {
	switch s.Type {
	case kinds.SlotQuantity:
		return phrase(dims(s))
	case kinds.SlotPin:
		return "a pin, a node or a port"
	case kinds.SlotRef, kinds.SlotRefs, kinds.SlotSubject:
		return "a name"
	case kinds.SlotCount:
		return "a whole number"
	case kinds.SlotCond:
		return "a condition"
	case kinds.SlotText:
		return "a text in double quotes"
	case kinds.SlotColour:
		return "a colour"
	case kinds.SlotDate:
		return "a day"
	case kinds.SlotArgType:
		return "a unit, or `condition`, `quantity`, `setting` or `count`,"
	case kinds.SlotChoice:
		return "`" + strings.Join(s.Choices, "`, `") + "`"
	case kinds.SlotCall:
		return "the name of a part"
	}
	return "a name"
}

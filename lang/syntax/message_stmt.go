package syntax

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
)

func (p *parser) twice(c *Clause, all []*Clause) {
	f := c.Form
	first := all[0]
	for _, other := range all {
		if other.Form.Tally == f.Tally {
			first = other
			break
		}
	}
	message := name(f) + " is said twice"
	if first.Form != f {
		message = name(f) + " and " + name(first.Form) + " exclude each other"
	}
	p.reportRule("clause-twice", c.Span, message, "remove one of the two")
	p.findings[len(p.findings)-1].Related = []diag.Related{{Place: diag.Place{Span: first.Span}, Note: "it is written here first"}}
}

// name is how a clause is called in a finding: by its words, by what it measures, or by
// its whole pattern.
func name(f *schema.Form) string {
	if l := f.Literal(); l != "" {
		return "`" + l + "`"
	}
	if s := f.Elems[0].Slot; len(f.Elems) == 1 && s.Type == schema.SlotQuantity && len(s.Dims) > 0 {
		return phrase(dims(s))
	}
	return "`" + schema.Written(f) + "`"
}

func (p *parser) missing(f *schema.Form, have int) {
	end := source.Span{Start: p.endOff(), End: p.endOff()}
	kind := "`" + p.kind.Name + "` needs "
	if p.kind.Forms[f.Tally].Min > 1 && have > 0 {
		one := f.Elems[0].Slot
		p.reportRule("missing-clause", end, kind+"at least two "+one.Role+"s", "write for example `"+one.Role+"_1, "+one.Role+"_2`")
		return
	}
	var ways []string
	for _, other := range p.kind.Forms {
		if other.Tally == f.Tally {
			ways = append(ways, "`"+schema.Written(other)+"`")
		}
	}
	if len(ways) == 1 {
		p.reportRule("missing-clause", end, kind+needed(f), "write for example `"+f.Example()+"`")
		return
	}
	p.reportRule("missing-clause", end, kind+list(ways, "or"), "write for example `"+f.Example()+"`")
}

// needed says what a clause tells, from the first sentence about it: "its two ends".
func needed(f *schema.Form) string {
	first, _, _ := strings.Cut(f.Doc, ". ")
	first, _, _ = strings.Cut(first, "; ")
	return schema.Clipped(first)
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
	if s := schema.Suggest(t.word.Text, c.in); s != "" {
		message += "; did you mean `" + s + "`?"
		fixes = insertion("write "+s, t.word.Span, s)
	}
	help := schema.Meant(t.word.Text)
	switch strings.ToLower(t.word.Text) {
	case "if", "when", "whenever", "while", "then", "unless":
		help = "a condition belongs to what it is about: `contact …, made when COND`, `driver …, when COND`, `require NAME: COND whenever COND`"
	}
	if p.isWord(p.i+1, "is") || p.isWord(p.i+1, "are") {
		help = "what must hold is a `require NAME: always …`, what has a name a `condition NAME: …`"
	}
	p.report(t.word.Span, message, help)
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
	var where schema.Context
	for _, k := range schema.Named(p.kind.Name) {
		where |= k.Where
	}
	p.reportRule("kind-misplaced", p.spanAt(p.i-1), "`"+p.kind.Name+"` is not allowed "+c.in.Phrases()[0],
		"it is allowed "+list(where.Phrases(), "or"))
}

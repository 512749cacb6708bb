package syntax

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
)

// What follows looks for what was meant by a statement that was not understood: the text is
// changed as people's idioms suggest (idioms.txt), a word at a time, and read again. Only a
// text that reads without a finding is offered as a fix, so none is a mere guess at grammar.
// All of it happens after a finding; what is right is not slowed down.

// Bounds that keep the cost of one wrong line small.
const (
	maxMended  = 1 << 11 // bytes of a line
	maxChanges = 8       // changes in a row
)

// change is a stretch of a line with what might have been meant.
type repair struct {
	start, end int // bytes of the line
	text       string
	habit      *idiom // nil: from the grammar alone
	alone      bool   // taken only if nothing is wrong then
	shown      string // what was written there
}

// draft is a line that was tried.
type draft struct {
	line  string
	p     *parser
	first *diag.Finding // nil: nothing is wrong
	note  *idiom        // what is known of it without a change that would help
	at    int           // index of the token at which it stands
}

// mend looks for what was meant by a statement with a finding, and says so in it.
func (p *parser) mend(c *cutStmt) {
	if p.mending || len(p.findings) == 0 || c.to <= c.from {
		return
	}
	start, end := int(p.sigs[c.from].start), int(p.sigs[c.to-1].end)
	if end-start > maxMended {
		return
	}
	f := &p.findings[0]
	switch f.Rule {
	case "syntax", "unit-mismatch", "clause-twice":
	default:
		return
	}
	d := p.draft(c, p.between(start, end))
	if d.first == nil {
		return
	}
	var noted repair
	d.note, noted = d.hint()
	if d.note == nil && !p.idiomOfKind(c, d) && p.clears(c, d.line, start) {
		return
	}
	note := d.note
	switch {
	case p.chain(c, d, start) || note == nil:
	case f.Rule == "unit-mismatch":
		f.Help = note.why
	default:
		f.Rule, f.Span = "syntax", source.Span{Start: start + noted.start, End: start + noted.end}
		f.Message, f.Help, f.Fixes = "`"+noted.shown+"` has no meaning here", note.why, nil
	}
}

// habitOfKind reports whether a idiom that belongs to this kind of statement is all that is
// wrong: then it is more than the comma that seems to be missing.
func (p *parser) idiomOfKind(c *cutStmt, d *draft) bool {
	return slices.ContainsFunc(d.idiomatic(), func(m repair) bool {
		return len(m.habit.in) > 0 && p.draft(c, d.line[:m.start]+m.text+d.line[m.end:]).first == nil
	})
}

// clears reports whether a fix that the finding has already leaves nothing to say.
func (p *parser) clears(c *cutStmt, line string, start int) bool {
	for _, fix := range p.findings[0].Fixes {
		if len(fix.Edits) == 1 {
			e := fix.Edits[0]
			if e.Start >= start && e.End <= start+len(line) && p.draft(c, line[:e.Start-start]+e.New+line[e.End-start:]).first == nil {
				return true
			}
		}
	}
	return false
}

// draft reads a line in the place of a statement.
func (p *parser) draft(c *cutStmt, line string) *draft {
	text := line
	if c.brace >= 0 || c.unopened {
		text += " {"
	}
	ts := lex(nil, text, 0, len(text))
	sigs := significant(append(ts, Token{start: int32(len(text))}))
	q := &parser{text: text, sigs: sigs, mending: true}
	d := cutStmt{to: int32(len(sigs) - 1), brace: -1, close: -1, parent: -1, in: c.in}
	if c.brace >= 0 || c.unopened {
		if d.to--; d.to < 0 || sigs[d.to].kind != OpenBrace {
			q.report(source.Span{}, "the brace has become part of a comment", "")
			return &draft{line: line, p: q, first: &q.findings[0]}
		}
		d.brace = d.to
	}
	if d.to == 0 && d.brace < 0 {
		return &draft{line: line, p: q} // a comment
	}
	if sigs[0].kind == NameTok {
		var ok bool
		d.kind, ok = schema.Lookup(text[sigs[0].start:sigs[0].end], c.in)
		d.misfit = d.kind != nil && !ok
	}
	q.read(&d)
	// What goes over several lines has to stay one statement.
	if strings.ContainsAny(line, "\n\r") {
		if stmts, _ := cut(text, sigs); len(stmts) != 1 && len(q.findings) == 0 {
			q.report(source.Span{}, "the statement falls apart", "")
		}
	}
	out := &draft{line: line, p: q, at: int(d.to)}
	if len(q.findings) > 0 {
		out.first = &q.findings[0]
		for i := range int(d.to) {
			if int(sigs[i].end) > out.first.Start {
				out.at = i
				break
			}
		}
	}
	return out
}

// chain changes a line until nothing is wrong with it, each time where the first finding
// stands, and reports whether that was possible.
func (p *parser) chain(c *cutStmt, d *draft, start int) bool {
	var first *repair
	f, note := &p.findings[0], d.note
	whole := d.line
	for range maxChanges {
		m, next := p.better(c, d)
		if m == nil {
			break
		}
		if first == nil {
			first = m
		}
		if d = next; d.first == nil {
			f.Fixes = insertion(p.titled(whole, d.line, first), source.Span{}, "")
			e := &f.Fixes[0].Edits[0]
			lo, hi, text := difference(whole, d.line)
			e.Place.Span, e.New = source.Span{Start: start + lo, End: start + hi}, text
			break
		}
		d.note = note
	}
	if note != nil && d.first != nil {
		return false // the remark is of more use than a change that does not help
	}
	if first == nil || first.habit == nil {
		return first != nil && d.first == nil
	}
	// Whoever wrote a idiom's words meant what they stand for, also where more is wrong.
	f.Span = source.Span{Start: start + first.start, End: start + first.end}
	f.Rule, f.Related = "syntax", nil
	shown := "`" + first.shown + "`"
	f.Message = shown + " has no meaning here"
	switch {
	case first.habit.says != "":
		f.Message, f.Help = strings.ReplaceAll(first.habit.says, "$0", shown), ""
	case first.text == "":
		f.Help = "leave it out"
	default:
		f.Help = "write `" + strings.TrimSpace(first.text) + "`"
	}
	if why := first.habit.why; why != "" {
		if f.Help != "" {
			f.Help += ": "
		}
		f.Help += why
	}
	return true
}

// titled says what a fix does: write one word, or the line as it will be.
func (p *parser) titled(was, is string, m *repair) string {
	if was[:m.start]+m.text+was[m.end:] == is {
		if t := strings.TrimSpace(m.text); t != "" {
			return "write `" + t + "`"
		}
		return "take `" + m.shown + "` away"
	}
	lo, _, text := difference(was, is)
	return "write `" + shorten(strings.TrimSpace(is[lo:lo+len(text)])) + "`"
}

// difference is the stretch of one line, and the text that makes another line of it. It
// begins and ends between words.
func difference(was, is string) (lo, hi int, text string) {
	for lo < len(was) && lo < len(is) && was[lo] == is[lo] {
		lo++
	}
	hi = len(was)
	end := len(is)
	for hi > lo && end > lo && was[hi-1] == is[end-1] {
		hi, end = hi-1, end-1
	}
	word := func(s string, i int) bool {
		return i > 0 && i < len(s) && classes[s[i-1]] != classSpace && classes[s[i]] != classSpace && !strings.ContainsRune(",:()", rune(s[i-1])) && !strings.ContainsRune(",:()", rune(s[i]))
	}
	for lo > 0 && (word(was, lo) || word(is, lo)) {
		lo--
	}
	for hi < len(was) && (word(was, hi) || word(is, end)) {
		hi, end = hi+1, end+1
	}
	return lo, hi, is[lo:end]
}

// better finds a change that leaves nothing wrong, or else one behind which the first thing
// wrong stands further on.
func (p *parser) better(c *cutStmt, d *draft) (*repair, *draft) {
	var best *repair
	var further *draft
	rest := len(d.line) - min(d.first.Start, len(d.line))
	for _, m := range d.mendings() {
		next := p.draft(c, d.line[:m.start]+m.text+d.line[m.end:])
		if next.first == nil {
			return &m, next
		}
		left := len(next.line) - min(next.first.Start, len(next.line))
		if further == nil && !m.alone && (left < rest || next.p.mixed && m.habit != nil) {
			best, further = &m, next
		}
	}
	return best, further
}

// repairs are the changes to try, the likeliest first.
func (d *draft) mendings() []repair {
	var out []repair
	if d.first.Rule == "clause-twice" || d.first.Rule == "missing-clause" {
		return d.idiomatic() // every word was understood
	}
	// Where a number is wrong no word would help.
	number := (d.p.why.why == failNoUnit || d.p.why.why == failNumber) && d.p.kindAt(d.at) != Foreign
	if !number {
		out = append(out, d.whole()...)
		out = append(out, d.idiomatic()...)
	}
	for _, fix := range d.first.Fixes {
		if e := fix.Edits[0]; len(fix.Edits) == 1 && len(d.first.Fixes) == 1 {
			out = append(out, repair{start: e.Start, end: e.End, text: e.New, shown: d.line[e.Start:e.End]})
		}
	}
	if d.note != nil || number {
		return out
	}
	return append(out, d.grammatical()...)
}

func (d *draft) last() int {
	n := len(d.p.sigs) - 1
	if n > 0 && d.p.sigs[n-1].kind == OpenBrace {
		n--
	}
	return n
}

func (d *draft) text(i int) string {
	if i < 0 || i >= d.last() {
		return ""
	}
	return d.line[d.p.sigs[i].start:d.p.sigs[i].end]
}

// tokens is the change of some tokens; with none it is put before the token at from.
func (d *draft) tokens(from, to int, text string) repair {
	m := repair{start: len(d.line), end: len(d.line), text: text}
	if from < d.last() {
		m.start = int(d.p.sigs[from].start)
	}
	m.end = m.start
	if to > from {
		m.end = int(d.p.sigs[to-1].end)
	}
	m.shown = d.line[m.start:m.end]
	switch {
	case from == to && m.start == len(d.line):
		m.text = " " + text
	case from == to:
		m.text = text + " "
	case text == "" && m.end < len(d.line) && d.line[m.end] == ' ' && m.start > 0 && d.line[m.start-1] == ' ':
		m.end++ // with the space behind it
	case text == "" && m.end < len(d.line) && d.line[m.end] != ' ':
	case text == "" || text == ",":
		m.start -= len(d.line[:m.start]) - len(strings.TrimRight(d.line[:m.start], " "))
	default:
		if prev := m.start - 1; prev >= 0 && classes[d.line[prev]] > classSpace && classes[text[0]] > classSpace {
			m.text = " " + m.text
		}
		if m.end < len(d.line) && classes[d.line[m.end]] > classSpace && classes[text[len(text)-1]] > classSpace {
			m.text += " "
		}
	}
	return m
}

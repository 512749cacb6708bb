package syntax

import (
	"slices"
	"strings"
	"unicode"

	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/spelling"
)

// What follows looks for what was meant by a statement that was not understood: the text is
// changed as people's habits suggest (see habits.go), a word at a time, and read again. Only a
// text that reads without a finding is offered as a fix, so none is a mere guess at grammar.
// All of it happens after a finding; what is right is not slowed down.

// Bounds that keep the cost of one wrong line small.
const (
	maxMended  = 1 << 11 // bytes of a line
	maxChanges = 8       // changes in a row
)

// change is a stretch of a line with what might have been meant.
type mending struct {
	start, end int // bytes of the line
	text       string
	habit      *habit // nil: from the grammar alone
	alone      bool   // taken only if nothing is wrong then
	shown      string // what was written there
}

// draft is a line that was tried.
type draft struct {
	line  string
	p     *parser
	first *diag.Finding // nil: nothing is wrong
	note  *habit        // what is known of it without a change that would help
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
	var noted mending
	d.note, noted = d.hint()
	if d.note == nil && !p.habitOfKind(c, d) && p.clears(c, d.line, start) {
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

// habitOfKind tells whether a habit that belongs to this kind of statement is all that is
// wrong: then it is more than the comma that seems to be missing.
func (p *parser) habitOfKind(c *cutStmt, d *draft) bool {
	return slices.ContainsFunc(d.habitual(), func(m mending) bool {
		return len(m.habit.in) > 0 && p.draft(c, d.line[:m.start]+m.text+d.line[m.end:]).first == nil
	})
}

// clears tells whether a fix that the finding has already leaves nothing to say.
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
// stands, and tells whether that was possible.
func (p *parser) chain(c *cutStmt, d *draft, start int) bool {
	var first *mending
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
	// Whoever wrote a habit's words meant what they stand for, also where more is wrong.
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
func (p *parser) titled(was, is string, m *mending) string {
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
func (p *parser) better(c *cutStmt, d *draft) (*mending, *draft) {
	var best *mending
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

// mendings are the changes to try, the likeliest first.
func (d *draft) mendings() []mending {
	var out []mending
	if d.first.Rule == "clause-twice" || d.first.Rule == "missing-clause" {
		return d.habitual() // every word was understood
	}
	// Where a number is wrong no word would help.
	number := (d.p.why.why == failNoUnit || d.p.why.why == failNumber) && d.p.kindAt(d.at) != Foreign
	if !number {
		out = append(out, d.whole()...)
		out = append(out, d.habitual()...)
	}
	for _, fix := range d.first.Fixes {
		if e := fix.Edits[0]; len(fix.Edits) == 1 && len(d.first.Fixes) == 1 {
			out = append(out, mending{start: e.Start, end: e.End, text: e.New, shown: d.line[e.Start:e.End]})
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
func (d *draft) tokens(from, to int, text string) mending {
	m := mending{start: len(d.line), end: len(d.line), text: text}
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

// habitual changes what the table of habits knows, near where the text was not understood.
func (d *draft) habitual() []mending {
	var out []mending
	kind := d.p.kind
	for i := range habits {
		h := &habits[i]
		if h.to == note || d.first.Rule != "syntax" && d.first.Rule != "unit-mismatch" && !h.twice || len(h.in) > 0 && (kind == nil || !slices.Contains(h.in, kind.ID)) {
			continue
		}
		for from := max(d.at-len(h.words)-1, 0); from <= d.at+1; from++ {
			if text, ok := d.fits(h, from); ok {
				m := d.tokens(from, from+len(h.words), text)
				m.habit = h
				out = append(out, m)
			}
		}
	}
	return out
}

// fits tells whether the words of a habit stand at a token, and what is written instead.
// A, B and C stand for one name or number each, N for a number.
func (d *draft) fits(h *habit, from int) (string, bool) {
	if from+len(h.words) > d.last() {
		return "", false
	}
	text := h.to
	for n, w := range h.words {
		t := d.text(from + n)
		if len(w) == 1 && strings.Contains("ABCN", w) {
			switch d.p.sigs[from+n].kind {
			case NameTok, PathTok:
				if w == "N" {
					return "", false
				}
			case Number, Mixed:
			default:
				return "", false
			}
			if joints[t] {
				return "", false
			}
			text = strings.ReplaceAll(text, "$"+w, t)
			continue
		}
		if !strings.EqualFold(w, t) {
			return "", false
		}
		// Of several signs in a row none stands apart.
		if n > 0 && !isLetters(w) && !isLetters(h.words[n-1]) && d.p.sigs[from+n].start != d.p.sigs[from+n-1].end {
			return "", false
		}
	}
	return text, true
}

func isLetters(w string) bool { return w != "" && unicode.IsLetter(rune(w[0])) }

// hint is a habit of which nothing can be made but a remark.
func (d *draft) hint() (*habit, mending) {
	if d.first.Rule != "syntax" && d.first.Rule != "unit-mismatch" {
		return nil, mending{}
	}
	for i := range habits {
		h := &habits[i]
		if h.to != note || len(h.in) > 0 && (d.p.kind == nil || !slices.Contains(h.in, d.p.kind.ID)) {
			continue
		}
		for from := max(d.at-len(h.words), 0); from <= d.at; from++ {
			if _, ok := d.fits(h, from); ok {
				return h, d.tokens(from, from+len(h.words), h.words[0])
			}
		}
	}
	return nil, mending{}
}

// grammatical changes the line by what the grammar expected where it was not understood.
func (d *draft) grammatical() []mending {
	var out []mending
	p, at := d.p, d.at
	add := func(m mending) { out = append(out, m) }
	// A word in capitals.
	for i := max(at-1, 0); i <= at; i++ {
		if w := d.text(i); strings.ToLower(w) != w {
			m := d.tokens(i, i+1, strings.ToLower(w))
			m.habit = small
			add(m)
		}
	}
	if at > 0 && at < d.last() && p.sigs[at].kind == NameTok && (p.sigs[at-1].kind == NameTok || p.sigs[at-1].kind == PathTok) {
		m := d.tokens(at, at, "is")
		m.habit = &habit{says: "`is` is missing before `" + d.text(at) + "`"}
		add(m)
	}
	if f := &p.why; f.why == failWord && p.kind != nil {
		if d.text(at) != "" && spelling.Distance(d.text(at), f.word) <= 1+len(f.word)/4 {
			add(d.tokens(at, at+1, f.word))
		}
		if p.kindAt(at) == Comma || p.kindAt(at) == Foreign || fillers[d.text(at)] {
			add(d.tokens(at, at+1, f.word).only())
		}
		if m := d.tokens(at, at, f.word); p.kind.ID != schema.Require {
			// Behind nothing but words of the clause there is no doubt about it.
			m.alone = at-d.clauseStart() != f.words
			add(m)
		}
	}
	// 6-way
	if t := d.text(at); at < d.last() && p.sigs[at].kind == Mixed {
		if number, word, ok := strings.Cut(t, "-"); ok && isWhole(number) && isLetters(word) {
			add(d.tokens(at, at+1, number+" "+word))
		}
	}
	if p.kind != nil && (p.kind.Head == schema.HeadNames || p.kind.Head == schema.HeadPins) && at > 0 && at < d.last() && p.sigs[at-1].kind != Comma {
		m := d.tokens(at, at, ",")
		m.start, m.text = int(p.sigs[at-1].end), ","
		m.end = m.start
		add(m)
	}
	for i := max(at-1, 0); i <= at && at < d.last(); i++ {
		if fillers[strings.ToLower(d.text(i))] {
			add(d.tokens(i, i+1, "").only())
		}
	}
	return append(out, d.beginnings()...)
}

// clauseStart is the first token of the clause that was not understood.
func (d *draft) clauseStart() int {
	start := min(d.at, d.last())
	for start > 0 && d.p.sigs[start-1].kind != Comma && d.p.sigs[start-1].kind != Colon {
		start--
	}
	return start
}

// beginnings change how the clause begins to what one of the kind begins with.
func (d *draft) beginnings() []mending {
	p := d.p
	if p.kind == nil {
		return nil
	}
	start := d.clauseStart()
	if start == 0 {
		return nil
	}
	for i := start; i < d.at; i++ {
		if p.sigs[i].kind != NameTok || i-start > 3 {
			return nil // it is not about the beginning
		}
	}
	var words []string
	for i := start; i < d.last() && p.sigs[i].kind == NameTok; i++ {
		words = append(words, d.text(i))
	}
	var out []mending
	if f := p.kind.Suggest(words); f != nil {
		literal := strings.Fields(f.Literal())
		for n := min(len(words), 4); n > 0; n-- {
			if n == len(words) || !slices.Contains(literal, words[n]) {
				out = append(out, d.tokens(start, start+n, f.Literal()).only())
			}
		}
	}
	var before []mending
	for _, f := range p.kind.Forms {
		if l := f.Literal(); l != "" && p.kind.ID != schema.Require && p.kind.ID != schema.Assume {
			first, _, _ := strings.Cut(l, " ")
			before = append(before, d.tokens(start, start, l).only())
			if first != l {
				before = append(before, d.tokens(start, start, first).only())
			}
		}
	}
	if len(before) > 4 {
		return out // too many to choose from
	}
	return append(out, before...)
}

// only lets a change be taken only if nothing is wrong with the line then.
func (m mending) only() mending {
	m.alone = true
	return m
}

// small is the habit of writing words of the language in capitals.
var small = &habit{why: "words of the language are written small"}

// joints are words that stand between names and are hardly ever one.
var joints = map[string]bool{"at": true, "to": true, "of": true, "is": true, "from": true, "with": true, "through": true, "and": true, "or": true}

// fillers are words that people put between others and that say nothing more.
var fillers = map[string]bool{
	"a": true, "an": true, "the": true, "then": true, "to": true, "for": true, "of": true, "be": true, "by": true, "at": true,
	"with": true, "from": true, "that": true, "when": true, "is": true, "are": true, "on": true, "has": true, "please": true,
}

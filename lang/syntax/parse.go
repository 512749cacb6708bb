package syntax

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/source"
)

// maxRepaired bounds the broken statements of a file for which a repair is looked for, the first
// ones of the text: each costs as much as some hundred that are right. Who mends these sees the
// repairs of the next ones; a text with many is hardly a design.
const maxRepaired = 20

// maxFindings bounds what is said about one file; nobody reads more.
const maxFindings = 1000

// MaxBytes is the size of a text from which on it is not read but reported.
const MaxBytes = 64 << 20

// Parse reads a text. prev may be nil, or what an earlier version of the same text
// was parsed to; statements that did not change are then taken over from it. The
// result is the same either way. Any number of texts may be parsed at the same time.
func Parse(src *source.File, prev *File) *File { return parse(src, prev, false) }

// parse is Parse; grammarOnly leaves plain heads to the grammar too.
func parse(src *source.File, prev *File, grammarOnly bool) *File {
	f := &File{Src: src}
	if finding, ok := unreadable(src); ok {
		f.Tokens = Tokens{{Kind: Foreign}, {start: int32(min(len(src.Text), MaxBytes))}}
		f.Findings = []diag.Finding{finding}
		return f
	}
	var c change
	if prev != nil && prev.readable() {
		c = compare(prev, src.Text)
		f.Tokens = relex(prev, src.Text, c)
	} else {
		prev = nil
		f.Tokens = lex(make(Tokens, 0, len(src.Text)/3+8), src.Text, 0, len(src.Text))
		f.Tokens = append(f.Tokens, Token{start: int32(len(src.Text))})
	}
	sigs := significant(f.Tokens)
	cuts, troubles := cut(src.Text, sigs)
	b := builder{file: f, sigs: sigs, cuts: cuts, prev: prev, change: c,
		p: parser{text: src.Text, sigs: sigs, grammarOnly: grammarOnly}}
	b.build()
	b.troubles(troubles)
	f.unitless()
	diag.Sort(f.Findings)
	return f
}

// readable reports whether the text was read, and all that is to be said about it said.
func (f *File) readable() bool {
	return f.order != nil && !f.capped
}

// unreadable finds what is no text, or too much of it.
func unreadable(src *source.File) (diag.Finding, bool) {
	f := diag.Finding{Rule: "syntax", Severity: diag.Error, Place: diag.Place{File: src}}
	switch i := strings.IndexByte(src.Text, 0); {
	case len(src.Text) > MaxBytes:
		f.Message = "this file is larger than 64 MB and was not read"
		f.Help = "divide it into several files and bring them in with `use`"
	case i >= 0:
		f.Message = "this is not a text: it holds a NUL byte"
		f.Help = "save the file as UTF-8; UTF-16 is not read"
		f.Span = source.Span{Start: i, End: i + 1}
	default:
		return f, false
	}
	return f, true
}

// Refused is the tree of a text that is not read, for a reason that is its one finding.
func Refused(src *source.File, message, help string) *File {
	return &File{
		Src: src, Tokens: Tokens{{Kind: Foreign}, {start: int32(min(len(src.Text), MaxBytes))}},
		Findings: []diag.Finding{{Rule: "syntax", Severity: diag.Error, Place: diag.Place{File: src}, Message: message, Help: help}},
	}
}

// builder makes the statements of a file from what the cutter found.
type builder struct {
	file   *File
	sigs   []sig
	cuts   []cutStmt
	prev   *File
	change change
	old    int // the next statement of prev that may be taken over
	meant  int // the broken statements for which a repair was looked for
	p      parser
}

func (b *builder) build() {
	f := b.file
	n := len(b.cuts)
	stmts := make([]Stmt, n)
	pointers := make([]*Stmt, 2*n)
	f.order = pointers[:n:n]
	children := pointers[n:]
	counts := make([]int32, n+1) // of each statement's body; last: of the file
	for i := range b.cuts {
		counts[b.parentSlot(i)]++
	}
	take := func(count int32) []*Stmt {
		out := children[:0:count]
		children = children[count:]
		return out
	}
	f.Stmts = take(counts[n])
	for i := range b.cuts {
		c, s := &b.cuts[i], &stmts[i]
		f.order[i] = s
		b.fill(s, c)
		if counts[i] > 0 {
			s.Body = take(counts[i])
		}
		if c.parent < 0 {
			f.Stmts = append(f.Stmts, s)
		} else {
			s.Parent = &stmts[c.parent]
			s.Parent.Body = append(s.Parent.Body, s)
		}
		b.read(s, c)
	}
	b.stretch()
}

func (b *builder) parentSlot(i int) int {
	if p := b.cuts[i].parent; p >= 0 {
		return int(p)
	}
	return len(b.cuts)
}

// fill sets what is known of a statement without reading it.
func (b *builder) fill(s *Stmt, c *cutStmt) {
	s.file, s.Kind, s.In = b.file, c.kind, c.in
	s.base = int(b.sigs[c.from].start)
	s.Line = source.Span{Start: s.base, End: s.base}
	if c.to > c.from {
		s.Line.End = int(b.sigs[c.to-1].end)
	}
	s.Span = s.Line
	if c.brace < 0 && !c.unopened {
		return
	}
	s.HasBody = true
	if c.brace >= 0 {
		s.Line.End = int(b.sigs[c.brace].end)
	}
	s.BodySpan = source.Span{Start: s.Line.End, End: s.Line.End}
	s.Span.End = s.Line.End
	if c.close >= 0 {
		s.BodySpan.End = int(b.sigs[c.close].start)
		s.Span.End = int(b.sigs[c.close].end)
	}
}

// stretch lets a body that is never closed end with the last statement in it.
func (b *builder) stretch() {
	for i := len(b.cuts) - 1; i >= 0; i-- {
		s := b.file.order[i]
		if n := len(s.Body); n > 0 && b.cuts[i].close < 0 {
			s.BodySpan.End = s.Body[n-1].Span.End
			s.Span.End = s.BodySpan.End
		}
	}
}

// read takes the tree of a statement over from the previous parse, or reads it.
func (b *builder) read(s *Stmt, c *cutStmt) {
	full := len(b.file.Findings) >= maxFindings
	few := b.meant < maxRepaired
	if old := b.same(s); old != nil && (len(old.from.findings) == 0 || old.from.sought == few) {
		s.from = old.from
		if t := old.here.Load(); t != nil {
			s.from = t
		}
	} else {
		if b.prev != nil {
			// The tree will outlive this text by many edits: it gets its own copy.
			b.p.off = s.base
			b.p.text = strings.Clone(b.file.Src.Text[s.base:s.Line.End])
		}
		b.p.mending = full || !few // what nobody is told need not be understood
		s.from = b.p.read(c)
		b.file.Reparsed++
		if full && len(s.from.findings) > 0 {
			b.file.capped = true // so the tree is not taken over without its findings
			s.from.findings = nil
		}
	}
	if s.from.sought {
		b.meant++
	}
	if s.from.base == s.base {
		s.here.Store(s.from)
	}
	s.Broken = s.from.broken
	switch {
	case len(s.from.findings) == 0:
	case full:
		b.file.capped = true
	default:
		b.file.Findings = append(b.file.Findings, s.from.findingsAt(s.base, b.file.Src)...)
	}
}

// same finds the statement of the previous parse that has the same text in the same
// surroundings, or nil. Statements are asked for in the order of the text.
func (b *builder) same(s *Stmt) *Stmt {
	if b.prev == nil {
		return nil
	}
	at := s.base
	switch {
	case s.Line.End <= b.change.prefix:
	case s.base >= b.change.newEnd:
		at -= b.change.delta
	default:
		return nil
	}
	order := b.prev.order
	for b.old < len(order) && order[b.old].base < at {
		b.old++
	}
	if b.old == len(order) {
		return nil
	}
	old := order[b.old]
	if old.base != at || old.Line.Len() != s.Line.Len() || old.In != s.In || old.Kind != s.Kind || old.HasBody != s.HasBody {
		return nil
	}
	return old
}

// troubles reports what is wrong with braces.
func (b *builder) troubles(ts []trouble) {
	for _, t := range ts {
		if len(b.file.Findings) >= maxFindings {
			b.file.capped = true
			break
		}
		f := diag.Finding{Rule: "syntax", Severity: diag.Error}
		g := b.sigs[t.at]
		f.Place = diag.Place{File: b.file.Src, Span: source.Span{Start: int(g.start), End: int(g.end)}}
		switch t.what {
		case neverClosed:
			if ts[0].what == tooDeep {
				continue // what is nested like that is no design; one finding will do
			}
			f.Message = "this `{` is never closed"
			f.Help = "write `}` in a line of its own behind the body"
			if s := b.file.order[t.stmt]; s.Kind != nil {
				f.Message = "the `{` of " + title(s) + " is never closed"
			}
		case neverOpened:
			f.Start = f.End
			f.Message = "the `{` of " + title(b.file.order[t.stmt]) + " is missing"
			f.Help = "write ` {` here"
			f.Fixes = insertion("write the brace", f.Span, " {")
			f.Fixes[0].Edits[0].File = b.file.Src
		case strayClose:
			f.Message = "this `}` closes nothing"
			f.Help = "take it away, or write the `{` that it closes"
		case tooMany:
			f.Message = "this file has more than a million statements; what follows was not read"
			f.Help = "divide it into several files and bring them in with `use`"
		case tooDeep:
			f.Message = "bodies are nested more than 64 deep; what stands in this one was not read"
			f.Help = "make parts of what is nested, and fit them"
		}
		b.file.Findings = append(b.file.Findings, f)
	}
}

// title is a statement's kind and name: "`fit relay`".
func title(s *Stmt) string {
	t := s.Kind.Name
	if w := s.Name(); w.Text != "" {
		t += " " + shorten(w.Text)
	}
	return "`" + t + "`"
}

// Doc is the text of the `##` lines right above the statement, without the signs.
func (s *Stmt) Doc() string {
	ts, text := s.file.Tokens, s.file.Src.Text
	var lines []string
	i := ts.At(s.base) - 1
	for i >= 0 && ts[i].Kind == Space {
		i--
	}
	for i >= 1 && ts[i].Kind == Newline && ts[i-1].Kind == Comment {
		line := text[ts[i-1].start:ts[i].start]
		rest, ok := strings.CutPrefix(line, "##")
		if !ok {
			break
		}
		i -= 2
		for i >= 0 && ts[i].Kind == Space {
			i--
		}
		if i >= 0 && ts[i].Kind != Newline {
			break // a comment behind another statement
		}
		lines = append(lines, strings.TrimPrefix(strings.TrimRight(rest, " \t\v\f"), " "))
	}
	for l, r := 0, len(lines)-1; l < r; l, r = l+1, r-1 {
		lines[l], lines[r] = lines[r], lines[l]
	}
	return strings.Join(lines, "\n")
}

// At returns the innermost statement whose span holds the offset, or nil.
func (f *File) At(off int) *Stmt {
	var found *Stmt
	list := f.Stmts
	for {
		var inner *Stmt
		for _, s := range list {
			if s.Span.Contains(off) {
				inner = s
			}
		}
		if inner == nil {
			return found
		}
		found, list = inner, inner.Body
	}
}

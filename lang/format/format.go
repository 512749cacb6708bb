// Package format writes designs in their canonical layout: four spaces a level, one
// statement a line, one spelling for each unit, at most one empty line. Line endings are
// those that most lines have, and a byte-order mark stays.
//
// It changes nothing that has a meaning. A statement that the parser did not understand
// is left as it was written, byte for byte; only the indentation of its lines moves along
// with what is around it. A file whose braces don't match up is left alone as a whole,
// since nobody knows what belongs inside what.
package format

import (
	"slices"
	"strings"
	"unicode/utf8"

	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

const (
	indentWidth = 4
	maxWidth    = 100 // code points; longer statements are broken after commas
)

// Format returns the canonical text of a file and what the parser had to say about it.
// Formatting the result again changes nothing.
func Format(file *syntax.File) (string, []diag.Finding) {
	if !sound(file) {
		return file.Src.Text, file.Findings
	}
	p := newPrinter(file)
	p.out.Grow(len(p.text) + len(p.text)/8)
	p.stmts(file.Stmts, 0)
	p.gap(p.ts.Len(), 0)
	if p.out.Len() > 0 && !p.fresh {
		p.out.WriteByte('\n')
	}
	out := withEndings(p.out.String(), endings(file.Src.Text))
	if strings.HasPrefix(file.Src.Text, mark) {
		out = mark + strings.TrimPrefix(out, mark)
	}
	return out, file.Findings
}

// Range returns edits that bring the statements which a span touches, each as a whole
// with its body, into their canonical layout; none where nothing is to be done.
func Range(file *syntax.File, span source.Span) []diag.Edit {
	if !sound(file) {
		return nil
	}
	list, depth := file.Stmts, 0
	for {
		i := slices.IndexFunc(list, func(s *syntax.Stmt) bool {
			return s.BodySpan.Start <= span.Start && span.End <= s.BodySpan.End && s.HasBody && len(s.Body) > 0
		})
		if i < 0 {
			break
		}
		list, depth = list[i].Body, depth+1
	}
	var edits []diag.Edit
	for _, s := range list {
		if s.Span.End < span.Start || s.Span.Start > span.End {
			continue
		}
		if e, ok := one(file, s, depth); ok {
			edits = append(edits, e)
		}
	}
	return edits
}

// one is the edit for a single statement, from the beginning of its line if nothing
// else stands before it there.
func one(file *syntax.File, s *syntax.Stmt, depth int) (diag.Edit, bool) {
	text := file.Src.Text
	start := file.Src.LineStart(file.Src.LineOf(s.Span.Start))
	lead := strings.Repeat(" ", depth*indentWidth)
	if strings.TrimLeft(text[start:s.Span.Start], " \t") != "" {
		start, lead = s.Span.Start, ""
	}
	p := newPrinter(file)
	p.at, p.fresh = max(file.Tokens.At(s.Span.Start), 0), true
	p.stmt(s, depth)
	replaced := withEndings(lead+strings.TrimLeft(p.out.String(), " "), endings(text))
	if replaced == text[start:s.Span.End] {
		return diag.Edit{}, false
	}
	return diag.Edit{Place: diag.Place{File: file.Src, Span: source.Span{Start: start, End: s.Span.End}}, New: replaced}, true
}

// sound reports whether the braces match up: each body is closed, nothing lies between
// statements but space and comments.
func sound(file *syntax.File) bool {
	if len(file.All()) == 0 {
		for i := range file.Tokens.Len() {
			if file.Tokens[i].Kind > syntax.Comment {
				return false
			}
		}
		return true
	}
	depth := 0
	for i := range file.Tokens.Len() {
		switch file.Tokens[i].Kind {
		case syntax.OpenBrace:
			depth++
		case syntax.CloseBrace:
			if depth--; depth < 0 {
				return false
			}
		}
		if depth > 64 {
			return false
		}
	}
	return depth == 0
}

// printer writes statements in order and the comments between them.
type printer struct {
	file *syntax.File
	text string
	ts   syntax.Tokens
	out  strings.Builder

	at       int  // the next token that was not dealt with
	newlines int  // line breaks passed since the last thing that was written
	opened   bool // the last thing written was the beginning of a body
	fresh    bool // nothing was written into the current line

	// Of the line at hand; kept for the next one.
	rewriting rewriting
	items     []item
}

func newPrinter(file *syntax.File) *printer {
	return &printer{file: file, text: file.Src.Text, ts: file.Tokens,
		rewriting: rewriting{text: map[int]string{}, calls: map[int]bool{}}}
}

func (p *printer) stmts(list []*syntax.Stmt, depth int) {
	for _, s := range list {
		p.gap(max(p.ts.At(s.Span.Start), 0), depth)
		p.stmt(s, depth)
	}
}

// gap writes the comments up to a token and counts line breaks.
func (p *printer) gap(until, depth int) {
	for ; p.at < until; p.at++ {
		switch p.ts[p.at].Kind {
		case syntax.Newline:
			p.newlines++
		case syntax.Comment:
			p.comment(depth)
		}
	}
}

func (p *printer) tokenText(i int) string {
	s := p.ts.Span(i)
	return p.text[s.Start:s.End]
}

// comment writes a comment in a line of its own, or behind what it stands behind.
func (p *printer) comment(depth int) {
	c := strings.TrimRight(p.tokenText(p.at), " \t\v\f")
	if p.newlines == 0 && p.out.Len() > 0 && !p.fresh {
		p.out.WriteString("  " + c)
		return
	}
	p.line(depth)
	p.out.WriteString(c)
	p.wrote()
}

// line begins a new line, after an empty one if there was one and it is wanted.
func (p *printer) line(depth int) {
	if p.out.Len() > 0 && !p.fresh {
		p.out.WriteByte('\n')
		if p.newlines > 1 && !p.opened {
			p.out.WriteByte('\n')
		}
	}
	for range depth * indentWidth {
		p.out.WriteByte(' ')
	}
}

func (p *printer) wrote() { p.newlines, p.opened, p.fresh = 0, false, false }

// stmt writes a statement and its body.
func (p *printer) stmt(s *syntax.Stmt, depth int) {
	p.line(depth)
	var late []comment // comments between the line and its brace
	if s.Broken {
		p.asWritten(s, depth)
		p.skipTo(s.Line.End)
	} else {
		late = p.canonical(s, depth)
	}
	p.wrote()
	if !s.HasBody {
		return
	}
	p.opened = true
	for i, c := range late {
		if i == 0 && !c.own {
			p.out.WriteString("  " + c.text)
			continue
		}
		p.line(depth + 1)
		p.out.WriteString(c.text)
	}
	p.stmts(s.Body, depth+1)
	end := max(p.ts.At(s.BodySpan.End), 0)
	p.gap(end, depth+1)
	p.newlines = 0 // no empty line before a closing brace
	p.line(depth)
	p.out.WriteByte('}')
	p.wrote()
	p.at = end + 1
}

// asWritten writes the line of a statement that was not understood. Where it goes on over
// several lines they move with the first: what the parser makes of a line that was left
// half typed depends on which of the next are indented deeper.
func (p *printer) asWritten(s *syntax.Stmt, depth int) {
	text := p.text[s.Line.Start:s.Line.End]
	if !strings.ContainsAny(text, "\r\n") {
		p.out.WriteString(text)
		return
	}
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	by := depth*indentWidth - p.indentOf(s.Line.Start)
	for i, line := range strings.Split(text, "\n") {
		if i > 0 {
			p.out.WriteByte('\n')
			rest := strings.TrimLeft(line, " \t")
			if rest == "" {
				continue
			}
			for range max(columns(line[:len(line)-len(rest)])+by, 0) {
				p.out.WriteByte(' ')
			}
			line = rest
		}
		p.out.WriteString(line)
	}
}

// indentOf is the indentation of the line in which an offset lies.
func (p *printer) indentOf(off int) int {
	start := off
	for start > 0 && p.text[start-1] != '\n' && p.text[start-1] != '\r' {
		start--
	}
	line := p.text[start:off]
	return columns(line[:len(line)-len(strings.TrimLeft(line, " \t"))])
}

// columns is the width of blanks, a tab reaching to the next multiple of four.
func columns(blanks string) int {
	n := 0
	for _, r := range blanks {
		if r == '\t' {
			n += indentWidth - n%indentWidth
		} else {
			n++
		}
	}
	return n
}

// skipTo passes over the tokens before an offset.
func (p *printer) skipTo(off int) {
	for p.at < p.ts.Len() && p.ts.Span(p.at).Start < off {
		p.at++
	}
}

func width(s string) int { return utf8.RuneCountInString(s) }

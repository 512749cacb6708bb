package layout

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/format"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// Formatting returns the edits that bring a text into its canonical layout, line by line,
// so that cursors and marks in lines that are in order stay where they are.
func Formatting(f *syntax.File) []diag.Edit {
	text, _ := format.Format(f)
	if text == f.Src.Text {
		return nil
	}
	return lineEdits(f.Src, text)
}

// FormatRange returns the edits that lay out the statements that a span touches.
func FormatRange(f *syntax.File, span source.Span) []diag.Edit {
	span = trimmed(f.Src, span)
	var out []diag.Edit
	for _, e := range format.Range(f, span) {
		// The whole statement is one edit; what is in order in it is left alone.
		out = append(out, LineEditsIn(f.Src, e.Span, e.New)...)
	}
	return out
}

// trimmed takes the empty ends off a span: who marks whole lines does not mean the line
// that the mark ends before.
func trimmed(src *source.File, s source.Span) source.Span {
	text := src.Text[s.Start:s.End]
	s.End -= len(text) - len(strings.TrimRight(text, " \t\r\n"))
	if s.Start > s.End {
		s.End = s.Start
	}
	text = src.Text[s.Start:s.End]
	s.Start += len(text) - len(strings.TrimLeft(text, " \t\r\n"))
	return s
}

// FormatTyped returns the edits for what was just typed, the cursor being behind it.
// Behind a closing brace the statement that it closes is laid out. On a new line the
// statement above is, if nothing of it is missing, and the line gets its indentation.
func FormatTyped(f *syntax.File, off int, typed string) []diag.Edit {
	off = min(max(off, 0), len(f.Src.Text))
	switch typed {
	case "}":
		if s := closedAt(f, off); s != nil {
			return FormatRange(f, s.Span)
		}
	case "\n":
		line := f.Src.LineOf(off)
		var out []diag.Edit
		if above := endedAbove(f, line); above != nil {
			for _, e := range FormatRange(f, above.Span) {
				if e.End < f.Src.LineStart(line) {
					out = append(out, e)
				}
			}
		}
		return append(out, indented(f, off)...)
	}
	return nil
}

// closedAt is the statement whose closing brace stands right before an offset.
func closedAt(f *syntax.File, off int) *syntax.Stmt {
	for s := f.At(max(off-1, 0)); s != nil; s = s.Parent {
		if s.HasBody && s.Span.End == off && s.BodySpan.End < s.Span.End {
			return s
		}
	}
	return nil
}

// endedAbove is the statement without a body that ends on the last line with text above a
// line, nil where it was not understood or goes on.
func endedAbove(f *syntax.File, line int) *syntax.Stmt {
	end := f.Src.LineStart(line)
	text := strings.TrimRight(f.Src.Text[:end], " \t\r\n")
	if text == "" || f.Src.LineOf(len(text)-1) != line-1 {
		return nil
	}
	var last *syntax.Stmt
	for s := f.At(len(text) - 1); s != nil; s = s.Parent {
		if !s.HasBody && s.Line.Start < len(text) && s.Line.End >= len(strings.TrimRight(text, " \t")) {
			last = s
			break
		}
	}
	if last == nil || last.Broken || last.Span.End > end {
		return nil
	}
	return last
}

// indented gives the line that a cursor is in the indentation that belongs there, if
// there is nothing in it yet but blanks.
func indented(f *syntax.File, off int) []diag.Edit {
	src := f.Src
	start := src.LineStart(src.LineOf(off))
	line := src.Line(src.LineOf(off))
	rest := strings.TrimLeft(line, " \t")
	if rest != "" && !strings.HasPrefix(rest, "}") {
		return nil
	}
	depth := 0
	var open []int // depth of parentheses does not indent further
	toks := ide.Significant(f, 0, start)
	for i, t := range toks {
		switch t.Kind {
		case syntax.OpenBrace:
			depth++
		case syntax.CloseBrace:
			depth = max(depth-1, 0)
		case syntax.OpenParen:
			open = append(open, i)
		case syntax.CloseParen:
			open = open[:max(len(open)-1, 0)]
		}
	}
	if strings.HasPrefix(rest, "}") {
		depth = max(depth-1, 0)
	} else if n := len(toks); n > 0 && goesOn(toks[n-1], len(open) > 0 && open[len(open)-1] > lastBrace(toks)) {
		depth++
	}
	want := strings.Repeat("    ", depth)
	if have := line[:len(line)-len(rest)]; have != want {
		return []diag.Edit{ide.Replace(src, source.Span{Start: start, End: start + len(have)}, want)}
	}
	return nil
}

func lastBrace(toks []ide.Token) int {
	for i := len(toks) - 1; i >= 0; i-- {
		if k := toks[i].Kind; k == syntax.OpenBrace || k == syntax.CloseBrace {
			return i
		}
	}
	return -1
}

// goesOn reports whether a statement goes on in the next line.
func goesOn(last ide.Token, inParens bool) bool {
	switch last.Kind {
	case syntax.Comma, syntax.Colon:
		return true
	case syntax.NameTok:
		return inParens || last.Text == "and" || last.Text == "or"
	}
	return inParens
}

// FormatRanges returns the edits that lay out the statements that any of some spans
// touches, each once.
func FormatRanges(f *syntax.File, spans ...source.Span) []diag.Edit {
	var out []diag.Edit
	for _, s := range spans {
		for _, e := range FormatRange(f, s) {
			if ide.Apart(append(slices.Clone(out), e)) {
				out = append(out, e)
			}
		}
	}
	slices.SortFunc(out, func(a, b diag.Edit) int { return a.Compare(b.Place) })
	return out
}

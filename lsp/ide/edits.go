package ide

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Replace is an edit of one file.
func Replace(f *source.File, span source.Span, text string) diag.Edit {
	return diag.Edit{Place: diag.Place{File: f, Span: span}, New: text}
}

func Insert(f *source.File, off int, text string) diag.Edit {
	return Replace(f, source.Span{Start: off, End: off}, text)
}

// Reads reports whether a text is read with no more complaints after some edits than
// before them. Edits of other files are not looked at.
func Reads(f *syntax.File, edits []diag.Edit) bool {
	own := slices.DeleteFunc(slices.Clone(edits), func(e diag.Edit) bool { return e.File == nil || e.File.Name != f.Src.Name })
	after := syntax.Parse(source.NewFile(f.Src.Name, Apply(f.Src.Text, own)), f)
	return len(after.Findings) <= len(f.Findings)
}

// Apart reports whether no two of the edits touch the same text.
func Apart(edits []diag.Edit) bool {
	sorted := slices.Clone(edits)
	slices.SortStableFunc(sorted, func(a, b diag.Edit) int { return a.Compare(b.Place) })
	for i := 1; i < len(sorted); i++ {
		a, b := sorted[i-1], sorted[i]
		if a.File == b.File && (b.Start < a.End || a.Start == b.Start && a.End == b.End) {
			return false
		}
	}
	return true
}

// LineIndent is what a line begins with before its first word.
func LineIndent(src *source.File, off int) string {
	line := src.Line(src.LineOf(off))
	return line[:len(line)-len(strings.TrimLeft(line, " \t"))]
}

// WholeLines widens a span to the lines that it is on, line endings included, if nothing
// but blanks and a comment behind it share them; ok is false if something does.
func WholeLines(src *source.File, span source.Span) (source.Span, bool) {
	start := src.LineStart(src.LineOf(span.Start))
	last := src.LineOf(max(span.Start, span.End-1))
	end := len(src.Text)
	if last+1 < src.Lines() {
		end = src.LineStart(last + 1)
	}
	behind := strings.TrimSpace(src.Text[min(span.End, end):end])
	if strings.TrimSpace(src.Text[start:span.Start]) != "" || behind != "" && !strings.HasPrefix(behind, "#") {
		return span, false
	}
	return source.Span{Start: start, End: end}, true
}

// WithDocs is where the comments begin that stand right above a statement's line.
func WithDocs(src *source.File, off int) int {
	line := src.LineOf(off)
	for line > 0 && strings.HasPrefix(strings.TrimSpace(src.Line(line-1)), "#") {
		line--
	}
	return src.LineStart(line)
}

// Newline is the line ending of a text.
func Newline(src *source.File) string {
	if i := strings.IndexByte(src.Text, '\n'); i > 0 && src.Text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

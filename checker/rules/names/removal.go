package names

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// removal takes a definition out of the text: its statement, or, where that declares
// others too, its name.
func removal(d *name.Def) diag.Edit {
	names := d.Stmt.Head().Names
	if len(names) < 2 {
		return removalOf(d.Stmt)
	}
	span := d.NamePlace.Span
	for i, w := range names {
		switch {
		case w.Span != span:
		case i > 0: // with the comma before it
			span.Start = names[i-1].End
			return diag.Edit{Place: d.Stmt.Place(span)}
		default: // with the comma behind it
			span.End = names[1].Start
			return diag.Edit{Place: d.Stmt.Place(span)}
		}
	}
	return diag.Edit{Place: d.Stmt.Place(span)}
}

// removalOf takes a statement out, with the `##` lines above it and all of its lines
// where nothing else stands on them.
func removalOf(st *syntax.Stmt) diag.Edit {
	src := st.File().Src
	first, last := src.LineOf(st.Span.Start), src.LineOf(max(st.Span.Start, st.Span.End-1))
	start, end := src.LineStart(first), len(src.Text)
	if last+1 < src.Lines() {
		end = src.LineStart(last + 1)
	}
	before, after := src.Text[start:st.Span.Start], strings.TrimSpace(src.Text[st.Span.End:end])
	if strings.TrimSpace(before) != "" || after != "" && !strings.HasPrefix(after, "#") {
		return diag.Edit{Place: st.Place(st.Span)}
	}
	for first > 0 && strings.HasPrefix(strings.TrimSpace(src.Line(first-1)), "##") {
		first--
	}
	return diag.Edit{Place: st.Place(source.Span{Start: src.LineStart(first), End: end})}
}

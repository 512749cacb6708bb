package ide

import (
	"strings"

	"pintle/lang/name"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// StmtAt is the innermost statement in whose own line an offset is.
func StmtAt(f *syntax.File, off int) *syntax.Stmt {
	st := f.At(off)
	if st == nil || off > st.Line.End {
		return nil
	}
	return st
}

// ClauseAt is the clause that holds an offset, or nil.
func ClauseAt(st *syntax.Stmt, off int) *syntax.Clause {
	for _, c := range st.Clauses() {
		if c.Span.Contains(off) {
			return c
		}
	}
	return nil
}

// PathTo is the path at the cursor, up to the name that the cursor is in.
func PathTo(s *Spot) string {
	text := s.File.Src.Text[s.Part.Start:s.Part.End]
	return strings.Join(append(append([]string{}, s.Before...), text), ".")
}

// DefinitionAt is the index's answer; in a statement that could not be read in full, in
// which nothing was resolved, names are looked up by the text alone.
func DefinitionAt(x *name.Index, f *syntax.File, off int) (*name.Def, source.Span) {
	if d, span := x.DefinitionAt(f.Src, off); d != nil {
		return d, span
	}
	s := FindSpot(f, off)
	if s.Comment || s.Text != nil || s.Stmt == nil || !s.Stmt.Broken || s.Part.Len() == 0 {
		return nil, source.Span{}
	}
	d := FollowText(ScopeIn(x, f, s.Block), PathTo(s))
	if d == nil || d.Sort == name.Lost {
		return nil, source.Span{}
	}
	return d, s.Part
}

// TextOf is a clause as it is written, in one line.
func TextOf(st *syntax.Stmt, cl *syntax.Clause) string {
	return strings.Join(strings.Fields(SpanText(st.File(), cl.Span)), " ")
}

// SpanText is the text of a span, as far as the file has it.
func SpanText(f *syntax.File, s source.Span) string {
	n := len(f.Src.Text)
	return f.Src.Text[min(max(s.Start, 0), n):min(max(s.End, s.Start, 0), n)]
}

// Within reports whether a span lies in one of a list.
func Within(list []source.Span, s source.Span) bool {
	for _, l := range list {
		if l.Start <= s.Start && s.End <= l.End {
			return true
		}
	}
	return false
}

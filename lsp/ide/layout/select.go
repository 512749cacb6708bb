package layout

import (
	"cmp"
	"slices"

	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// Selections lists what can be selected around a byte offset, from the inside out; each
// holds the one before it. There is at least one, the whole text.
func Selections(f *syntax.File, off int) []source.Span {
	off = min(max(off, 0), len(f.Src.Text))
	all := []source.Span{{Start: 0, End: len(f.Src.Text)}}
	add := func(s source.Span) {
		if s.Len() > 0 && s.Contains(off) && s.End <= len(f.Src.Text) {
			all = append(all, s)
		}
	}
	s := ide.FindSpot(f, off)
	add(s.Part)
	add(s.Word)
	if s.Text != nil {
		add(s.Text.Span)
		add(source.Span{Start: s.Text.Start + 1, End: max(s.Text.Start+1, s.Text.End-1)})
	}
	if i := f.Tokens.At(off); i >= 0 && f.Tokens[i].Kind == syntax.Comment {
		add(f.Tokens.Span(i))
	}
	for st := f.At(off); st != nil; st = st.Parent {
		add(st.Span)
		if docs := ide.WithDocs(f.Src, st.Span.Start); f.Src.LineOf(docs) < f.Src.LineOf(st.Span.Start) {
			add(source.Span{Start: docs, End: st.Span.End})
		}
		if st.HasBody {
			add(st.BodySpan)
			add(source.Span{Start: st.BodySpan.Start - 1, End: min(st.BodySpan.End+1, st.Span.End)})
		}
		if !st.Line.Contains(off) {
			continue
		}
		add(st.Line)
		for _, c := range st.Clauses() {
			add(c.Span)
		}
		for n := range st.Nodes() {
			add(n.Extent())
		}
	}
	slices.SortFunc(all, func(a, b source.Span) int {
		return cmp.Or(cmp.Compare(a.Len(), b.Len()), cmp.Compare(a.Start, b.Start))
	})
	out := all[:1]
	for _, x := range all[1:] {
		// One that only overlaps the last is left out: selections are nested.
		if last := out[len(out)-1]; x != last && x.Start <= last.Start && last.End <= x.End {
			out = append(out, x)
		}
	}
	return out
}

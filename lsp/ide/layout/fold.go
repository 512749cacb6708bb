package layout

import (
	"cmp"
	"slices"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// FoldKind says what is folded away.
type FoldKind uint8

// The kinds of folds.
const (
	FoldBody     FoldKind = iota // between braces
	FoldLines                    // the further lines of a long statement
	FoldComments                 // neighbouring lines of comment
	FoldUses                     // neighbouring `use` lines
)

// Fold is a stretch that can be folded away, from the end of a line that stays to the
// end of the last one that goes.
type Fold struct {
	source.Span
	Kind FoldKind
}

// Folds lists what can be folded, by where it begins. Every fold is of two lines at
// least, and no two begin in one line.
func Folds(f *syntax.File) []Fold {
	var out []Fold
	src := f.Src
	for _, st := range f.All() {
		if st.HasBody {
			// The line of the closing brace stays.
			last := src.LineOf(st.BodySpan.End)
			if last > src.LineOf(st.BodySpan.Start) && strings.TrimSpace(src.Text[src.LineStart(last):st.BodySpan.End]) == "" {
				last--
			}
			out = append(out, Fold{source.Span{Start: st.BodySpan.Start, End: lineEnd(src, last)}, FoldBody})
			continue
		}
		first := src.LineOf(st.Line.Start)
		out = append(out, Fold{source.Span{Start: lineEnd(src, first), End: lineEnd(src, src.LineOf(max(st.Line.Start, st.Line.End-1)))}, FoldLines})
	}
	out = append(out, commentFolds(f)...)
	out = append(out, useFolds(f)...)
	out = slices.DeleteFunc(out, func(x Fold) bool { return src.LineOf(x.Start) >= src.LineOf(x.End) })
	slices.SortStableFunc(out, func(a, b Fold) int {
		return cmp.Or(cmp.Compare(src.LineOf(a.Start), src.LineOf(b.Start)), cmp.Compare(b.End, a.End))
	})
	return slices.CompactFunc(out, func(a, b Fold) bool { return src.LineOf(a.Start) == src.LineOf(b.Start) })
}

func lineEnd(src *source.File, line int) int { return src.LineStart(line) + len(src.Line(line)) }

// commentFolds finds lines with nothing but comment that follow each other.
func commentFolds(f *syntax.File) []Fold {
	var out []Fold
	first := -1
	for n := range f.Src.Lines() + 1 {
		is := n < f.Src.Lines() && strings.HasPrefix(strings.TrimLeft(f.Src.Line(n), " \t\ufeff"), "#")
		switch {
		case is && first < 0:
			first = n
		case !is && first >= 0:
			out = append(out, Fold{source.Span{Start: lineEnd(f.Src, first), End: lineEnd(f.Src, n-1)}, FoldComments})
			first = -1
		}
	}
	return out
}

// useFolds finds `use` statements with nothing but empty lines between.
func useFolds(f *syntax.File) []Fold {
	var out []Fold
	var first, last *syntax.Stmt
	end := func() {
		if first != nil {
			out = append(out, Fold{source.Span{Start: lineEnd(f.Src, f.Src.LineOf(first.Span.Start)), End: lineEnd(f.Src, f.Src.LineOf(last.Span.End))}, FoldUses})
		}
		first = nil
	}
	for _, st := range f.Stmts {
		if st.Kind == nil || st.Kind.ID != schema.Use {
			end()
			continue
		}
		if first != nil && strings.TrimSpace(f.Src.Text[last.Span.End:st.Span.Start]) != "" {
			end()
		}
		if first == nil {
			first = st
		}
		last = st
	}
	end()
	return out
}

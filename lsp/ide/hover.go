package ide

import (
	"context"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// Hover is what there is to tell about something in a text.
type Hover struct {
	Text Text
	Span source.Span // what it is about
}

// HoverAt tells about what stands at a byte offset; nil where there is nothing to tell.
func HoverAt(ctx context.Context, v *View, off int) (*Hover, error) {
	s := findSpot(v.Tree, off)
	if s.comment {
		return nil, nil
	}
	st := stmtAt(v.Tree, off)
	if st == nil {
		return nil, nil
	}
	if w := st.KindWord(); st.Kind != nil && w.Len() > 0 && w.Contains(off) {
		return &Hover{kindText(st.Kind), w.Span}, nil
	}
	if st.Kind != nil && st.Kind.ID == schema.Accept && len(st.Head().Names) > 0 && st.Head().Names[0].Contains(off) {
		if t := ruleText(v, st.Head().Names[0].Text); len(t) > 0 {
			return &Hover{t, st.Head().Names[0].Span}, nil
		}
		return nil, nil
	}
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	if d, span := definitionAt(x, v.Tree, off); d != nil {
		t, err := thingText(ctx, v, d, pathTo(s), subjectOf(st, off))
		if err != nil {
			return nil, err
		}
		return &Hover{t, span}, nil
	}
	if t, span := valueText(st, off); len(t) > 0 {
		return &Hover{t, span}, nil
	}
	if t, span := stateText(x, st, off); len(t) > 0 {
		return &Hover{t, span}, nil
	}
	if c := clauseAt(st, off); c != nil && c.Form != nil && s.text == nil {
		return &Hover{formText(c.Form), c.Span}, nil
	}
	return nil, nil
}

// stmtAt is the innermost statement in whose own line an offset is.
func stmtAt(f *syntax.File, off int) *syntax.Stmt {
	st := f.At(off)
	if st == nil || off > st.Line.End {
		return nil
	}
	return st
}

func clauseAt(st *syntax.Stmt, off int) *syntax.Clause {
	for _, c := range st.Clauses() {
		if c.Span.Contains(off) {
			return c
		}
	}
	return nil
}

// pathTo is the path at the cursor, up to the name that the cursor is in.
func pathTo(s *spot) string {
	text := s.file.Src.Text[s.part.Start:s.part.End]
	return strings.Join(append(append([]string{}, s.before...), text), ".")
}

// definitionAt is the index's answer; in a statement that could not be read in full, in
// which nothing was resolved, names are looked up by the text alone.
func definitionAt(x *name.Index, f *syntax.File, off int) (*name.Def, source.Span) {
	if d, span := x.DefinitionAt(f.Src, off); d != nil {
		return d, span
	}
	s := findSpot(f, off)
	if s.comment || s.text != nil || s.stmt == nil || !s.stmt.Broken || s.part.Len() == 0 {
		return nil, source.Span{}
	}
	d := followText(scopeIn(x, f, s.block), pathTo(s))
	if d == nil || d.Sort == name.Lost {
		return nil, source.Span{}
	}
	return d, s.part
}

// subjectOf is the path of what a word behind `is` is said of; "" where there is none.
func subjectOf(st *syntax.Stmt, off int) string {
	for n := range st.Nodes() {
		if c, ok := n.(*syntax.Cond); ok && c.Op == syntax.CondTest && c.Subject.A != nil {
			for _, w := range c.Words {
				if w.Contains(off) {
					return c.Subject.A.String()
				}
			}
		}
	}
	return ""
}

// valueText tells what a value comes to in other units.
func valueText(st *syntax.Stmt, off int) (Text, source.Span) {
	for n := range st.Nodes() {
		q, ok := n.(*syntax.Quantity)
		if !ok || !q.Span.Contains(off) {
			continue
		}
		var t Text
		values := []unit.Value{}
		if q.Param == nil {
			values = append(values, q.Value)
		}
		if q.Ranged && q.HiParam == nil {
			values = append(values, q.Hi)
		}
		for _, v := range values {
			t = append(t, convertedText(v)...)
		}
		if q.HasTol && q.Param == nil {
			if w, err := unit.WithTolerance(q.Value, q.Tol); err == nil {
				t.add(Words, "With its tolerance from "+w.Min().String()+" to "+w.Max().String()+".")
			}
		}
		return t, q.Span
	}
	return nil, source.Span{}
}

func convertedText(v unit.Value) Text {
	var t Text
	if v.Unit.Symbol == "" {
		return nil
	}
	what := v.Dim().String()
	if v.Difference && (v.Dim() == unit.Temperature || v.Dim().IsPressure()) {
		what += " difference"
	}
	t.add(Words, "`"+v.String()+"`, "+what)
	for _, line := range conversions(v) {
		t.add(Item, line)
	}
	return t
}

// stateText tells what a word behind `is` means.
func stateText(x *name.Index, st *syntax.Stmt, off int) (Text, source.Span) {
	for n := range st.Nodes() {
		c, ok := n.(*syntax.Cond)
		if !ok || c.Op != syntax.CondTest || c.Subject.A == nil {
			continue
		}
		for _, w := range c.Words {
			if !w.Contains(off) {
				continue
			}
			d, _ := x.DefinitionAt(st.File().Src, c.Subject.A.Span.End)
			for _, s := range statesOf(d, true) {
				if s.word == w.Text && s.def == nil {
					var t Text
					t.add(Words, "`"+c.Subject.A.String()+" is "+w.Text+"`: "+s.doc+".")
					return t, w.Span
				}
			}
		}
	}
	return nil, source.Span{}
}

package hover

import (
	"context"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lang/unit"
	"pintle/lsp/ide"
)

// Hover is what there is to tell about something in a text.
type Hover struct {
	Text ide.Text
	Span source.Span // what it is about
}

// At tells about what stands at a byte offset; nil where there is nothing to tell.
func At(ctx context.Context, v *ide.View, off int) (*Hover, error) {
	s := ide.FindSpot(v.Tree, off)
	if s.Comment {
		return nil, nil
	}
	st := ide.StmtAt(v.Tree, off)
	if st == nil {
		return nil, nil
	}
	if w := st.KindWord(); st.Kind != nil && w.Len() > 0 && w.Contains(off) {
		return &Hover{KindText(st.Kind), w.Span}, nil
	}
	if st.Kind != nil && st.Kind.ID == schema.Accept && len(st.Head().Names) > 0 && st.Head().Names[0].Contains(off) {
		if t := RuleText(v, st.Head().Names[0].Text); len(t) > 0 {
			return &Hover{t, st.Head().Names[0].Span}, nil
		}
		return nil, nil
	}
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	if d, span := ide.DefinitionAt(x, v.Tree, off); d != nil {
		t, err := thingText(ctx, v, d, ide.PathTo(s), subjectOf(st, off))
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
	if c := ide.ClauseAt(st, off); c != nil && c.Form != nil && s.Text == nil {
		return &Hover{FormText(c.Form), c.Span}, nil
	}
	return nil, nil
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

// valueText reports what a value comes to in other units.
func valueText(st *syntax.Stmt, off int) (ide.Text, source.Span) {
	for n := range st.Nodes() {
		q, ok := n.(*syntax.Quantity)
		if !ok || !q.Span.Contains(off) {
			continue
		}
		var t ide.Text
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
				t.Add(ide.Words, "With its tolerance from "+w.Min().String()+" to "+w.Max().String()+".")
			}
		}
		return t, q.Span
	}
	return nil, source.Span{}
}

func convertedText(v unit.Value) ide.Text {
	var t ide.Text
	if v.Unit.Symbol == "" {
		return nil
	}
	what := v.Dim().String()
	if v.Difference && (v.Dim() == unit.Temperature || v.Dim().IsPressure()) {
		what += " difference"
	}
	t.Add(ide.Words, "`"+v.String()+"`, "+what)
	for _, line := range ide.Conversions(v) {
		t.Add(ide.Item, line)
	}
	return t
}

// stateText reports what a word behind `is` means.
func stateText(x *name.Index, st *syntax.Stmt, off int) (ide.Text, source.Span) {
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
			for _, s := range ide.StatesOf(d, true) {
				if s.Word == w.Text && s.Def == nil {
					var t ide.Text
					t.Add(ide.Words, "`"+c.Subject.A.String()+" is "+w.Text+"`: "+s.Doc+".")
					return t, w.Span
				}
			}
		}
	}
	return nil, source.Span{}
}

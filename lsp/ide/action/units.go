package action

import (
	"pintle/lang/diag"
	"pintle/lang/syntax"
	"pintle/lang/unit"
	"pintle/lsp/ide"
)

// units offers to write the value at the cursor in other units of its dimension, as far as
// it comes to exactly the same there.
func (a *actor) units() error {
	st := a.statement()
	if st == nil {
		return nil
	}
	off := a.r.Span.Start
	for n := range st.Nodes() {
		q, ok := n.(*syntax.Quantity)
		if !ok || !q.Span.Contains(off) || q.Param != nil || q.HiParam != nil {
			continue
		}
		span := q.Span
		if q.HasTol {
			for _, t := range ide.Significant(a.f, span.Start, span.End) {
				if t.Kind == syntax.PlusMinus {
					span.End = t.Start
				}
			}
			for span.End > span.Start && a.f.Src.Text[span.End-1] == ' ' {
				span.End--
			}
		}
		offered := 0
		for _, u := range unit.Units(q.Value.Dim()) {
			if offered == ide.MostConversions {
				break
			}
			text, ok := a.converted(q, u)
			if !ok || text == spanOf(a.f.Src, span) {
				continue
			}
			e := ide.Replace(a.f.Src, span, text)
			if !ide.Reads(a.f, []diag.Edit{e}) {
				continue
			}
			offered++
			a.offer(Action{Title: "Write it as " + text, Kind: RefactorRewrite}, e)
		}
		return nil
	}
	return nil
}

// converted writes a quantity in another unit; ok is false where it is written in that
// one already, or where there is no number of a few digits that is exactly the same.
func (a *actor) converted(q *syntax.Quantity, u unit.Unit) (string, bool) {
	lo, ok := exactly(q.Value, u)
	if !ok {
		return "", false
	}
	if !q.Ranged {
		return lo.String(), q.Value.Unit != u
	}
	hi, ok := exactly(q.Hi, u)
	if !ok || q.Value.Unit == u && q.Hi.Unit == u {
		return "", false
	}
	// `to` joins a range, `and` a pair.
	join := " to "
	for _, t := range ide.Significant(a.f, q.Span.Start, q.Span.End) {
		if t.Text == "and" {
			return lo.String() + " and " + hi.String(), true
		}
	}
	if u.IsAWG() {
		return lo.String() + join + hi.String(), true
	}
	return lo.Written.String() + join + hi.String(), true
}

// mostDigits is how long a number may be that a person is offered.
const mostDigits = 7

// exactly is a value in another unit, if it is exactly the same there.
func exactly(v unit.Value, u unit.Unit) (unit.Value, bool) {
	if u.Symbol == "" || u.Dim != v.Dim() {
		return v, false
	}
	w := unit.FromBase(v.N, u)
	if v.Difference {
		w = unit.DifferenceFromBase(v.N, u)
	}
	if w.Unit != u {
		return v, false
	}
	text := w.Written.String()
	n, err := unit.ParseNum(text)
	if err != nil || len(text) > mostDigits || u.Check(n) != nil && !v.Difference {
		return v, false
	}
	again := unit.New(n, u)
	if v.Difference {
		again = unit.NewDifference(n, u)
	}
	return w, again.N.Equal(v.N)
}

package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// quantity returns what stands in a quantity slot with the names of arguments replaced
// by what they hold. ok is false where it is unknown; then a finding has said why.
func (b *builder) quantity(y *body, c clause, role string) (q syntax.Quantity, ok bool) {
	p := c.Quantity(role)
	if p == nil {
		return q, false
	}
	var slot *schema.Slot
	if c.Form != nil {
		slot = c.Form.Slot(role)
	}
	if q, ok = b.filled(y, p, slot); ok && slot != nil && !b.possible(y, p, &q, slot) {
		b.misread(y, c)
		return q, false
	}
	return q, ok
}

// fillQuantity is quantity for one that stands in no clause of its own; slot may be nil.
func (b *builder) fillQuantity(y *body, p *syntax.Quantity, slot *schema.Slot) (q syntax.Quantity, ok bool) {
	q, ok = b.filled(y, p, slot)
	return q, ok && (slot == nil || b.possible(y, p, &q, slot))
}

func (b *builder) filled(y *body, p *syntax.Quantity, slot *schema.Slot) (q syntax.Quantity, ok bool) {
	if p.Param == nil && p.HiParam == nil {
		return *p, true
	}
	q = *p
	if p.Param != nil {
		a := b.valueArg(y, p.Param, slot)
		if a == nil {
			return q, false
		}
		q.Value = a.Value
		if a.Ranged && !p.Ranged {
			q.Ranged, q.Hi = true, a.Hi
		}
		if a.HasTol && !p.HasTol {
			q.HasTol, q.Tol = true, a.Tol
		}
	}
	if p.HiParam != nil {
		a := b.valueArg(y, p.HiParam, slot)
		if a == nil {
			return q, false
		}
		q.Hi = a.Value
	}
	if slot != nil && slot.Difference {
		q.Value = unit.NewDifference(q.Value.Written, q.Value.Unit)
		if q.Ranged {
			q.Hi = unit.NewDifference(q.Hi.Written, q.Hi.Unit)
		}
	}
	return q, true
}

// valueArg is the value that an argument holds, checked against the slot it is used in.
func (b *builder) valueArg(y *body, ref *syntax.Ref, slot *schema.Slot) *syntax.Quantity {
	a := b.argNamed(y, ref)
	if a == nil || a.kind == argUnknown {
		return nil
	}
	place := diag.Place{File: y.scope.File.Src, Span: ref.Span}
	if a.kind == argCount {
		return &syntax.Quantity{Value: unit.New(unit.Int(int64(a.n)), unit.Unit{}), Span: ref.Span}
	}
	if a.kind != argValue {
		b.report(y, nil, diag.Finding{
			Rule: "wrong-kind", Place: place,
			Message: "`" + ref.String() + "` is not a value",
			Why:     "a number with its unit is needed here",
			Help:    "take it with a unit: takes " + a.def.Name + ": V",
			Related: []diag.Related{{Place: a.def.Place, Note: "what the part takes"}},
		})
		return nil
	}
	if slot != nil && !slot.Takes(a.q.Value.Dim()) {
		want := unit.None
		if len(slot.Dims) > 0 {
			want = slot.Dims[0]
		}
		b.mismatch(y, place, "`"+ref.String()+"` is "+a.q.Value.Dim().Phrase()+", but "+want.Phrase()+" is needed here",
			diag.Related{Place: a.def.Place, Note: "what the part takes"}, want)
		return nil
	}
	return a.q
}

// valueOf returns a single value of the dimension.
func (b *builder) valueOf(y *body, c clause, role string, dim unit.Dim) (unit.Value, bool) {
	q, ok := b.quantity(y, c, role)
	if !ok {
		return unit.Value{}, false
	}
	return q.Value, b.sameDim(y, c.Quantity(role), q.Value, dim)
}

// sameDim reports a value of another dimension than is asked for.
func (b *builder) sameDim(y *body, at *syntax.Quantity, v unit.Value, dim unit.Dim) bool {
	got := v.Dim()
	if got == dim {
		return true
	}
	place := diag.Place{File: y.scope.File.Src, Span: at.Span}
	if got.IsPressure() && dim.IsPressure() && v.Difference {
		return true
	}
	b.mismatch(y, place, v.String()+" is "+got.Phrase()+", not "+dim.Phrase(), diag.Related{}, dim)
	return false
}

func (b *builder) mismatch(y *body, place diag.Place, message string, related diag.Related, want unit.Dim) {
	f := diag.Finding{
		Rule: "unit-mismatch", Place: place, Message: message,
		Why:  "numbers of different kinds have no common scale, so nothing could be compared or computed",
		Help: "write " + want.Phrase() + ", such as " + want.Example(),
	}
	if want.IsPressure() && want != unit.Pressure {
		f.Why = "the air pressure between gauge and absolute is not known, so the two can't be compared"
	}
	if !related.IsZero() {
		f.Related = []diag.Related{related}
	}
	b.report(y, nil, f)
}

// span returns a range of values.
func (b *builder) span(y *body, c clause, role string) (lo, hi unit.Value, ok bool) {
	q, ok := b.quantity(y, c, role)
	if !ok {
		return lo, hi, false
	}
	if !q.Ranged {
		q.Hi = q.Value
	}
	if q.Hi.Dim() != q.Value.Dim() {
		return lo, hi, b.sameDim(y, c.Quantity(role), q.Hi, q.Value.Dim())
	}
	return q.Value, q.Hi, true
}

// value returns a single value of whatever dimension the slot takes.
func (b *builder) value(y *body, st *syntax.Stmt, form schema.FormID, role string) (unit.Value, bool) {
	c := st.Clause(form)
	if c == nil {
		return unit.Value{}, false
	}
	q, ok := b.quantity(y, c, role)
	return q.Value, ok
}

// param makes a parameter with the ends of its tolerance, or of its range.
func param(q syntax.Quantity, place diag.Place) model.Param {
	n := q.Value.Float64()
	p := model.Param{Nominal: n, Min: n, Max: n, Place: place}
	switch {
	case q.Ranged:
		hi := q.Hi.Float64()
		p.Min, p.Max = min(n, hi), max(n, hi)
		p.Nominal = (n + hi) / 2
	case q.HasTol:
		if t, err := unit.WithTolerance(q.Value, q.Tol); err == nil {
			p.Min, p.Max = t.Min().Float64(), t.Max().Float64()
		}
	}
	return p
}

// paramOf returns the parameter in a clause, or the default with a note that it was
// assumed.
func (b *builder) paramOf(y *body, it *name.Item, form schema.FormID, role string, otherwise float64, dim unit.Dim, what string) model.Param {
	if c := it.Stmt.Clause(form); c != nil {
		if q, ok := b.quantity(y, c, role); ok {
			return param(q, it.Stmt.Place(c.Span))
		}
		return model.Exactly(otherwise) // of no weight: its clause was not understood
	}
	return b.assume(y, it, otherwise, dim, what)
}

// assume takes a default and lists it.
func (b *builder) assume(y *body, it *name.Item, v float64, dim unit.Dim, what string) model.Param {
	p := model.Exactly(v)
	p.Assumed = true
	d := it.Defs[0]
	p.Place = d.NamePlace
	if !b.alone {
		path := y.prefix + d.Name
		b.d.Assumed = append(b.d.Assumed, model.AssumedValue{What: what + " of " + path, Value: unit.Format(v, dim), Place: d.NamePlace, Path: path})
	}
	return p
}

// count returns a whole number from 1 up to the limit.
func (b *builder) count(y *body, it *name.Item, c clause, role, what string) (int, bool) {
	n := c.Count(role)
	if n == nil {
		return 0, false
	}
	v := n.N
	if n.Param != nil {
		a := b.argNamed(y, n.Param)
		if a == nil || a.kind == argUnknown {
			return 0, false
		}
		if a.kind != argCount {
			b.report(y, it.Stmt, diag.Finding{
				Rule: "wrong-kind", Place: it.Stmt.Place(n.Span),
				Message: "`" + n.Param.String() + "` is not a count",
				Why:     "a whole number is needed here",
				Help:    "take it as a count: takes " + a.def.Name + ": count",
				Related: []diag.Related{{Place: a.def.Place, Note: "what the part takes"}},
			})
			return 0, false
		}
		v = a.n
	}
	if v < 1 || v > MaxRepeat {
		b.report(y, it.Stmt, diag.Finding{
			Rule: "wrong-kind", Place: it.Stmt.Place(n.Span),
			Message: itoa(v) + " " + what + ": from 1 to " + itoa(MaxRepeat) + " can be made",
			Why:     "no other number can be put in place",
			Help:    "write a number in that range",
		})
		return 0, false
	}
	return v, true
}

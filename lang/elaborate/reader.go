package elaborate

import (
	"slices"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// reader reads the clauses of a statement, so that what a thing is made of stands as a list
// of facts:
//
//	r := b.read(y, it)
//	k.A, k.B = r.ends(schema.CoilEnds)
//	ohm := r.param(schema.CoilResistance)
//	k.PullIn, k.HasPull = r.value(schema.CoilPullsIn)
//	if r.lost {
//		return false
//	}
//
// lost is set where a clause that the thing can't do without is missing or not understood:
// ends, a needed value, a needed path. Whoever is to blame has been reported by then: the
// parser reports clauses that are missing, the builder names that lead nowhere. A clause
// that may be missing gives a zero value.
type reader struct {
	b    *builder
	y    *body
	it   *name.Item
	st   *syntax.Stmt
	lost bool
}

func (b *builder) read(y *body, it *name.Item) *reader {
	return &reader{b: b, y: y, it: it, st: it.Stmt}
}

// place is where a clause stands; zero if there is none.
func (r *reader) place(form schema.FormID) diag.Place {
	if c := r.st.Clause(form); c != nil {
		return r.st.Place(c.Span)
	}
	return diag.Place{}
}

// role is that of the only slot of a form that is filled by one of the types.
func role(form schema.FormID, types ...schema.SlotType) string {
	for _, e := range schema.FormOf(form).Elems {
		if e.Slot != nil && slices.Contains(types, e.Slot.Type) {
			return e.Slot.Role
		}
	}
	panic("elaborate: " + form.String() + " has no such slot")
}

// word is the word in a clause: a colour, a choice, a name.
func (r *reader) word(form schema.FormID) string {
	if c := r.st.Clause(form); c != nil {
		return c.Word(role(form, schema.SlotColour, schema.SlotChoice, schema.SlotWord, schema.SlotName)).Text
	}
	return ""
}

// quantity is the quantity in a clause.
func (r *reader) quantity(form schema.FormID) (syntax.Quantity, bool) {
	if c := r.st.Clause(form); c != nil {
		return r.b.quantity(r.y, c, role(form, schema.SlotQuantity))
	}
	return syntax.Quantity{}, false
}

// value is the single value in a clause.
func (r *reader) value(form schema.FormID) (unit.Value, bool) {
	q, ok := r.quantity(form)
	return q.Value, ok
}

// number is the single value in a clause in its base unit.
func (r *reader) number(form schema.FormID) (float64, bool) {
	if v, ok := r.value(form); ok {
		return v.Float64(), true
	}
	return 0, false
}

// limit is the value in a clause with its tolerance; zero where it is not stated.
func (r *reader) limit(form schema.FormID) model.Param {
	if q, ok := r.quantity(form); ok {
		return param(q, r.place(form))
	}
	return model.Param{}
}

// param is a value that the thing can't do without.
func (r *reader) param(form schema.FormID) model.Param {
	return param(r.needed(form, role(form, schema.SlotQuantity)), r.place(form))
}

// needed is a quantity that the thing can't do without, in the slot with the role.
func (r *reader) needed(form schema.FormID, role string) (q syntax.Quantity) {
	ok := false
	if c := r.st.Clause(form); c != nil {
		q, ok = r.b.quantity(r.y, c, role)
	}
	r.lost = r.lost || !ok
	return q
}

// ends are the two points that a thing lies between.
func (r *reader) ends(form schema.FormID) (p, q model.NodeID) {
	return r.node(form, "a"), r.node(form, "b")
}

// node is a point that the thing can't do without.
func (r *reader) node(form schema.FormID, role string) model.NodeID {
	if c := r.st.Clause(form); c != nil {
		if n, ok := r.b.node(r.y, c.Ref(role), 0); ok {
			return n
		}
	}
	r.lost = true
	return model.None
}

// thing is what the path in a clause leads to, which the thing can't do without.
func (r *reader) thing(form schema.FormID) (t thing) {
	ok := false
	if c := r.st.Clause(form); c != nil {
		t, ok = r.b.find(r.y, c, role(form, schema.SlotRef))
	}
	r.lost = r.lost || !ok
	return t
}

// find follows the path in a slot. What it leads to has to be of a kind that the slot may
// name.
func (b *builder) find(y *body, c clause, role string) (thing, bool) {
	t, ok := b.resolve(y, c.Ref(role))
	return t, ok && b.mayBe(y, c.Ref(role), t, c.Form.Slot(role))
}

// mayBe reports a thing of a kind that a slot may not name.
func (b *builder) mayBe(y *body, ref *syntax.Ref, t thing, slot *schema.Slot) bool {
	if slot.MayName(t.kind) {
		return true
	}
	b.wrongThing(y, ref, t, slot.Wants())
	return false
}

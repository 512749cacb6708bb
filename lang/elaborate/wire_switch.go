package elaborate

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// wireContact makes the one or two elements of a contact. Which of them conducts when
// is decided later.
func (b *builder) wireContact(y *body, it *name.Item, id int) bool {
	r := b.read(y, it)
	k := b.d.Contacts[id]
	st := it.Stmt
	limit := r.limit(schema.ContactUpTo)
	k.Limit = limit.Nominal
	ohm := b.paramOf(y, it, schema.ContactResistance, "resistance", DefaultContactOhm, unit.Resistance, "resistance")
	throw := func(to model.NodeID) model.ElementID {
		return b.element(model.Element{Info: k.Info, Type: model.ElemContact, A: k.Common, B: to, Ohm: ohm, Metal: true,
			Limit: limit, LimitPlace: limit.Place, Of: id})
	}
	if st.Has(schema.ContactRests) {
		if !st.Has(schema.ContactGoesTo) {
			b.missingClause(y, it, "`"+k.Path+"` rests on a throw but goes to none", "write `goes to` with the working throw, or `A to B, make`")
			return false
		}
		k.Form = model.Changeover
		k.Common = r.node(schema.ContactRests, "common")
		k.Rest = r.node(schema.ContactRests, "resting")
		k.Work = r.node(schema.ContactGoesTo, "working")
		k.MakesFirst = st.Has(schema.ContactMakesFirst)
		if r.lost {
			return false
		}
		k.RestElem, k.WorkElem = throw(k.Rest), throw(k.Work)
		b.d.Contacts[id] = k
		return b.unneeded(y, it, schema.ContactMake, schema.ContactBreak)
	}
	p, q := r.ends(schema.ContactEnds)
	if r.lost {
		return false
	}
	k.Common = p
	byIron := !st.Has(schema.ContactMadeWhen) && !st.Has(schema.ContactMadeSometimes)
	switch {
	case st.Has(schema.ContactBreak):
		b.breakMadeWhen(y, it, &k)
		k.Form, k.Rest = model.Break, q
		k.RestElem = throw(q)
	case st.Has(schema.ContactMake) || !byIron:
		k.Form, k.Work = model.Make, q
		k.WorkElem = throw(q)
	default:
		b.missingClause(y, it, "`"+k.Path+"` does not say whether it makes or breaks", "write `make` if it closes when pulled in, `break` if it opens")
		return false
	}
	b.d.Contacts[id] = k
	return b.unneeded(y, it, schema.ContactBreaksFirst, schema.ContactMakesFirst, schema.ContactGoesTo)
}

// breakMadeWhen reports `break` beside `made when C`: it is closed while C is true, and
// `break` reads as if C opened it. With `made when not …` both readings are one.
func (b *builder) breakMadeWhen(y *body, it *name.Item, k *model.Contact) {
	st := it.Stmt
	form, when := st.Clause(schema.ContactBreak), st.Clause(schema.ContactMadeWhen)
	if when == nil {
		return
	}
	c := when.Cond("cond")
	if c == nil || c.Op == syntax.CondNot || c.Op == syntax.CondBad {
		return
	}
	src := y.scope.File.Src
	text := src.Text[c.Start:c.End]
	alone, from := form.Span, form.Span.End
	if at := strings.IndexByte(src.Text[from:], ','); at >= 0 && strings.TrimSpace(src.Text[from:from+at]) == "" {
		alone.End = from + at + 1
		alone.End += len(src.Text[alone.End:]) - len(strings.TrimLeft(src.Text[alone.End:], " \t"))
	} else if at := strings.LastIndexByte(src.Text[:alone.Start], ','); at >= 0 {
		alone.Start = at
	}
	b.report(y, st, diag.Finding{
		Rule: "clause-twice", Severity: diag.Warning, Place: st.Place(form.Span), Subject: k.Path,
		Message: "`break` and `made when` say different things: `" + k.Path + "` is closed while " + text,
		Why:     "`break` reads as if that opened it, and one of the two readings is wrong about the vehicle",
		Help:    "`made when` alone says when it is closed: leave `break` out, or write `made when not (" + text + ")`",
		Related: []diag.Related{{Place: st.Place(when.Span), Note: "closed while this is true"}},
		Fixes: []diag.Fix{
			{Title: "leave `break` out", Edits: []diag.Edit{{Place: st.Place(alone)}}},
			{Title: "open it by that: `made when not (" + text + ")`", Edits: []diag.Edit{{Place: st.Place(c.Span), New: "not (" + text + ")"}}},
		},
	})
}

// unneeded reports clauses that say nothing about this form of contact. It always
// returns true: the contact itself is clear.
func (b *builder) unneeded(y *body, it *name.Item, forms ...schema.FormID) bool {
	for _, form := range forms {
		c := it.Stmt.Clause(form)
		if c == nil {
			continue
		}
		message, help := "`"+form2text(c)+"` has no meaning for a changeover", "leave it out: a changeover has both throws"
		if form == schema.ContactBreaksFirst || form == schema.ContactMakesFirst || form == schema.ContactGoesTo {
			message, help = "`"+form2text(c)+"` applies only to changeovers", "leave it out, or write `A rests on B, goes to C`"
		}
		b.report(y, it.Stmt, diag.Finding{Rule: "wrong-kind", Place: it.Stmt.Place(c.Span), Message: message,
			Why: "a clause without effect hides what was meant", Help: help})
	}
	return true
}

func form2text(c clause) string { return c.Form.Literal() }

// missingClause reports what a thing needs and does not say. Where a clause of it could not
// be read that may be the one.
func (b *builder) missingClause(y *body, it *name.Item, message, help string) {
	if it.Stmt.Broken {
		return
	}
	at := it.Stmt.Place(it.Stmt.Line)
	if len(it.Defs) > 0 {
		at = it.Defs[0].Place
	}
	b.report(y, it.Stmt, diag.Finding{
		Rule: "missing-clause", Place: at, Message: message,
		Why:  "without it Pintle can't work out what this does",
		Help: help,
	})
}

// wireChart makes one element for each pair of pins that a chart joins, closed in all
// positions in which a row joins them.
func (b *builder) wireChart(y *body, it *name.Item, id int) bool {
	r := b.read(y, it)
	k := b.d.Charts[id]
	t := r.thing(schema.ChartFollows)
	if r.lost {
		return false
	}
	k.Setting = model.SettingID(t.id)
	limit := r.limit(schema.ChartUpTo)
	k.Limit = limit.Nominal
	w := chartWiring{b: b, y: y, it: it, k: &k, t: t, limit: limit, id: id, taken: map[int]diag.Place{}}
	b.eachRow(y, it.Stmt.Body, schema.ChartRow, w.row)
	if w.torn = w.torn || torn(it.Stmt); w.torn {
		k.Broken = true
		b.incomplete(y, it)
	}
	b.d.Charts[id] = k
	return true
}

type chartWiring struct {
	b     *builder
	y     *body
	it    *name.Item
	k     *model.Chart
	t     thing
	limit model.Param
	id    int
	taken map[int]diag.Place // positions that have a row
	torn  bool               // a row could not be read: it may join any two
}

func (w *chartWiring) row(st *syntax.Stmt) {
	b := w.b
	s := &b.d.Settings[w.k.Setting]
	row := model.ChartRow{Place: st.Place(st.Line)}
	for _, word := range st.Head().Names {
		p, ok := b.position(w.y, w.t.def, s.Positions, word, b.statesOf(w.t))
		if !ok {
			w.torn = true
			continue
		}
		if first, ok := w.taken[p]; ok {
			b.report(w.y, st, diag.Finding{
				Rule: "duplicate-name", Place: st.Place(word.Span), Subject: w.k.Path,
				Message: "`" + word.Text + "` already has a row in `" + w.k.Path + "`",
				Why:     "it is not clear which of the two rows applies",
				Help:    "write all joins of one position in one row",
				Related: []diag.Related{{Place: first, Note: "its row"}},
			})
			continue
		}
		w.taken[p] = st.Place(word.Span)
		row.Positions = append(row.Positions, p)
	}
	slices.Sort(row.Positions)
	joins := st.All(schema.ChartRowJoins)
	if open := st.Clause(schema.ChartRowOpen); open != nil && len(joins) > 0 {
		b.report(w.y, st, diag.Finding{
			Rule: "clause-twice", Place: st.Place(open.Span), Subject: w.k.Path,
			Message: "`open` is in a row of `" + w.k.Path + "` that joins something",
			Why:     "it is not clear whether anything is joined in that position",
			Help:    "leave `open` out, or what the row joins",
			Related: []diag.Related{{Place: st.Place(joins[0].Span), Note: "is joined in the same row"}},
		})
		w.torn = true
	}
	for _, c := range joins {
		p, ok1 := b.node(w.y, c.Ref("a"), 0)
		q, ok2 := b.node(w.y, c.Ref("b"), 0)
		if !ok1 || !ok2 {
			w.torn = true
			continue
		}
		row.Elements = append(row.Elements, w.join(p, q, row.Positions, st.Place(c.Span)))
	}
	w.k.Rows = append(w.k.Rows, row)
}

// join closes the element between two pins in some more positions.
func (w *chartWiring) join(p, q model.NodeID, positions []int, place diag.Place) model.ElementID {
	for _, r := range w.k.Rows {
		for _, id := range r.Elements {
			e := &w.b.d.Elements[id]
			if e.A == p && e.B == q || e.A == q && e.B == p {
				in := append(slices.Clone(e.Closed.Atom.In), positions...)
				slices.Sort(in)
				e.Closed = settingIn(w.k.Setting, e.Closed.Place, slices.Compact(in)...)
				return id
			}
		}
	}
	i := w.k.Info
	i.Place = place
	ohm := model.Exactly(DefaultChartOhm)
	ohm.Assumed, ohm.Place = true, place
	return w.b.element(model.Element{Info: i, Type: model.ElemChart, A: p, B: q, Ohm: ohm, Metal: true,
		Limit: w.limit, LimitPlace: w.limit.Place, Of: w.id, Closed: settingIn(w.k.Setting, place, positions...)})
}

// eachRow calls f for the statements of a kind in a body of rows that are there.
func (b *builder) eachRow(y *body, rows []*syntax.Stmt, kind schema.ID, f func(*syntax.Stmt)) {
	for _, st := range rows {
		switch {
		case st.Kind == nil:
		case st.Kind.ID == schema.Only:
			if b.chosen(y, st) {
				b.eachRow(y, st.Body, kind, f)
			}
		case st.Kind.ID == kind:
			f(st)
		}
	}
}

// link finds out which coils an armature is moved by.
func (b *builder) link(y *body) {
	for _, it := range y.live {
		if it.Stmt.Kind.ID != schema.Armature || len(it.Defs) == 0 {
			continue
		}
		x := y.ents[it.Defs[0].Index]
		if x.kind != schema.Armature {
			continue
		}
		b.linkArmature(y, it, model.ArmatureID(x.id))
	}
}

func (b *builder) linkArmature(y *body, it *name.Item, id model.ArmatureID) {
	a := &b.d.Armatures[id]
	coil := func(c clause) (model.CoilID, bool) {
		r := c.Ref("coil")
		t, ok := b.find(y, c, "coil")
		if !ok {
			return model.None, false
		}
		k := &b.d.Coils[t.id]
		if k.Armature != model.None && k.Armature != id {
			other := &b.d.Armatures[k.Armature]
			b.wrong(y, r.Span, t, "`"+r.String()+"` already moves `"+other.Path+"`", "a coil moves one armature: let the contacts of both follow the same one")
			return model.None, false
		}
		k.Armature = id
		return model.CoilID(t.id), true
	}
	for _, c := range it.Stmt.Clauses() {
		if c.Broken || c.Form == nil {
			continue
		}
		switch c.Form.ID {
		case schema.ArmatureMoved, schema.ArmatureMovedAgainst:
			if k, ok := coil(c); ok {
				sign := 1.0
				if c.Form.ID == schema.ArmatureMovedAgainst {
					sign = -1
				}
				a.Moved = append(a.Moved, model.Winding{Coil: k, Turns: sign})
			} else {
				a.Broken = true
			}
		case schema.ArmatureSet:
			if k, ok := coil(c); ok && a.Set == model.None {
				a.Set, a.Latching = k, true
			} else {
				a.Broken = true
			}
		case schema.ArmatureReleased:
			if k, ok := coil(c); ok && a.Release == model.None {
				a.Release, a.Latching = k, true
			} else {
				a.Broken = true
			}
		}
	}
}

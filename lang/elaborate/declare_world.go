package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/unit"
)

func (b *builder) declareQuantity(y *body, it *name.Item, d *name.Def) entity {
	q := model.Quantity{Info: b.info(y, d)}
	c := it.Stmt.Clause(schema.QuantityRange)
	if c == nil {
		b.incomplete(y, it)
		return entity{kind: unknown}
	}
	lo, hi, ok := b.span(y, c, "range")
	if !ok {
		b.incomplete(y, it)
		return entity{kind: unknown}
	}
	q.Lo, q.Hi, q.Start = lo, hi, lo
	if c := it.Stmt.Clause(schema.QuantityStarts); c != nil {
		v, ok := b.valueOf(y, c, "value", lo.Dim())
		if ok && b.within(y, it, &q, v, c) {
			q.Start, q.StartSet = v, true
		} else {
			q.Broken = true // where every run begins is not known
		}
	}
	if c := it.Stmt.Clause(schema.QuantityChanges); c != nil {
		// A rate is a difference: bar a second, whether the range is gauge or absolute.
		if v, ok := b.valueOf(y, c, "rate", differenceDim(lo.Dim())); ok {
			q.Rate = v.Float64()
			if c.Word("per").Text == "min" {
				q.Rate /= 60
			}
		}
	}
	b.d.Quantities = append(b.d.Quantities, q)
	return entity{kind: schema.Quantity, id: int32(len(b.d.Quantities) - 1)}
}

// within reports a start outside of the range.
func (b *builder) within(y *body, it *name.Item, q *model.Quantity, v unit.Value, c clause) bool {
	low, err1 := v.Cmp(q.Lo)
	high, err2 := v.Cmp(q.Hi)
	if err1 != nil || err2 != nil || low >= 0 && high <= 0 {
		return true
	}
	b.report(y, it.Stmt, diag.Finding{
		Rule: "band-outside-range", Place: it.Stmt.Place(c.Span), Subject: q.Path,
		Message: "`" + q.Path + "` can't start at " + v.String() + ": it runs from " + q.Lo.String() + " to " + q.Hi.String(),
		Why:     "no run of the design could begin",
		Help:    "widen the range, or let it start inside",
	})
	return false
}

func (b *builder) declareSetting(y *body, it *name.Item, d *name.Def) entity {
	s := model.Setting{Info: b.info(y, d)}
	if d.Inner != nil {
		for _, p := range d.Inner.Defs {
			if d.Inner.Own(p.Name) != p {
				b.duplicate(y, p, d.Inner.Own(p.Name))
				continue
			}
			s.Positions = append(s.Positions, p.Name)
			s.PosPlaces = append(s.PosPlaces, p.NamePlace)
		}
	}
	if len(s.Positions) == 0 {
		b.incomplete(y, it)
		return entity{kind: unknown}
	}
	s.InOrder = it.Stmt.Has(schema.SettingInOrder)
	position := func(c clause, role string) (int, bool) {
		p, ok := b.position(y, d, s.Positions, c.Word(role), d.Inner)
		if !ok {
			s.Broken, b.unsure[d] = true, true // one of the positions is not what it should be
		}
		return p, ok
	}
	for _, c := range it.Stmt.All(schema.SettingSpringsBack) {
		from, ok1 := position(c, "from")
		to, ok2 := position(c, "to")
		if ok1 && ok2 {
			s.Springs = append(s.Springs, model.Spring{From: from, To: to})
		}
	}
	if c := it.Stmt.Clause(schema.SettingStarts); c != nil {
		if p, ok := position(c, "position"); ok {
			s.Start = p
		}
	}
	b.d.Settings = append(b.d.Settings, s)
	return entity{kind: schema.Setting, id: int32(len(b.d.Settings) - 1)}
}

func (b *builder) declareOption(y *body, _ *name.Item, d *name.Def) entity {
	for i, o := range b.options {
		if o.def == d {
			b.d.Options = append(b.d.Options, model.Option{Info: b.info(y, d), Positions: o.positions, Chosen: b.choice[i]})
			return entity{kind: schema.Option, id: int32(len(b.d.Options) - 1)}
		}
	}
	return entity{kind: unknown}
}

// holds reports whether what stands under an `only when` is there.
func (b *builder) holds(g *name.Guard, y *body) truth {
	if g == nil {
		return isTrue
	}
	if v, ok := b.guards[g]; ok {
		return v
	}
	v := b.holds(g.Outer, y)
	if v == isTrue {
		v = b.decideGuard(g, y)
	}
	b.guards[g] = v
	return v
}

package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

func (b *builder) wireLoad(y *body, it *name.Item, id model.LoadID) bool {
	l := b.d.Loads[id]
	p, q, ok := b.ends(y, it.Stmt, schema.LoadEnds)
	c := it.Stmt.Clause(schema.LoadRated)
	if !ok || c == nil {
		return false
	}
	rated, ok1 := b.quantity(y, c, "rated")
	volts, ok2 := b.quantity(y, c, "volts")
	if !ok1 || !ok2 {
		return false
	}
	l.A, l.B = p, q
	l.Rated = volts.Value.Float64()
	l.Bounds = rated.Ranged
	ohm := loadOhm(rated, l.Rated, it.Stmt.Place(c.Span))
	l.Watts = l.Rated * l.Rated / ohm.Nominal
	e := model.Element{Info: l.Info, Type: model.ElemLoad, A: p, B: q, Ohm: ohm, Of: int(id)}
	if v, ok := b.value(y, it.Stmt, schema.LoadCold, "percent"); ok {
		share := v.Float64() / 100
		l.Cold = true
		e.ColdOhm = model.Param{Nominal: ohm.Nominal * share, Min: ohm.Min * share, Max: ohm.Max * share, Place: ohm.Place}
	}
	for _, c := range it.Stmt.All(schema.LoadLevel) {
		v, ok := b.quantity(y, c, "percent")
		w := c.Word("level")
		if !ok || w.Text == "" {
			l.Broken = true // a level that is not known may be any
			continue
		}
		if first := levelOf(&l, w.Text); first >= 0 {
			b.report(y, it.Stmt, diag.Finding{
				Rule: "duplicate-name", Place: it.Stmt.Place(w.Span), Subject: l.Path,
				Message: "`" + w.Text + "` is already a level of `" + l.Path + "`",
				Why:     "a condition that names it could mean either of the two",
				Help:    "give one of them another name",
				Related: []diag.Related{{Place: l.Levels[first].Place, Note: "first declared here"}},
			})
			continue
		}
		l.Levels = append(l.Levels, model.Level{Name: w.Text, Percent: v.Value.Float64(), Place: it.Stmt.Place(c.Span)})
	}
	l.Element = b.element(e)
	b.d.Loads[id] = l
	return true
}

func levelOf(l *model.Load, name string) int {
	for i := range l.Levels {
		if l.Levels[i].Name == name {
			return i
		}
	}
	return -1
}

// loadOhm turns power, current or resistance at rated volts into a resistance: V²/P,
// V/I, R. Bounds of power and current turn round.
func loadOhm(q syntax.Quantity, volts float64, place diag.Place) model.Param {
	p := param(q, place)
	per := func(v float64) float64 { return v }
	switch q.Value.Dim() {
	case unit.Power:
		per = func(v float64) float64 { return volts * volts / v }
	case unit.Current:
		per = func(v float64) float64 { return volts / v }
	}
	lo, hi := per(p.Min), per(p.Max)
	p.Nominal, p.Min, p.Max = per(p.Nominal), min(lo, hi), max(lo, hi)
	return p
}

// wireTwoEnds is for resistors, diodes and fuses.
func (b *builder) wireTwoEnds(y *body, it *name.Item, x entity) bool {
	form := schema.ResistorEnds
	switch x.what {
	case aDiode:
		form = schema.DiodeEnds
	case aFuse:
		form = schema.FuseEnds
	}
	p, q, ok := b.ends(y, it.Stmt, form)
	if !ok {
		return false
	}
	e := model.Element{A: p, B: q, Of: int(x.id)}
	switch x.what {
	case aResistor:
		r := &b.d.Resistors[x.id]
		c := it.Stmt.Clause(schema.ResistorValue)
		if c == nil {
			return false
		}
		v, ok := b.quantity(y, c, "resistance")
		if !ok {
			return false
		}
		e.Info, e.Type, e.Ohm = r.Info, model.ElemResistor, param(v, it.Stmt.Place(c.Span))
		r.Element = b.element(e)
	case aDiode:
		r := &b.d.Diodes[x.id]
		e.Info, e.Type, e.OneWay = r.Info, model.ElemDiode, true
		e.Volts = b.paramOf(y, it, schema.DiodeDrop, "volts", DefaultDiodeVolts, unit.Voltage, "drop")
		e.Ohm = model.Exactly(DefaultDiodeOhm)
		e.Ohm.Assumed, e.Ohm.Place = true, r.Place
		r.Element = b.element(e)
	case aFuse:
		r := &b.d.Fuses[x.id]
		c := it.Stmt.Clause(schema.FuseRating)
		if c == nil {
			return false
		}
		v, ok := b.quantity(y, c, "current")
		if !ok {
			return false
		}
		r.Rating = v.Value.Float64()
		e.Info, e.Type, e.Metal = r.Info, model.ElemFuse, true
		e.Ohm = b.assume(y, it, FuseDropVolts/r.Rating, unit.Resistance, "resistance")
		r.Element = b.element(e)
	}
	return true
}

func (b *builder) wireCoil(y *body, it *name.Item, id model.CoilID) bool {
	k := b.d.Coils[id]
	p, q, ok := b.ends(y, it.Stmt, schema.CoilEnds)
	c := it.Stmt.Clause(schema.CoilResistance)
	if !ok || c == nil {
		return false
	}
	v, ok := b.quantity(y, c, "resistance")
	if !ok {
		return false
	}
	k.A, k.B = p, q
	if c := it.Stmt.Clause(schema.CoilTurns); c != nil {
		n, ok := b.countAbove(y, it, c, "turns")
		k.Turns, k.Broken = n, k.Broken || !ok
	}
	k.PullIn, k.HasPull = b.value(y, it.Stmt, schema.CoilPullsIn, "volts")
	k.DropOut, k.HasDrop = b.value(y, it.Stmt, schema.CoilDropsOut, "volts")
	k.Element = b.element(model.Element{Info: k.Info, Type: model.ElemCoil, A: p, B: q, Ohm: param(v, it.Stmt.Place(c.Span)), Of: int(id)})
	b.d.Coils[id] = k
	return true
}

// countAbove is a count without an upper limit, as a number: turns.
func (b *builder) countAbove(y *body, it *name.Item, c clause, role string) (float64, bool) {
	n := c.Count(role)
	if n == nil {
		return 0, false
	}
	some := func(n int, at diag.Place) (float64, bool) {
		if n > 0 {
			return float64(n), true
		}
		b.misread(y, c)
		b.report(y, it.Stmt, diag.Finding{
			Rule: "wrong-kind", Place: at, Subject: y.prefix + it.Defs[0].Name,
			Message: "a winding of 0 turns is none",
			Why:     "whatever current it carries, it moves nothing",
			Help:    "write how many turns it has, such as `turns 400`",
		})
		return 0, false
	}
	if n.Param == nil {
		return some(n.N, it.Stmt.Place(n.Span))
	}
	a := b.argNamed(y, n.Param)
	if a == nil || a.kind != argCount {
		if a != nil && a.kind != argUnknown {
			b.wrong(y, n.Span, thing{def: a.def, home: y}, "`"+n.Param.String()+"` is not a count", "take it as a count: takes "+a.def.Name+": count")
		}
		return 0, false
	}
	return some(a.n, it.Stmt.Place(n.Span))
}

func (b *builder) wireSender(y *body, it *name.Item, id int) bool {
	s := b.d.Senders[id]
	at, tells := it.Stmt.Clause(schema.SenderAt), it.Stmt.Clause(schema.SenderTells)
	if at == nil || tells == nil {
		return false
	}
	pin, ok := b.node(y, at.Ref("pin"), 0)
	if !ok {
		return false
	}
	r := tells.Ref("quantity")
	t, ok := b.resolve(y, r)
	if !ok {
		return false
	}
	if t.what != aQuantity {
		b.wrongThing(y, r, t, "a quantity")
		return false
	}
	s.Pin, s.Quantity = pin, model.QuantityID(t.id)
	if c := it.Stmt.Clause(schema.SenderAccuracy); c != nil {
		s.Accuracy, s.HasAccuracy = b.valueOf(y, c, "by", differenceDim(b.d.Quantities[t.id].Lo.Dim()))
	}
	b.d.Senders[id] = s
	return true
}

// differenceDim is the dimension of a difference between two values of a dimension.
func differenceDim(d unit.Dim) unit.Dim {
	if d.IsPressure() {
		return unit.Pressure
	}
	return d
}

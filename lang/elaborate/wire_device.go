package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

func (b *builder) wireLoad(y *body, it *name.Item, id int) bool {
	r := b.read(y, it)
	l := b.d.Loads[id]
	l.A, l.B = r.ends(schema.LoadEnds)
	rated, volts := r.needed(schema.LoadRated, "rated"), r.needed(schema.LoadRated, "volts")
	if r.lost {
		return false
	}
	l.Rated = volts.Value.Float64()
	l.Bounds = rated.Ranged
	ohm := loadOhm(rated, l.Rated, r.place(schema.LoadRated))
	l.Watts = l.Rated * l.Rated / ohm.Nominal
	e := model.Element{Info: l.Info, Type: model.ElemLoad, A: l.A, B: l.B, Ohm: ohm, Of: id}
	if percent, ok := r.number(schema.LoadCold); ok {
		share := percent / 100
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

func (b *builder) wireResistor(y *body, it *name.Item, id int) bool {
	r := b.read(y, it)
	e := model.Element{Info: b.d.Resistors[id].Info, Type: model.ElemResistor, Of: id}
	e.A, e.B = r.ends(schema.ResistorEnds)
	e.Ohm = r.param(schema.ResistorValue)
	if r.lost {
		return false
	}
	b.d.Resistors[id].Element = b.element(e)
	return true
}

func (b *builder) wireDiode(y *body, it *name.Item, id int) bool {
	r := b.read(y, it)
	d := &b.d.Diodes[id]
	e := model.Element{Info: d.Info, Type: model.ElemDiode, OneWay: true, Of: id}
	e.A, e.B = r.ends(schema.DiodeEnds)
	if r.lost {
		return false
	}
	e.Volts = b.paramOf(y, it, schema.DiodeDrop, "volts", DefaultDiodeVolts, unit.Voltage, "drop")
	e.Ohm = model.Exactly(DefaultDiodeOhm)
	e.Ohm.Assumed, e.Ohm.Place = true, d.Place
	d.Element = b.element(e)
	return true
}

func (b *builder) wireFuse(y *body, it *name.Item, id int) bool {
	r := b.read(y, it)
	f := &b.d.Fuses[id]
	e := model.Element{Info: f.Info, Type: model.ElemFuse, Metal: true, Of: id}
	e.A, e.B = r.ends(schema.FuseEnds)
	f.Rating = r.param(schema.FuseRating).Nominal
	if r.lost {
		return false
	}
	e.Ohm = b.assume(y, it, FuseDropVolts/f.Rating, unit.Resistance, "resistance")
	f.Element = b.element(e)
	return true
}

func (b *builder) wireCoil(y *body, it *name.Item, id int) bool {
	r := b.read(y, it)
	k := b.d.Coils[id]
	k.A, k.B = r.ends(schema.CoilEnds)
	ohm := r.param(schema.CoilResistance)
	if r.lost {
		return false
	}
	if c := r.st.Clause(schema.CoilTurns); c != nil {
		n, ok := b.countAbove(y, it, c, "turns")
		k.Turns, k.Broken = n, k.Broken || !ok
	}
	k.PullIn, k.HasPull = r.value(schema.CoilPullsIn)
	k.DropOut, k.HasDrop = r.value(schema.CoilDropsOut)
	k.Element = b.element(model.Element{Info: k.Info, Type: model.ElemCoil, A: k.A, B: k.B, Ohm: ohm, Of: id})
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
			Message: "a winding needs at least 1 turn",
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
	r := b.read(y, it)
	s := b.d.Senders[id]
	s.Pin = r.node(schema.SenderAt, "pin")
	q := r.thing(schema.SenderTells)
	if r.lost {
		return false
	}
	s.Quantity = model.QuantityID(q.id)
	if c := r.st.Clause(schema.SenderAccuracy); c != nil {
		s.Accuracy, s.HasAccuracy = b.valueOf(y, c, "by", differenceDim(b.d.Quantities[q.id].Lo.Dim()))
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

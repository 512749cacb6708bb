package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/unit"
)

// wire makes the elements and passages of a body: all that needs no condition.
func (b *builder) wire(y *body) {
	for _, it := range y.live {
		if it.Stmt.Kind.ID == schema.Powered {
			b.wirePowered(y, it) // the rest of the body asks for it
		}
	}
	for _, it := range y.live {
		if b.stop() {
			return
		}
		for _, d := range it.Defs {
			if d.In != y.scope || d.Index >= len(y.ents) || isClaim(d.Kind) || d.Kind == schema.Bench {
				continue
			}
			x := y.ents[d.Index]
			if !b.wireThing(y, it, x) {
				y.ents[d.Index] = entity{kind: unknown}
				b.incomplete(y, it)
				b.fail(x)
			}
		}
	}
}

// fail notes that a thing can't be placed.
func (b *builder) fail(x entity) {
	if x.kind != wireGroup {
		b.failed = append(b.failed, x)
		return
	}
	for _, id := range b.wires[x.id] {
		if b.d.Wires[id].Element == model.None {
			b.failed = append(b.failed, entity{kind: schema.Wire, id: int32(id)})
		}
	}
	b.wires[x.id] = nil
}

// wireThing returns false where the thing can't be placed in the design.
func (b *builder) wireThing(y *body, it *name.Item, x entity) bool {
	if x.kind == wireGroup {
		for k, id := range b.wires[x.id] {
			if !b.wireNumber(y, it, id, k) {
				return false
			}
		}
		return true
	}
	if int(x.kind) >= len(kinds) || kinds[x.kind].wire == nil {
		return true
	}
	return kinds[x.kind].wire(b, y, it, int(x.id))
}

func (b *builder) wirePort(y *body, it *name.Item, id int) bool {
	r := b.read(y, it)
	p := &b.d.Ports[id]
	p.Medium = r.word(schema.PortMedium)
	p.OpenToAir = r.st.Has(schema.PortOpen)
	return true
}

func (b *builder) wireOrigin(y *body, it *name.Item, id int) bool {
	o := &b.d.Origins[id]
	o.Medium = b.read(y, it).word(schema.OriginMedium)
	b.d.Ports[o.Port].Medium = o.Medium
	return true
}

// element enters a two-terminal piece for a thing.
func (b *builder) element(e model.Element) model.ElementID {
	e.Used = 0
	b.d.Elements = append(b.d.Elements, e)
	return model.ElementID(len(b.d.Elements) - 1)
}

func (b *builder) wireWire(y *body, it *name.Item, id int) bool { return b.wireNumber(y, it, id, -1) }

// wireNumber places a wire; the number-th, counted from 0, of those that an `each` makes.
func (b *builder) wireNumber(y *body, it *name.Item, id, number int) bool {
	r := b.read(y, it)
	w := b.d.Wires[id]
	w.A = r.wireEnd("from", 1, number)
	w.B = r.wireEnd("to", 0, number)
	if r.lost {
		return false
	}
	w.Colour = r.word(schema.WireColour)
	w.Area, w.AreaSet = r.number(schema.WireArea)
	w.Length, w.LenSet = r.number(schema.WireLength)
	b.wireArguments(y, it, &w)
	w.Rated, _ = r.number(schema.WireRated)
	if !w.AreaSet {
		w.Area = b.assume(y, it, DefaultWireArea, unit.Area, "cross-section").Nominal
	}
	if !w.LenSet {
		w.Length = b.assume(y, it, DefaultWireLength, unit.Length, "length").Nominal
	}
	w.Celsius = DefaultWireCelsius
	if v, ok := r.number(schema.WireAt); ok {
		w.Celsius = v
	}
	ohm := model.Exactly(WireOhm(w.Area, w.Length, w.Celsius))
	ohm.Assumed = !w.AreaSet || !w.LenSet
	ohm.Place = w.Place
	w.Element = b.element(model.Element{Info: w.Info, Type: model.ElemWire, A: w.A, B: w.B, Ohm: ohm, Metal: true, Of: id})
	b.d.Wires[id] = w
	return true
}

// wireEnd is the point at an end of a wire; half is that of a connector.
func (r *reader) wireEnd(role string, half, number int) model.NodeID {
	if c := r.st.Clause(schema.WireEnds); c != nil {
		ref := c.Ref(role)
		if ref == nil || !ref.Each {
			number = -1
		}
		if n, ok := r.b.nodeEach(r.y, ref, half, number); ok {
			return n
		}
	}
	r.lost = true
	return model.None
}

// wireArguments reads cross-section and length that are the names of arguments.
func (b *builder) wireArguments(y *body, it *name.Item, w *model.Wire) {
	for _, c := range it.Stmt.All(schema.WireByArgument) {
		r := c.Ref("value")
		q := b.valueArg(y, r, nil)
		if q == nil {
			continue
		}
		switch q.Value.Dim() {
		case unit.Area:
			w.Area, w.AreaSet = q.Value.Float64(), true
		case unit.Length:
			w.Length, w.LenSet = q.Value.Float64(), true
		default:
			b.mismatch(y, it.Stmt.Place(r.Span), "`"+r.String()+"` is "+q.Value.Dim().Phrase()+", neither a cross-section nor a length", diag.Related{}, unit.Area)
		}
	}
}

func (b *builder) wireConnector(y *body, it *name.Item, n int) bool {
	r, id := b.read(y, it), model.ConnectorID(n)
	k := b.d.Connectors[id]
	k.Colour = r.word(schema.ConnectorColour)
	k.Key = r.word(schema.ConnectorKeyed)
	if c := r.st.Clause(schema.ConnectorPlugsOnto); c != nil {
		b.plugsOnto(y, it, &k, c)
	}
	for _, c := range r.st.All(schema.ConnectorInReach) {
		if t, ok := b.find(y, c, "other"); ok {
			k.Reach = append(k.Reach, model.ConnectorID(t.id))
		}
	}
	if k.Broken && len(k.Plugs) == 0 {
		b.incomplete(y, it) // it may plug onto something
	}
	for w := range k.Ways {
		from, to := b.wayNodes[id].way(w+1, 0), b.wayNodes[id].way(w+1, 1)
		if b.wayNodes[id].halves == 1 {
			if len(k.Plugs) == 0 {
				break // which pins it plugs onto could not be understood
			}
			to = k.Plugs[w]
		}
		i := b.d.Nodes[from].Info
		k.WayElem = append(k.WayElem, b.element(model.Element{
			Info: i, Type: model.ElemConnector, A: from, B: to, Metal: true, Of: int(id),
			Ohm: model.Param{Nominal: DefaultConnectorOhm, Min: DefaultConnectorOhm, Max: DefaultConnectorOhm, Assumed: true, Place: i.NamePlace},
		}))
	}
	b.assume(y, it, DefaultConnectorOhm, unit.Resistance, "resistance of each way")
	b.d.Connectors[id] = k
	return true
}

// plugsOnto joins the other half of a connector to the pins of a component.
func (b *builder) plugsOnto(y *body, it *name.Item, k *model.Connector, c clause) {
	refs := c.Refs("pins")
	if len(refs) != k.Ways {
		b.report(y, it.Stmt, diag.Finding{
			Rule: "wrong-kind", Place: it.Stmt.Place(c.Span), Subject: k.Path,
			Message: "`" + k.Path + "` has " + itoa(k.Ways) + " ways but plugs onto " + itoa(len(refs)) + " pins",
			Why:     "it is not clear which way meets which pin",
			Help:    "name one pin for each way, in their order",
		})
		b.incomplete(y, it)
		k.Broken = true
		return
	}
	pins := make([]model.NodeID, 0, len(refs))
	for _, r := range refs {
		n, ok := b.node(y, r, 0)
		if !ok {
			k.Broken = true
			b.incomplete(y, it)
			return
		}
		pins = append(pins, n)
	}
	k.Plugs = pins
}

func (b *builder) wireSupply(y *body, it *name.Item, id int) bool {
	r := b.read(y, it)
	s := b.d.Supplies[id]
	s.Nominal, _ = r.value(schema.SupplyVolts)
	volts := r.param(schema.SupplyVolts)
	if r.lost {
		return false
	}
	s.Minus = r.terminal(id, "minus")
	s.Plus = r.terminal(id, "plus")
	if r.lost {
		return false
	}
	s.Lo, s.Hi = s.Nominal, s.Nominal
	volts.Place = s.Place
	if c := r.st.Clause(schema.SupplyAnywhere); c != nil {
		if lo, hi, ok := b.span(y, c, "range"); ok && b.nominalWithin(y, it, &s, lo, hi, c) {
			s.Lo, s.Hi, s.HasRange = lo, hi, true
			volts.Min, volts.Max = lo.Float64(), hi.Float64()
		}
	}
	s.Element = b.element(model.Element{
		Info: s.Info, Type: model.ElemSupply, A: s.Minus, B: s.Plus, Volts: volts, OneWay: r.st.Has(schema.SupplyOneWay), Of: id,
		Ohm: b.paramOf(y, it, schema.SupplyInside, "resistance", DefaultSupplyOhm, unit.Resistance, "inside resistance"),
	})
	b.d.Supplies[id] = s
	return true
}

// terminal is an end of a supply: a terminal of its own, or a point.
func (r *reader) terminal(supply int, role string) model.NodeID {
	c, inner := r.st.Clause(schema.SupplyEnds), r.it.Defs[0].Inner
	if c != nil && inner != nil {
		if ref := c.Ref(role); ref != nil && len(ref.Parts) == 1 {
			if t := inner.Own(ref.Parts[0].Text); t != nil {
				return r.b.terminal[supply] + model.NodeID(t.Index)
			}
		}
	}
	return r.node(schema.SupplyEnds, role)
}

// nominalWithin reports a nominal voltage outside of what the supply may be.
func (b *builder) nominalWithin(y *body, it *name.Item, s *model.Supply, lo, hi unit.Value, c clause) bool {
	low, err1 := s.Nominal.Cmp(lo)
	high, err2 := s.Nominal.Cmp(hi)
	if err1 != nil || err2 != nil || low >= 0 && high <= 0 {
		return true
	}
	b.misread(y, c)
	b.report(y, it.Stmt, diag.Finding{
		Rule: "band-outside-range", Place: it.Stmt.Place(c.Span), Subject: s.Path,
		Message: "the nominal " + s.Nominal.String() + " of `" + s.Path + "` is not between " + lo.String() + " and " + hi.String(),
		Why:     "no run of the design could have its nominal voltage",
		Help:    "widen the range or correct the nominal voltage",
	})
	return false
}

package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
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
				y.ents[d.Index] = entity{what: unknown}
				b.incomplete(y, it)
				b.fail(x)
			}
		}
	}
}

// fail notes that a thing can't be placed.
func (b *builder) fail(x entity) {
	if x.what != wireGroup {
		b.failed = append(b.failed, x)
		return
	}
	for _, id := range b.wires[x.id] {
		if b.d.Wires[id].Element == model.None {
			b.failed = append(b.failed, entity{what: aWire, id: int32(id)})
		}
	}
	b.wires[x.id] = nil
}

// wireThing returns false where the thing can't be placed in the design.
func (b *builder) wireThing(y *body, it *name.Item, x entity) bool {
	switch x.what {
	case aWire:
		return b.wireWire(y, it, int(x.id), -1)
	case wireGroup:
		for k, id := range b.wires[x.id] {
			if !b.wireWire(y, it, id, k) {
				return false
			}
		}
	case aConnector:
		b.wireConnector(y, it, model.ConnectorID(x.id))
	case aSupply:
		return b.wireSupply(y, it, model.SupplyID(x.id))
	case aPort:
		p := &b.d.Ports[x.id]
		if c := it.Stmt.Clause(schema.PortMedium); c != nil {
			p.Medium = c.Word("medium").Text
		}
		p.OpenToAir = it.Stmt.Has(schema.PortOpen)
	case anOrigin:
		if c := it.Stmt.Clause(schema.OriginMedium); c != nil {
			o := &b.d.Origins[x.id]
			o.Medium = c.Word("medium").Text
			b.d.Ports[o.Port].Medium = o.Medium
		}
	case aPassage, aHose:
		return b.wirePassage(y, it, int(x.id), x.what == aHose)
	case aCoil:
		return b.wireCoil(y, it, model.CoilID(x.id))
	case aContact:
		return b.wireContact(y, it, model.ContactID(x.id))
	case aChart:
		return b.wireChart(y, it, int(x.id))
	case aLoad:
		return b.wireLoad(y, it, model.LoadID(x.id))
	case aResistor, aDiode, aFuse:
		return b.wireTwoEnds(y, it, x)
	case aSender:
		return b.wireSender(y, it, int(x.id))
	case anInput:
		return b.wireInput(y, it, model.ReadingID(x.id))
	case aDriver:
		return b.wireDriver(y, it, model.DriverID(x.id))
	}
	return true
}

// element enters a two-terminal piece for a thing.
func (b *builder) element(e model.Element) model.ElementID {
	e.Used = 0
	b.d.Elements = append(b.d.Elements, e)
	return model.ElementID(len(b.d.Elements) - 1)
}

// ends finds the two points that a thing lies between.
func (b *builder) ends(y *body, st *syntax.Stmt, form schema.FormID) (p, q model.NodeID, ok bool) {
	c := st.Clause(form)
	if c == nil {
		return p, q, false
	}
	p, ok1 := b.node(y, c.Ref("a"), 0)
	q, ok2 := b.node(y, c.Ref("b"), 0)
	return p, q, ok1 && ok2
}

func (b *builder) wireWire(y *body, it *name.Item, id, number int) bool {
	c := it.Stmt.Clause(schema.WireEnds)
	if c == nil {
		return false
	}
	at := func(role string, half int) (model.NodeID, bool) {
		r := c.Ref(role)
		if r != nil && r.Each {
			return b.nodeEach(y, r, half, number)
		}
		return b.node(y, r, half)
	}
	from, ok1 := at("from", 1)
	to, ok2 := at("to", 0)
	if !ok1 || !ok2 {
		return false
	}
	w := b.d.Wires[id]
	w.A, w.B = from, to
	if c := it.Stmt.Clause(schema.WireColour); c != nil {
		w.Colour = c.Word("colour").Text
	}
	if v, ok := b.value(y, it.Stmt, schema.WireArea, "area"); ok {
		w.Area, w.AreaSet = v.Float64(), true
	}
	if v, ok := b.value(y, it.Stmt, schema.WireLength, "length"); ok {
		w.Length, w.LenSet = v.Float64(), true
	}
	b.wireArguments(y, it, &w)
	if v, ok := b.value(y, it.Stmt, schema.WireRated, "current"); ok {
		w.Rated = v.Float64()
	}
	if !w.AreaSet {
		w.Area = b.assume(y, it, DefaultWireArea, unit.Area, "cross-section").Nominal
	}
	if !w.LenSet {
		w.Length = b.assume(y, it, DefaultWireLength, unit.Length, "length").Nominal
	}
	w.Celsius = DefaultWireCelsius
	if v, ok := b.value(y, it.Stmt, schema.WireAt, "temperature"); ok {
		w.Celsius = v.Float64()
	}
	ohm := model.Exactly(WireOhm(w.Area, w.Length, w.Celsius))
	ohm.Assumed = !w.AreaSet || !w.LenSet
	ohm.Place = w.Place
	w.Element = b.element(model.Element{Info: w.Info, Type: model.ElemWire, A: from, B: to, Ohm: ohm, Metal: true, Of: id})
	b.d.Wires[id] = w
	return true
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

func (b *builder) wireConnector(y *body, it *name.Item, id model.ConnectorID) {
	k := b.d.Connectors[id]
	if c := it.Stmt.Clause(schema.ConnectorColour); c != nil {
		k.Colour = c.Word("colour").Text
	}
	if c := it.Stmt.Clause(schema.ConnectorKeyed); c != nil {
		k.Key = c.Word("key").Text
	}
	if c := it.Stmt.Clause(schema.ConnectorPlugsOnto); c != nil {
		b.plugsOnto(y, it, &k, c)
	}
	for _, c := range it.Stmt.All(schema.ConnectorInReach) {
		r := c.Ref("other")
		t, ok := b.resolve(y, r)
		switch {
		case !ok:
		case t.what != aConnector:
			b.wrongThing(y, r, t, "a connector")
		default:
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
}

// plugsOnto joins the other half of a connector to the pins of a component.
func (b *builder) plugsOnto(y *body, it *name.Item, k *model.Connector, c clause) {
	refs := c.Refs("pins")
	if len(refs) != k.Ways {
		b.report(y, it.Stmt, diag.Finding{
			Rule: "wrong-kind", Place: it.Stmt.Place(c.Span), Subject: k.Path,
			Message: "`" + k.Path + "` has " + itoa(k.Ways) + " ways but plugs onto " + itoa(len(refs)) + " pins",
			Why:     "which way meets which pin is not said",
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

func (b *builder) wireSupply(y *body, it *name.Item, id model.SupplyID) bool {
	s := b.d.Supplies[id]
	c := it.Stmt.Clause(schema.SupplyEnds)
	v, ok := b.value(y, it.Stmt, schema.SupplyVolts, "volts")
	if c == nil || !ok {
		return false
	}
	inner := it.Defs[0].Inner
	at := func(role string) (model.NodeID, bool) {
		r := c.Ref(role)
		if r != nil && len(r.Parts) == 1 && inner != nil {
			if t := inner.Own(r.Parts[0].Text); t != nil {
				return b.terminal[id] + model.NodeID(t.Index), true
			}
		}
		return b.node(y, r, 0)
	}
	minus, ok1 := at("minus")
	plus, ok2 := at("plus")
	if !ok1 || !ok2 {
		return false
	}
	s.Minus, s.Plus = minus, plus
	s.Nominal, s.Lo, s.Hi = v, v, v
	volts := model.Exactly(v.Float64())
	volts.Place = s.Place
	if c := it.Stmt.Clause(schema.SupplyAnywhere); c != nil {
		if lo, hi, ok := b.span(y, c, "range"); ok && b.nominalWithin(y, it, &s, lo, hi, c) {
			s.Lo, s.Hi, s.HasRange = lo, hi, true
			volts.Min, volts.Max = lo.Float64(), hi.Float64()
		}
	}
	s.Element = b.element(model.Element{
		Info: s.Info, Type: model.ElemSupply, A: minus, B: plus, Volts: volts, OneWay: it.Stmt.Has(schema.SupplyOneWay), Of: int(id),
		Ohm: b.paramOf(y, it, schema.SupplyInside, "resistance", DefaultSupplyOhm, unit.Resistance, "inside resistance"),
	})
	b.d.Supplies[id] = s
	return true
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
		Why:     "no run of the design could have the voltage that it is named for",
		Help:    "widen the range or correct the nominal voltage",
	})
	return false
}

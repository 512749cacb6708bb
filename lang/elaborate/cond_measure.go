package elaborate

import (
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// measure lowers `current through X`, `volts A to B` and `volts at A`.
func (b *builder) measure(s scene, x *syntax.Subject) (model.Measure, unit.Dim, bool) {
	m := model.Measure{A: model.None, B: model.None, Element: model.None, Load: model.None}
	switch x.Kind {
	case syntax.CurrentThrough:
		t, ok := b.resolve(s.y, x.A)
		if !ok {
			return m, unit.Current, false
		}
		if s.acts && t.home != s.y { // its own drivers and shunts it may measure
			b.actsOnlyOnWhatItReads(s, x.A, t)
			return m, unit.Current, false
		}
		m.Kind = model.Amps
		m.Element, ok = b.elementOf(t)
		if !ok {
			b.wrong(s.y, x.A.Span, t, "current does not run through one piece of `"+x.A.String()+"`", "name a wire, fuse, coil, load, resistor, diode, supply, driver or a contact with one throw")
		}
		return m, unit.Current, ok && m.Element != model.None
	case syntax.VoltsBetween:
		m.Kind = model.Volts
		p, ok1 := b.measured(s, x.A)
		q, ok2 := b.measured(s, x.B)
		m.A, m.B = p, q
		return m, unit.Voltage, ok1 && ok2
	}
	m.Kind = model.Volts
	p, ok := b.measured(s, x.A)
	if ok && b.d.Ground == model.None {
		if !b.alone {
			b.noGround(s, x.A)
		}
		ok = false
	}
	m.A, m.B = p, b.d.Ground
	return m, unit.Voltage, ok
}

// measured finds a point at which volts are taken; a controller takes them at its own
// pins.
func (b *builder) measured(s scene, ref *syntax.Ref) (model.NodeID, bool) {
	n, ok := b.node(s.y, ref, 0)
	if ok && s.acts {
		t, _ := b.resolve(s.y, ref)
		if t.home != s.y {
			b.actsOnlyOnWhatItReads(s, ref, t)
			return n, false
		}
	}
	return n, ok
}

// elementOf is the one element of a thing.
func (b *builder) elementOf(t thing) (model.ElementID, bool) {
	switch {
	case t.kind == aWay:
		if ways := b.d.Connectors[t.id].WayElem; int(t.way) <= len(ways) {
			return ways[t.way-1], true
		}
		return model.None, true // it plugs onto pins that could not be understood
	case t.kind == schema.Contact && b.d.Contacts[t.id].Form == model.Changeover:
		return model.None, false
	case int(t.kind) < len(kinds) && kinds[t.kind].element != nil:
		return kinds[t.kind].element(b.d, t.id), true
	}
	return model.None, false
}

// onlyThrow is the element of a contact that has one throw.
func onlyThrow(d *model.Design, id int32) model.ElementID {
	if k := &d.Contacts[id]; k.Form == model.Break {
		return k.RestElem
	}
	return d.Contacts[id].WorkElem
}

func (b *builder) noGround(s scene, ref *syntax.Ref) {
	b.report(s.y, nil, diag.Finding{
		Rule: "no-ground", Place: s.place(ref.Span), Subject: s.owner.Path,
		Message: "`" + ref.String() + "` is measured against ground, but the design has no ground",
		Why:     "without ground, only voltages between two points have a meaning",
		Help:    "declare it: ground block, or write volts A to B",
	})
}

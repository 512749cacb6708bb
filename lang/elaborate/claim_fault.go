package elaborate

import (
	"fmt"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

func (b *builder) fault(y *body, st *syntax.Stmt, d *name.Def) {
	f := model.Fault{Info: b.info(y, d), Text: headText(st)}
	for _, c := range st.Clauses() {
		if c.Broken {
			f.Broken = true
			continue
		}
		var a model.FaultAction
		ok := false
		switch c.Form.ID {
		case schema.FaultSwap:
			a, ok = b.swap(y, st, c)
		case schema.FaultFail:
			a, ok = b.failure(y, st, c)
		}
		if ok {
			f.Actions = append(f.Actions, a)
		} else {
			f.Broken = true
		}
	}
	b.d.Faults = append(b.d.Faults, f)
}

// swap is two connectors plugged where the other belongs.
func (b *builder) swap(y *body, st *syntax.Stmt, c clause) (model.FaultAction, bool) {
	return b.swapped(y, st, c.Ref("a"), c.Ref("b"), st.Place(c.Span))
}

func (b *builder) swapped(y *body, st *syntax.Stmt, first, second *syntax.Ref, at diag.Place) (model.FaultAction, bool) {
	a := model.FaultAction{Mode: model.FaultSwapped, Place: at}
	one := func(r *syntax.Ref) (model.Thing, bool) {
		t, ok := b.resolveAnything(y, r)
		if !ok {
			return model.Thing{}, false
		}
		if t.what != aConnector {
			b.wrongThing(y, r, t, "a connector")
			return model.Thing{}, false
		}
		return model.Thing{Kind: model.ThingConnector, Index: int(t.id), Path: b.d.Connectors[t.id].Path}, true
	}
	x, ok1 := one(first)
	z, ok2 := one(second)
	if !ok1 || !ok2 {
		return a, false
	}
	if p, q := b.d.Connectors[x.Index].Ways, b.d.Connectors[z.Index].Ways; p != q {
		b.report(y, st, diag.Finding{
			Rule: "wrong-kind", Place: a.Place,
			Message: fmt.Sprintf("`%s` has %d ways and `%s` has %d: they can't be swapped", x.Path, p, z.Path, q),
			Why:     "a plug goes into a half of as many ways",
			Help:    "swap connectors of the same number of ways",
		})
		return a, false
	}
	a.Thing, a.Other = x, z
	return a, true
}

// modesOf are the ways in which each kind of thing can fail.
var modesOf = map[what][]model.FaultMode{
	aWire:      {model.FaultOpen, model.FaultToGround, model.FaultToFeed},
	aCoil:      {model.FaultOpen, model.FaultShorted, model.FaultToGround, model.FaultToFeed},
	aLoad:      {model.FaultOpen, model.FaultShorted, model.FaultToGround, model.FaultToFeed},
	aResistor:  {model.FaultOpen, model.FaultShorted, model.FaultToGround, model.FaultToFeed},
	aDiode:     {model.FaultOpen, model.FaultShorted, model.FaultToGround, model.FaultToFeed},
	aConnector: {model.FaultOff},
	aHose:      {model.FaultOff},
	aFuse:      {model.FaultBlown},
	aContact:   {model.FaultStuckMade, model.FaultStuckOpen},
	aDriver:    {model.FaultStuckOn, model.FaultStuckOff},
	aPassage:   {model.FaultStuckOpen, model.FaultStuckShut},
	aSender:    {model.FaultSilent, model.FaultStuck},
}

func (b *builder) failure(y *body, st *syntax.Stmt, c clause) (model.FaultAction, bool) {
	return b.fails(y, c.Ref("thing"), c.Word("mode"), st.Place(c.Span))
}

// fails is a thing that fails in a mode.
func (b *builder) fails(y *body, r *syntax.Ref, w syntax.Word, at diag.Place) (model.FaultAction, bool) {
	a := model.FaultAction{Place: at}
	t, ok := b.resolveAnything(y, r)
	if !ok {
		return a, false
	}
	th, ok := b.failing(y, r, t)
	if !ok {
		return a, false
	}
	for _, m := range modesOf[t.what] {
		if string(m) == w.Text {
			a.Thing, a.Mode = th, m
			return a, true
		}
	}
	var can []string
	for _, m := range modesOf[t.what] {
		can = append(can, string(m))
	}
	b.wrong(y, w.Span, t, "`"+r.String()+"` is "+article(wordOf(t))+" and does not fail as `"+w.Text+"`", "it can fail "+listOf(can))
	return a, false
}

// failing points at what fails.
func (b *builder) failing(y *body, r *syntax.Ref, t thing) (model.Thing, bool) {
	th := model.Thing{Index: int(t.id)}
	if i := b.infoOf(t.entity); i != nil {
		th.Path = i.Path
	}
	switch t.what {
	case aConnector:
		th.Kind = model.ThingConnector
	case aHose, aPassage:
		th.Kind = model.ThingPassage
	case aContact:
		th.Kind = model.ThingContact
	case aDriver:
		th.Kind = model.ThingDriver
	case aSender:
		th.Kind = model.ThingSender
	case aWire, aCoil, aLoad, aResistor, aDiode, aFuse:
		e, _ := b.elementOf(t)
		th.Kind, th.Index = model.ThingElement, int(e)
		return th, e != model.None
	default:
		b.wrongThing(y, r, t, "a thing that can fail: a wire, coil, load, resistor, diode, fuse, contact, connector, hose, driver, passage or sender")
		return th, false
	}
	return th, true
}

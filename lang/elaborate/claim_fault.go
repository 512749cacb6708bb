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
		if !ok || !b.mayBe(y, r, t, schema.FormOf(schema.FaultSwap).Slot("a")) {
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
			Why:     "a plug fits only a half with the same number of ways",
			Help:    "swap connectors of the same number of ways",
		})
		return a, false
	}
	a.Thing, a.Other = x, z
	return a, true
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
	var can []string
	for _, m := range schema.Of(t.kind).Fails {
		if string(m) == w.Text {
			a.Thing, a.Mode = th, m
			return a, true
		}
		can = append(can, string(m))
	}
	b.wrong(y, w.Span, t, "`"+r.String()+"` is "+article(wordOf(t))+" and does not fail as `"+w.Text+"`", "it can fail "+listOf(can))
	return a, false
}

// failing points at what fails.
func (b *builder) failing(y *body, r *syntax.Ref, t thing) (model.Thing, bool) {
	if !b.mayBe(y, r, t, schema.FormOf(schema.FaultFail).Slot("thing")) {
		return model.Thing{}, false
	}
	th := model.Thing{Kind: model.ThingElement, Index: int(t.id), Path: b.infoOf(t.entity).Path}
	switch t.kind {
	case schema.Connector:
		th.Kind = model.ThingConnector
	case schema.Hose, schema.Passage:
		th.Kind = model.ThingPassage
	case schema.Contact:
		th.Kind = model.ThingContact
	case schema.Driver:
		th.Kind = model.ThingDriver
	case schema.Sender:
		th.Kind = model.ThingSender
	default:
		e, _ := b.elementOf(t)
		th.Index = int(e)
		return th, e != model.None
	}
	return th, true
}

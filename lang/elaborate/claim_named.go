package elaborate

import (
	"slices"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// naming is a claim that names faults, which may be declared further down.
type naming struct {
	y           *body
	clause      clause
	requirement int
	notice      int // or None
}

// nameFaults finds the faults that claims name.
func (b *builder) nameFaults() {
	for _, n := range b.naming {
		if n.notice != model.None {
			b.nameNoticed(n)
			continue
		}
		if n.requirement >= len(b.d.Requirements) || b.d.Requirements[n.requirement].DespitePlace.Span != n.clause.Span {
			continue // it was not kept
		}
		r := &b.d.Requirements[n.requirement]
		found, ok := b.namedFaults(n.y, n.clause)
		r.Broken = r.Broken || !ok
		if n.clause.Form.ID == schema.RequireDespiteBut {
			r.With.But = found
		} else {
			r.With.Only = found
		}
	}
}

// namedFaults finds the faults of a clause; ok is false where one could not be.
func (b *builder) namedFaults(y *body, c clause) (out []model.NamedFault, ok bool) {
	ok = true
	for _, f := range c.Faults("faults") {
		one, found := b.namedFault(y, &f)
		if !found {
			ok = false
			continue
		}
		if i := slices.IndexFunc(out, func(other model.NamedFault) bool { return other.Words == one.Words }); i >= 0 {
			b.report(y, nil, diag.Finding{
				Rule: "clause-twice", Place: one.Place, Message: "`" + one.Words + "` is named twice",
				Why: "one of the two has no effect", Help: "take one away",
				Related: []diag.Related{{Place: out[i].Place, Note: "named here already"}},
			})
			continue
		}
		out = append(out, one)
	}
	return out, ok
}

func (b *builder) namedFault(y *body, f *syntax.FaultName) (model.NamedFault, bool) {
	out := model.NamedFault{Declared: model.None, Place: diag.Place{File: y.scope.File.Src, Span: f.Span}}
	var a model.FaultAction
	ok := false
	switch {
	case f.Other != nil:
		a, ok = b.swapped(y, nil, f.Thing, f.Other, out.Place)
		out.Words = "swap " + f.Thing.String() + " with " + f.Other.String()
	case f.Mode.Text != "":
		a, ok = b.fails(y, f.Thing, f.Mode, out.Place)
		out.Words = f.Thing.String() + " " + f.Mode.Text
	default:
		return b.declaredFault(y, f.Thing, out)
	}
	out.Actions = []model.FaultAction{a}
	return out, ok
}

// declaredFault finds a `fault` by its name.
func (b *builder) declaredFault(y *body, r *syntax.Ref, out model.NamedFault) (model.NamedFault, bool) {
	out.Words = r.String()
	var d *name.Def
	for z := y; z != nil && d == nil; z = z.outer {
		d = z.scope.Claim(out.Words, schema.Fault)
	}
	for i := range b.d.Faults {
		if f := &b.d.Faults[i]; d != nil && f.NamePlace == d.NamePlace {
			b.note(y, r.Span, d)
			f.Used++
			out.Declared, out.Actions = i, f.Actions
			return out, !f.Broken
		}
	}
	// A thing without a way in which it fails?
	if name.Resolve(y.scope, r) != nil {
		t, ok := b.resolveAnything(y, r)
		if !ok {
			return out, false
		}
		if _, ok := b.failing(y, r, t); !ok {
			return out, false
		}
		var can []string
		for _, m := range schema.Of(t.kind).Fails {
			can = append(can, out.Words+" "+string(m))
		}
		b.wrong(y, r.Span, t, "how `"+out.Words+"` fails is not said", "write "+listOf(can))
		return out, false
	}
	names := make([]string, 0, len(b.d.Faults))
	for i := range b.d.Faults {
		names = append(names, b.d.Faults[i].Name)
	}
	f := diag.Finding{
		Rule: "undefined-name", Place: out.Place, Message: "no fault is called `" + out.Words + "`",
		Why:  "a line that uses this name has no effect",
		Help: "write the thing and how it fails, `W18 open`, or the name of a `fault` that is declared",
	}
	if best := nearest(out.Words, names); best != "" {
		didYouMean(&f, best)
	}
	b.report(y, nil, f)
	return out, false
}

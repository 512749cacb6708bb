package navigate

import (
	"context"
	"slices"

	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// References lists every place of the workspace that names what is named at a byte
// offset, in the order of files and text; its definitions are among them if they are
// wanted.
func References(ctx context.Context, v *ide.View, off int, definitions bool) ([]diag.Place, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	d, _ := ide.DefinitionAt(x, v.Tree, off)
	if d == nil {
		return nil, nil
	}
	var out []diag.Place
	for _, t := range ide.Twins(d) {
		uses, err := ide.UsesEverywhere(ctx, v, t)
		if err != nil {
			return nil, err
		}
		out = append(out, uses...)
		if definitions {
			out = append(out, t.NamePlace)
		}
		out = append(out, shownAt(t)...)
	}
	slices.SortFunc(out, diag.Place.Compare)
	return slices.CompactFunc(out, func(a, b diag.Place) bool { return a.Compare(b) == 0 }), nil
}

// shownAt lists the places of `shows` lines that name a definition of a part.
func shownAt(d *name.Def) []diag.Place {
	if d.In == nil || d.In.Kind != name.OfPart || !d.In.Shown[d.Name] {
		return nil
	}
	var out []diag.Place
	for i := range d.In.Items {
		st := d.In.Items[i].Stmt
		if st.Kind.ID != schema.Shows {
			continue
		}
		for _, w := range st.Head().Names {
			if w.Text == d.Name {
				out = append(out, st.Place(w.Span))
			}
		}
	}
	return out
}

// Highlight is a place of the document that names what the cursor is on. Write: it
// decides what that is: its declaration, what sets a setting or moves a quantity, what
// makes it fail.
type Highlight struct {
	source.Span
	Write bool
}

// Highlights lists the places of the document that name what is named at a byte offset.
func Highlights(ctx context.Context, v *ide.View, off int) ([]Highlight, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	d, _ := ide.DefinitionAt(x, v.Tree, off)
	if d == nil {
		return nil, nil
	}
	var out []Highlight
	add := func(p diag.Place, write bool) {
		if p.File == v.Src() && !slices.ContainsFunc(out, func(h Highlight) bool { return h.Span == p.Span }) {
			out = append(out, Highlight{p.Span, write})
		}
	}
	for _, t := range ide.Twins(d) {
		add(t.NamePlace, true)
		for _, p := range shownAt(t) {
			add(p, false)
		}
		for _, p := range x.UsesOf(t) {
			if p.File == v.Src() {
				add(p, moves(v.Tree, p.Start))
			}
		}
	}
	slices.SortFunc(out, func(a, b Highlight) int { return a.Start - b.Start })
	return out, nil
}

// moving are the clauses whose first path is changed by them.
var moving = map[schema.FormID]bool{
	schema.StepSetPosition: true, schema.StepSetValue: true, schema.StepRamp: true,
	schema.StepFail: true, schema.StepMend: true, schema.StepSwap: true, schema.FaultFail: true, schema.FaultSwap: true,
}

// moves reports whether the clause at an offset changes what is named there.
func moves(f *syntax.File, off int) bool {
	st := ide.StmtAt(f, off)
	if st == nil {
		return false
	}
	c := ide.ClauseAt(st, off)
	return c != nil && c.Form != nil && moving[c.Form.ID]
}

package navigate

import (
	"context"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lsp/ide"
)

// Target is a place that one can go to.
type Target struct {
	Origin source.Span // the name in the document that leads there
	File   *source.File
	Full   source.Span // the whole statement
	Name   source.Span // the name in it
}

func target(origin source.Span, d *name.Def) Target {
	t := Target{Origin: origin, File: d.NamePlace.File, Full: d.NamePlace.Span, Name: d.NamePlace.Span}
	if d.Stmt != nil && d.Stmt.Span.Start <= t.Name.Start && t.Name.End <= d.Stmt.Span.End {
		t.Full = d.Stmt.Span
	}
	return t
}

// Definition finds where the name at a byte offset is declared.
func Definition(ctx context.Context, v *ide.View, off int) ([]Target, error) {
	if t, ok := usedFile(ctx, v, off); ok {
		return t, nil
	}
	return targets(ctx, v, off, ide.Twins)
}

// Declaration finds what says that a name can be used where it is: the `shows` line of a
// part for what is seen from outside, the `use` line for what another file declares, and
// the definition where neither is needed.
func Declaration(ctx context.Context, v *ide.View, off int) ([]Target, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	d, span := ide.DefinitionAt(x, v.Tree, off)
	if d == nil {
		return Definition(ctx, v, off)
	}
	s := ide.Naming(d.In)
	if s != nil && s.Kind == name.OfPart && s.Shown[d.Name] && !s.Span.Contains(off) {
		for i := range s.Items {
			st := s.Items[i].Stmt
			if st.Kind.ID != schema.Shows {
				continue
			}
			for _, w := range st.Head().Names {
				if w.Text == d.Name {
					return []Target{{Origin: span, File: st.File().Src, Full: st.Span, Name: w.Span}}, nil
				}
			}
		}
	}
	return Definition(ctx, v, off)
}

// TypeDefinition finds what something is made of: of a fit its part, of an argument's use
// the argument, of a path through a fit the part that holds what it names.
func TypeDefinition(ctx context.Context, v *ide.View, off int) ([]Target, error) {
	return targets(ctx, v, off, func(d *name.Def) []*name.Def {
		if part := name.PartOf(d); part != nil {
			return []*name.Def{part}
		}
		for s := d.In; s != nil && s.Owner != nil; s = s.Owner.In {
			if s.Kind == name.OfPart {
				return []*name.Def{s.Owner}
			}
			if s.Kind == name.OfMembers {
				return []*name.Def{s.Owner}
			}
		}
		return nil
	})
}

// Implementation finds where a part is put in place, in all roots that the document is
// part of; of an argument, where it is given.
func Implementation(ctx context.Context, v *ide.View, off int) ([]Target, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	d, span := ide.DefinitionAt(x, v.Tree, off)
	if d == nil || d.Sort != name.Thing {
		return nil, nil
	}
	var out []Target
	switch d.Kind {
	case schema.Fit:
		if part := name.PartOf(d); part != nil {
			d = part
			break
		}
		return []Target{target(span, d)}, nil
	case schema.Part:
	case schema.Takes:
		places, err := ide.UsesEverywhere(ctx, v, d)
		if err != nil {
			return nil, err
		}
		for _, p := range places {
			if d.In == nil || p.File != d.NamePlace.File || !d.In.Span.Contains(p.Start) {
				out = append(out, Target{Origin: span, File: p.File, Full: p.Span, Name: p.Span})
			}
		}
		return out, nil
	default:
		return nil, nil
	}
	err = ide.EachRoot(ctx, v, d, func(x *name.Index, same *name.Def) {
		for _, s := range x.Files() {
			for _, f := range x.Definitions(s.File.Src) {
				if f.Kind == schema.Fit && f.Sort == name.Thing && name.PartOf(f) == same {
					t := target(span, f)
					if !hasTarget(out, t) {
						out = append(out, t)
					}
				}
			}
		}
	})
	return out, err
}

func hasTarget(list []Target, t Target) bool {
	for _, o := range list {
		if o.File.Name == t.File.Name && o.Name == t.Name {
			return true
		}
	}
	return false
}

func targets(ctx context.Context, v *ide.View, off int, find func(*name.Def) []*name.Def) ([]Target, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	d, span := ide.DefinitionAt(x, v.Tree, off)
	if d == nil {
		return nil, nil
	}
	var out []Target
	for _, t := range find(d) {
		if t.NamePlace.File != nil {
			out = append(out, target(span, t))
		}
	}
	return out, nil
}

// usedFile finds the file that the path of a `use` at a byte offset leads to.
func usedFile(ctx context.Context, v *ide.View, off int) ([]Target, bool) {
	st := ide.StmtAt(v.Tree, off)
	if st == nil || st.Kind == nil || st.Kind.ID != schema.Use {
		return nil, false
	}
	h := st.Head()
	if h.Text == nil || !h.Text.Span.Contains(off) {
		return nil, false
	}
	f, err := v.Root.Loaded(ctx, v.Tree, h.Text.Text)
	if err != nil || f == nil {
		return nil, true
	}
	return []Target{{Origin: h.Text.Span, File: f.Src}}, true
}

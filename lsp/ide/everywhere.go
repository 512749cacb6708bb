package ide

import (
	"context"

	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/source"
)

// Twins are all definitions of one name in one scope: those under other options are as
// good as the first.
func Twins(d *name.Def) []*name.Def {
	if d.In == nil {
		return []*name.Def{d}
	}
	var out []*name.Def
	for t := d.In.Own(d.Name); t != nil; t = t.Twin {
		out = append(out, t)
	}
	for _, t := range out {
		if t == d {
			return out
		}
	}
	return []*name.Def{d} // a claim: its name stands by itself
}

// AllRoots lists the roots of the document, then all others of the workspace.
func AllRoots(ctx context.Context, v *View) ([]*Root, error) {
	out := append([]*Root{}, v.Roots...)
	seen := map[string]bool{}
	for _, r := range out {
		seen[r.Name()] = true
	}
	if v.Root != nil && !seen[v.Root.Name()] {
		out = append(out, v.Root)
		seen[v.Root.Name()] = true
	}
	names, err := v.Workspace.Names(ctx)
	if err != nil {
		return nil, err
	}
	for _, n := range names {
		if seen[n] {
			continue
		}
		r, err := v.Workspace.Root(ctx, n)
		if err != nil {
			return nil, err
		}
		if r != nil {
			out = append(out, r)
		}
	}
	return out, nil
}

// EachRoot calls f for every root of the workspace, and every one that the document is
// part of, that a definition is known in, with the definition as it is there.
func EachRoot(ctx context.Context, v *View, d *name.Def, f func(*name.Index, *name.Def)) error {
	roots, err := AllRoots(ctx, v)
	if err != nil {
		return err
	}
	for _, r := range roots {
		if err := ctx.Err(); err != nil {
			return err
		}
		read, err := r.Read(ctx)
		if err != nil {
			return err
		}
		if same := Same(read.Index, d); same != nil && same.Name == d.Name {
			f(read.Index, same)
		}
	}
	return nil
}

// UsesEverywhere lists the places in all roots that name a definition, each once, without
// its own.
func UsesEverywhere(ctx context.Context, v *View, d *name.Def) ([]diag.Place, error) {
	var out []diag.Place
	seen := map[string]map[source.Span]bool{}
	err := EachRoot(ctx, v, d, func(x *name.Index, same *name.Def) {
		for _, p := range append(x.UsesOf(same), Spoken(x, same)...) {
			if seen[p.File.Name] == nil {
				seen[p.File.Name] = map[source.Span]bool{}
			}
			if !seen[p.File.Name][p.Span] {
				seen[p.File.Name][p.Span] = true
				out = append(out, p)
			}
		}
	})
	return out, err
}

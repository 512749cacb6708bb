package action

import (
	"context"
	"slices"

	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// errNotHere says why a change that was offered can't be made after all.
func errNotHere(why string) error { return ide.Refused("that can't be done here: %s", why) }

// noWorse reads the roots that an edit touches anew, as they would be after it, and fails
// where that finds anything that was not there before: an edit that its author did not
// foresee everything of is not made.
func noWorse(ctx context.Context, v *ide.View, edits []diag.Edit) error {
	byFile := map[string][]diag.Edit{}
	texts := map[string]*source.File{}
	for _, x := range edits {
		byFile[x.File.Name] = append(byFile[x.File.Name], x)
		texts[x.File.Name] = x.File
	}
	after := map[string]*syntax.File{}
	for name, own := range byFile {
		after[name] = syntax.Parse(source.NewFile(name, ide.Apply(texts[name].Text, own)), nil)
	}
	roots, err := ide.AllRoots(ctx, v)
	if err != nil {
		return err
	}
	for _, r := range roots {
		read, err := r.Read(ctx)
		if err != nil {
			return err
		}
		if !slices.ContainsFunc(read.Files, func(f *syntax.File) bool { return after[f.Src.Name] != nil }) {
			continue
		}
		tree := r.Tree
		if t := after[tree.Src.Name]; t != nil {
			tree = t
		}
		again := elaborate.Elaborate(ctx, tree, ide.Overlay{Loader: r.Loader, Files: after})
		if err := ctx.Err(); err != nil {
			return err
		}
		if f := fresh(complaints(read), complaints(again)); f != nil {
			return errNotHere(f.Message)
		}
	}
	return nil
}

// complaints are the findings of reading a root.
func complaints(r *elaborate.Result) []diag.Finding {
	out := slices.Clone(r.Findings)
	for _, f := range r.Files {
		out = append(out, f.Findings...)
	}
	return out
}

// fresh returns a finding that was not there before, wherever it stood.
func fresh(before, after []diag.Finding) *diag.Finding {
	type said struct{ rule, message string }
	had := map[said]int{}
	for _, f := range before {
		had[said{f.Rule, f.Message}]++
	}
	for i := range after {
		k := said{after[i].Rule, after[i].Message}
		if had[k]--; had[k] < 0 {
			return &after[i]
		}
	}
	return nil
}

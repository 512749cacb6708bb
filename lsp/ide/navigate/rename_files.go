package navigate

import (
	"context"
	"strings"

	"pintle/checker/run/files"
	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lsp/ide"
)

// Moved is a file or folder that gets another name; both are absolute with slashes.
type Moved struct{ Old, New string }

// RenameFiles returns the edits by which the files of a workspace go on using each other
// when some of them, or folders that they are in, get other names. The edits are in the
// files as they are called before.
func RenameFiles(ctx context.Context, w ide.Workspace, moved []Moved) ([]diag.Edit, error) {
	names, err := w.Names(ctx)
	if err != nil {
		return nil, err
	}
	var out []diag.Edit
	for _, n := range names {
		r, err := w.Root(ctx, n)
		if err != nil {
			return nil, err
		}
		if r == nil {
			continue
		}
		for _, st := range r.Tree.Stmts {
			if st.Kind == nil || st.Kind.ID != schema.Use || st.Head().Text == nil {
				continue
			}
			// The quotes stay; a text whose closing one is missing is not touched.
			written := st.Head().Text
			if written.Text == "" || written.Len() != len(written.Text)+2 || files.IsAbs(written.Text) {
				continue
			}
			used := files.Join(files.Dir(n), written.Text)
			from, to := movedName(n, moved), movedName(used, moved)
			if from == n && to == used {
				continue
			}
			rel := ide.Relative(files.Dir(from), to)
			if rel == "" || rel == files.Clean(written.Text) || !ide.Quotable(rel) {
				continue
			}
			inner := source.Span{Start: written.Start + 1, End: written.End - 1}
			out = append(out, ide.Replace(r.Tree.Src, inner, rel))
		}
	}
	return out, nil
}

// movedName is what a file is called after the moves.
func movedName(name string, moved []Moved) string {
	for _, m := range moved {
		old, to := strings.TrimSuffix(m.Old, "/"), strings.TrimSuffix(m.New, "/")
		if name == old {
			return to
		}
		if rest, ok := strings.CutPrefix(name, old+"/"); ok {
			return to + "/" + rest
		}
	}
	return name
}

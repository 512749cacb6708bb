package ide

import (
	"context"
	"strings"
	"unicode"
	"unicode/utf8"

	"pintle/checker/run/files"
	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
)

// Moved is a file or folder that gets another name; both are absolute with slashes.
type Moved struct{ Old, New string }

// RenameFiles returns the edits by which the files of a workspace go on using each other
// when some of them, or folders that they are in, get other names. The edits are in the
// files as they are called before.
func RenameFiles(ctx context.Context, w Workspace, moved []Moved) ([]diag.Edit, error) {
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
			rel := relative(files.Dir(from), to)
			if rel == "" || rel == files.Clean(written.Text) || !quotable(rel) {
				continue
			}
			inner := source.Span{Start: written.Start + 1, End: written.End - 1}
			out = append(out, replace(r.Tree.Src, inner, rel))
		}
	}
	return out, nil
}

// quotable reports whether a path can stand in quotes, whatever a file may be called: one
// that can't would end the text, or the line, and what follows would be read as statements.
// The `use` line then stays as it is, and a finding says that the file is missing.
func quotable(p string) bool {
	return utf8.ValidString(p) && !strings.ContainsFunc(p, func(r rune) bool {
		return r == '"' || unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp, unicode.Bidi_Control)
	})
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

package navigate

import (
	"context"

	"pintle/lang/escape"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lsp/ide"
)

// Link is a place of a document that leads to a file.
type Link struct {
	source.Span
	File string // its name
	Tip  string
}

// Links lists the paths of `use`, as far as there are such files.
func Links(ctx context.Context, v *ide.View) ([]Link, error) {
	var out []Link
	for _, st := range v.Tree.Stmts {
		if st.Kind == nil || st.Kind.ID != schema.Use {
			continue
		}
		h := st.Head()
		if h.Text == nil || h.Text.Text == "" {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		f, err := v.Root.Loaded(ctx, v.Tree, h.Text.Text)
		if err != nil || f == nil {
			continue // there is a finding that the file is missing
		}
		span := h.Text.Span
		if span.Len() >= 2+len(h.Text.Text) {
			span.Start, span.End = span.Start+1, span.Start+1+len(h.Text.Text)
		}
		out = append(out, Link{Span: span, File: f.Src.Name, Tip: "Open " + escape.Line(ide.Shown(f.Src.Name, v.Workspace.Folders()))})
	}
	return out, nil
}

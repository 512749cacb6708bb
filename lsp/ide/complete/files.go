package complete

import (
	"strings"

	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/lang/escape"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lsp/ide"
)

func (c *completer) text0() {
	if len(c.Before) > 0 || !c.opts.Snippets {
		return
	}
	c.add(Item{Label: `"…"`, Kind: ItemWord, Detail: "text in quotes", Text: `"$1"$0`, Snippet: true, Sort: rank('a', 0)})
}

func (c *completer) files() error {
	names, err := c.v.Workspace.Names(c.ctx)
	if err != nil {
		return err
	}
	own := c.File.Src.Name
	used := map[string]bool{own: true}
	for _, st := range c.File.Stmts {
		if st.Kind != nil && st.Kind.ID == schema.Use && st != c.Stmt && st.Head().Text != nil {
			used[files.Join(files.Dir(own), st.Head().Text.Text)] = true
		}
	}
	inner := source.Span{Start: c.Text.Start + 1, End: c.Text.End}
	if len(c.Text.Text) > 1 && strings.HasSuffix(c.Text.Text, `"`) {
		inner.End--
	}
	for _, n := range names {
		if used[n] || !strings.HasSuffix(n, run.Extension) || !files.IsAbs(n) || !files.IsAbs(own) || !ide.Quotable(n) {
			continue
		}
		rel := ide.Relative(files.Dir(own), n)
		if strings.Contains(rel, `"`) || escape.Line(rel) != rel {
			continue // it can't be written between quotes, or would not be seen as it is
		}
		c.add(Item{
			Label: rel, Kind: ItemFile, Sort: rank('a', strings.Count(rel, "/")), Replace: inner,
			Insert: source.Span{Start: inner.Start, End: min(max(c.Off, inner.Start), inner.End)},
		})
	}
	return nil
}

package ide

import (
	"strings"

	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/lang/escape"
	"pintle/lang/schema"
	"pintle/lang/source"
)

func (c *completer) text0() {
	if len(c.before) > 0 || !c.opts.Snippets {
		return
	}
	c.add(CompletionItem{Label: `"…"`, Kind: ItemWord, Detail: "text in quotes", Text: `"$1"$0`, Snippet: true, Sort: rank('a', 0)})
}

func (c *completer) files() error {
	names, err := c.v.Workspace.Names(c.ctx)
	if err != nil {
		return err
	}
	own := c.file.Src.Name
	used := map[string]bool{own: true}
	for _, st := range c.file.Stmts {
		if st.Kind != nil && st.Kind.ID == schema.Use && st != c.stmt && st.Head().Text != nil {
			used[files.Join(files.Dir(own), st.Head().Text.Text)] = true
		}
	}
	inner := source.Span{Start: c.text.Start + 1, End: c.text.End}
	if len(c.text.text) > 1 && strings.HasSuffix(c.text.text, `"`) {
		inner.End--
	}
	for _, n := range names {
		if used[n] || !strings.HasSuffix(n, run.Extension) || !files.IsAbs(n) || !files.IsAbs(own) || !quotable(n) {
			continue
		}
		rel := relative(files.Dir(own), n)
		if strings.Contains(rel, `"`) || escape.Line(rel) != rel {
			continue // it can't be written between quotes, or would not be seen as it is
		}
		c.add(CompletionItem{
			Label: rel, Kind: ItemFile, Sort: rank('a', strings.Count(rel, "/")), Replace: inner,
			Insert: source.Span{Start: inner.Start, End: min(max(c.off, inner.Start), inner.End)},
		})
	}
	return nil
}

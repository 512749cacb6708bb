package ide_test

import (
	"strings"
	"testing"

	"pintle/checker/checktest/library"
	"pintle/lang/source"
	"pintle/lsp/ide/action"
	"pintle/lsp/ide/idetest"
	"pintle/lsp/ide/layout"
	"pintle/lsp/ide/lens"
	"pintle/lsp/ide/show"
)

// BenchmarkEditing asks for what an editor shows of a design of 5,000 lines, of which the
// names are known.
func BenchmarkEditing(b *testing.B) {
	text := library.Design(5000)
	v := idetest.Files(b, map[string]string{"main.pintle": text}, "main.pintle")
	middle := strings.Index(text[len(text)/2:], "fit L") + len(text)/2
	screen := source.Span{Start: middle, End: middle + 2000}
	ask := func(name string, f func() error) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := f(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	ask("tokens", func() error { _, err := show.Tokens(b.Context(), v, whole(v)); return err })
	ask("tokens of a screen", func() error { _, err := show.Tokens(b.Context(), v, screen); return err })
	ask("hints of a screen", func() error { _, err := show.Hints(b.Context(), v, screen); return err })
	ask("folds", func() error { layout.Folds(v.Tree); return nil })
	ask("swatches", func() error { show.Swatches(v.Tree); return nil })
	ask("formatting", func() error { layout.Formatting(v.Tree); return nil })
	ask("a new line", func() error { layout.FormatTyped(v.Tree, middle, "\n"); return nil })
	ask("lenses", func() error { _, err := lens.Lenses(b.Context(), v); return err })
	ask("actions", func() error {
		_, err := action.Actions(b.Context(), v, action.ActionRequest{Span: source.Span{Start: middle, End: middle}})
		return err
	})
}

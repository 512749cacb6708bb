package ide_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	defs "pintle/lang/name"
	"pintle/lang/source"
	"pintle/lsp/ide"
	"pintle/lsp/ide/complete"
	"pintle/lsp/ide/idetest"
)

// TestOffersFit puts names that are offered in the place of those that were written and
// demands that reading the design then finds nothing wrong with them: no name that is not
// known, and none of a thing that has no business there.
func TestOffersFit(t *testing.T) {
	all := corpus(t)
	for name := range all {
		if strings.HasPrefix(name, "faulty/") || testing.Short() && !strings.HasPrefix(name, "kick") {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v := idetest.Examples(t, examples, name)
			read, err := v.Read(t.Context())
			require.NoError(t, err)
			var wrong []string
			asked := 0
			for i, u := range read.Index.Uses(v.Src()) {
				if i%7 != len(name)%7 || u.Def.Sort == defs.Lost {
					continue
				}
				if text := v.Src().Text; u.End < len(text) && text[u.End] == '.' {
					continue // on the way to something else
				}
				c, err := complete.At(t.Context(), v, u.Start, complete.Options{})
				require.NoError(t, err)
				items := slices.DeleteFunc(c.Items, func(it complete.Item) bool {
					return it.More.What != "def" || strings.HasPrefix(it.Detail, "number") || strings.Contains(it.Label, ".")
				})
				for j, it := range items {
					if j%5 != i%5 || way(v, it) {
						continue
					}
					asked++
					after := ide.Apply(v.Src().Text, []diag.Edit{{Place: diag.Place{File: v.Src(), Span: u.Span}, New: it.Label}})
					if bad := foundThere(t, name, after, all, u.Start, len(it.Label)); bad != "" {
						wrong = append(wrong, fmt.Sprintf("%s for %s in %q: %s", it.Label, u.Def.Name, v.Src().Line(v.Src().LineOf(u.Start)), bad))
					}
				}
			}
			assert.Emptyf(t, wrong, "%d of %d", len(wrong), asked)
		})
	}
}

// way reports whether an item only leads on to others.
func way(v *ide.View, it complete.Item) bool {
	return it.Kind == complete.ItemShortName || it.Kind == complete.ItemThing && (it.Detail == "fit" || it.Detail == "connector" || it.Detail == "supply" || it.Detail[0] >= 'A' && it.Detail[0] <= 'Z')
}

// notTheNames are findings that come of what was said of the other name, of its value, or
// of the options that this one is there with.
var notTheNames = []string{
	"neither true nor false by itself", "nothing can be asked of", "has no value to compare", "does not exist with these options",
	" takes a", "is set to a value", "can't be",
}

// foundThere is what reading finds wrong with the names at a place.
func foundThere(t *testing.T, name, text string, all map[string]string, at, n int) string {
	t.Helper()
	texts := map[string]string{name: text}
	for other, s := range all {
		if strings.HasPrefix(other, "parts/") && other != name {
			texts[other] = s
		}
	}
	v := idetest.Files(t, texts, name)
	read, err := v.Root.Read(t.Context())
	require.NoError(t, err)
	span := source.Span{Start: at, End: at + n}
	for _, f := range read.Findings {
		if slices.ContainsFunc(notTheNames, func(m string) bool { return strings.Contains(f.Message, m) }) {
			continue
		}
		if f.File == v.Src() && (f.Rule == "undefined-name" || f.Rule == "wrong-kind") && f.Span.Start <= span.End && span.Start <= f.Span.End {
			return f.Message
		}
	}
	return ""
}

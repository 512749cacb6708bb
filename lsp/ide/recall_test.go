package ide_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	defs "pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lsp/ide/complete"
	"pintle/lsp/ide/idetest"
)

// TestOffersWhatWasWritten takes the rest of a line away, word by word, in designs that
// are in order, and demands that completion offers what stood there: the name, the kind,
// the clause, the unit, the position. The designs hold every kind of the language.
func TestOffersWhatWasWritten(t *testing.T) {
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
			var missed []string
			asked := 0
			expect := func(what string, off int, label string) {
				for _, unopened := range []bool{false, true} {
					if unopened && (what == "kind" || !v.Tree.At(off).HasBody) {
						continue
					}
					asked++
					got := offered(t, name, v.Tree, all, off, unopened)
					if !slices.Contains(got, label) {
						line := v.Src().Line(v.Src().LineOf(off))
						missed = append(missed, fmt.Sprintf("%s %q in %q (offered %d, without its brace %v)", what, label, line, len(got), unopened))
					}
				}
			}
			for i, u := range read.Index.Uses(v.Src()) {
				if i%11 == len(name)%11 && u.Def.Sort != defs.Lost {
					expect("name", u.Start, v.Src().Text[u.Start:u.End])
				}
			}
			for i, st := range v.Tree.All() {
				if st.Kind == nil || i%11 != len(name)%11 {
					continue
				}
				expect("kind", st.KindWord().Start, st.Kind.Name)
				for _, c := range st.Clauses() {
					if lit := c.Form.Literal(); lit != "" && c.Form.ID != schema.StepSeeThroughout && c.Form.ID != schema.StepSeeOnce {
						expect("clause", c.Span.Start, lit)
					}
				}
				for n := range st.Nodes() {
					q, ok := n.(*syntax.Quantity)
					if !ok || q.Param != nil || q.Value.Unit.Symbol == "" || q.Ranged || q.Value.Unit.IsAWG() {
						continue
					}
					text := v.Src().Text[q.Span.Start:q.Span.End]
					if i := strings.IndexByte(text, ' '); i > 0 && strings.HasPrefix(text[i+1:], q.Value.Unit.Symbol) {
						expect("unit", q.Span.Start+i+1, q.Value.Unit.Symbol)
					}
				}
			}
			require.Positive(t, asked)
			assert.Emptyf(t, missed, "%d of %d", len(missed), asked)
		})
	}
}

// offered are the labels at an offset, after what follows it in its statement was taken
// away, up to the body of that; unopened takes the brace of the body away too.
func offered(t *testing.T, name string, tree *syntax.File, all map[string]string, off int, unopened bool) []string {
	t.Helper()
	text := tree.Src.Text
	st := tree.At(off)
	rest := text[st.Line.End:]
	switch {
	case off == st.Span.Start:
		rest = text[st.Span.End:] // a new statement
	case st.HasBody && !unopened:
		rest = " {" + rest
	}
	texts := map[string]string{name: text[:off] + rest}
	for n, other := range all {
		if strings.HasPrefix(n, "parts/") && n != name {
			texts[n] = other
		}
	}
	v := idetest.Files(t, texts, name)
	c, err := complete.At(t.Context(), v, off, complete.Options{})
	require.NoError(t, err)
	return labels(c)
}

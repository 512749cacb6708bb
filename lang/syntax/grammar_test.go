package syntax

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/lang/schema"
	"pintle/lang/source"
)

// The short cut for plain heads reads what the grammar reads, and leaves the same.
func TestPlainHeadsAreTheGrammars(t *testing.T) {
	heads := []string{
		"", "a", "a, b", "a, b, 87a, B+", "30", "1.5", "a.b", "a,", ",", "a b", `a "text"`, `"text"`, `"open`, "a -> b", "a to b", "any to b",
		"12V", "-3", "°", "a, b, ", "a {", "when a", "a\n, b", "a (b)", "2027-06-30",
	}
	for _, k := range schema.All() {
		for _, head := range heads {
			for _, tail := range []string{"", ": x", " {\n}", ": x {\n}"} {
				text := k.Name + " " + head + tail + "\n"
				src := source.NewFile("t.pintle", text)
				plain, grammar := parse(src, nil, false), parse(src, nil, true)
				require.Equal(t, len(grammar.order), len(plain.order), text)
				for i, want := range grammar.order {
					got := plain.order[i]
					require.Equal(t, want.Head(), got.Head(), text)
					require.Equal(t, want.Broken, got.Broken, text)
				}
				require.Equal(t, grammar.Findings, plain.Findings, text)
			}
		}
	}
}

// The lexer that participle knows reads a head by itself as well.
func TestHeadLexer(t *testing.T) {
	head, err := endsGrammar().ParseString("", "15 to K1.87a")
	require.NoError(t, err)
	require.Equal(t, "15", head.A.Text)
	require.Equal(t, "K1.87a", head.B.Text)
	_, err = endsGrammar().Parse("", strings.NewReader("15 to"))
	require.Error(t, err)
}

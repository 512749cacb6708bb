package ide_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/golden"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
	"pintle/lsp/ide/complete"
	"pintle/lsp/ide/idetest"
	"pintle/lsp/ide/lens"
	"pintle/lsp/ide/navigate"
)

func outline(b *strings.Builder, list []navigate.Symbol, depth int) {
	for _, s := range list {
		fmt.Fprintf(b, "%s%s (%s)\n", strings.Repeat("  ", depth), s.Name, s.Detail)
		outline(b, s.Children, depth+1)
	}
}

func TestSymbols(t *testing.T) {
	for _, name := range []string{"kickdown.pintle", "parts/basics.pintle"} {
		v := idetest.Examples(t, examples, name)
		var b strings.Builder
		outline(&b, navigate.Symbols(v.Tree), 0)
		golden.Check(t, "testdata/outline/"+strings.ReplaceAll(strings.TrimSuffix(name, ".pintle"), "/", "_")+".txt", b.String())
	}
}

func TestSymbolsOfBrokenText(t *testing.T) {
	f := syntax.Parse(source.NewFile("x", "wibble w {\n    fit a: Relay\n}\nfit b: {\n    pin 1, 2\n    coil\nwire : x\npart P {"), nil)
	var b strings.Builder
	outline(&b, navigate.Symbols(f), 0)
	assert.Equal(t, "b (fit)\n  1 (pin)\n  2 (pin)\nP (part)\n", b.String())
	var inside func([]navigate.Symbol)
	inside = func(list []navigate.Symbol) {
		for _, s := range list {
			assert.True(t, s.Full.Start <= s.At.Start && s.At.End <= s.Full.End, s.Name)
			inside(s.Children)
		}
	}
	inside(navigate.Symbols(f))
}

func TestWorkspaceSymbols(t *testing.T) {
	v := idetest.Files(t, garage, "van.pintle")
	find := func(q string) []string {
		got, err := navigate.WorkspaceSymbols(t.Context(), v.Workspace, q)
		require.NoError(t, err)
		var out []string
		for _, s := range got {
			out = append(out, strings.TrimPrefix(s.In+"."+s.Name, "."))
		}
		return out
	}
	assert.Equal(t, []string{"Relay.winding"}, find("wndg"))
	assert.Equal(t, []string{"Relay.winding"}, find("relay.wi"))
	assert.Equal(t, []string{"K1", "K1"}, find("k1"))
	assert.Equal(t, "Relay", find("rel")[0])
	assert.Contains(t, find(""), "state.busy")
	assert.Empty(t, find("zzz"))
}

func TestLinks(t *testing.T) {
	v := idetest.Files(t, map[string]string{
		"main.pintle":    "use \"parts/a.pintle\" as p\nuse \"missing.pintle\"\nuse \"\n",
		"parts/a.pintle": "part P {\n    pin 1\n}\n",
	}, "main.pintle")
	got, err := navigate.Links(t.Context(), v)
	require.NoError(t, err)
	require.Len(t, got, 1)
	assert.Equal(t, idetest.Folder+"parts/a.pintle", got[0].File)
	assert.Equal(t, "parts/a.pintle", v.Src().Text[got[0].Start:got[0].End])
	assert.Equal(t, "Open parts/a.pintle", got[0].Tip)
}

func TestSignatures(t *testing.T) {
	for _, c := range []struct{ line, label, active string }{
		{"fit f: Relay(‸", "Relay(rating: A, resistance: ohm, held: condition, turns: count)", "rating: A"},
		{"fit f: Relay(rating 1‸0 A)", "Relay(rating: A, resistance: ohm, held: condition, turns: count)", "rating: A"},
		{"fit f: Relay(rating 10 A, ‸)", "Relay(rating: A, resistance: ohm, held: condition, turns: count)", "resistance: ohm"},
		{"fit f: Relay(rating 10 A, held when (key is run or ‸", "Relay(rating: A, resistance: ohm, held: condition, turns: count)", "held: condition"},
		{"fit f: 3 of Relay(turns ‸", "Relay(rating: A, resistance: ohm, held: condition, turns: count)", "turns: count"},
		{"fit f: Relay(rating 10 A)‸", "", ""},
		{"fit f: Rel‸ay(rating 10 A)", "", ""},
		{"fit f: Nothing(‸", "", ""},
		{"part P {\n    takes x: A\n    bench b: with ‸ {\n    }\n}", "P(x: A)", "x: A"},
	} {
		t.Run(c.line, func(t *testing.T) {
			v, off := idetest.One(t, world+c.line)
			got, err := complete.SignatureAt(t.Context(), v, off)
			require.NoError(t, err)
			if c.label == "" {
				require.Nil(t, got)
				return
			}
			require.NotNil(t, got)
			assert.Equal(t, c.label, got.Label)
			require.GreaterOrEqual(t, got.Active, 0)
			p := got.Parameters[got.Active]
			assert.Equal(t, c.active, got.Label[p.Span.Start:p.Span.End])
		})
	}
}

// TestCurrent follows the current of a lamp from the battery to ground and holds the
// ways against a file.
func TestCurrent(t *testing.T) {
	var b strings.Builder
	for _, c := range []struct{ file, spot string }{
		{"headlamps.pintle", "fit E‸1:"},
		{"headlamps.pintle", "wire W1‸0:"},
		{"headlamps.pintle", "splice rail_5‸6a"},
		{"kickdown.pintle", "driver val‸ve"},
		{"kickdown.pintle", "supply batt‸ery"},
	} {
		v := idetest.Examples(t, examples, c.file)
		items, err := lens.PrepareCurrent(t.Context(), v, idetest.Find(t, v, c.spot))
		require.NoError(t, err)
		require.NotEmpty(t, items)
		for _, it := range items {
			fmt.Fprintf(&b, "%s: %s (%s)\n", c.file, it.Name, it.Detail)
			for _, before := range []bool{true, false} {
				fmt.Fprintln(&b, map[bool]string{true: "  comes from", false: "  goes on to"}[before])
				walkCurrent(t, &b, v, it, before, 2)
			}
		}
	}
	golden.Check(t, "testdata/current.txt", b.String())
}

func walkCurrent(t *testing.T, b *strings.Builder, v *ide.View, it lens.PathItem, before bool, depth int) {
	t.Helper()
	ask := lens.Returns
	if before {
		ask = lens.Feeds
	}
	calls, err := ask(t.Context(), v.Workspace, it.Key)
	require.NoError(t, err)
	require.Less(t, depth, 40)
	for _, c := range calls {
		fmt.Fprintf(b, "%s%s (%s)\n", strings.Repeat("  ", depth), c.Item.Name, c.Item.Detail)
		walkCurrent(t, b, v, c.Item, before, depth+1)
	}
}

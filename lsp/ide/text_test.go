package ide_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rule"
	"pintle/lang/model"
	"pintle/lang/schema"
	"pintle/lsp/ide"
	"pintle/lsp/ide/complete"
	"pintle/lsp/ide/hover"
	"pintle/lsp/ide/idetest"
)

func TestTextAsMarkdownAndPlain(t *testing.T) {
	text := ide.Text{
		{Kind: ide.Code, Text: "fit K1: Relay"},
		{Kind: ide.Words, Text: "It *may* be `a_b`, or a_b <c> [d]\n# no heading\n1. no list"},
		{Kind: ide.Item, Text: "one `x`"},
		{Kind: ide.Item, Text: "two"},
		{Kind: ide.Ladder, Text: "12 V ├─\n     │"},
		{Kind: ide.Page, Text: "### `rule`\n\n**Error** · [circuits](x.md)\n\n```pintle\nwire W1\n```"},
	}
	assert.Equal(t, strings.Join([]string{
		"```pintle\nfit K1: Relay\n```",
		"It \\*may\\* be `a_b`, or a\\_b \\<c\\> \\[d\\]\n\\# no heading\n1\\. no list",
		"- one `x`\n- two",
		"```text\n12 V ├─\n     │\n```",
		"### `rule`\n\n**Error** · [circuits](x.md)\n\n```pintle\nwire W1\n```",
	}, "\n\n"), text.Markdown())
	assert.Equal(t, strings.Join([]string{
		"    fit K1: Relay",
		"It *may* be a_b, or a_b <c> [d]\n# no heading\n1. no list",
		"- one x\n- two",
		"    12 V ├─\n         │",
		"rule\n\nError · circuits\n\nwire W1",
	}, "\n\n"), text.Plain())
	assert.Empty(t, ide.Text(nil).Markdown())
}

func hoverAt(t *testing.T, marked string) string {
	t.Helper()
	v, off := idetest.One(t, marked)
	h, err := hover.At(t.Context(), v, off)
	require.NoError(t, err)
	if h == nil {
		return ""
	}
	return h.Text.Markdown()
}

func TestHoverTells(t *testing.T) {
	for _, c := range []struct {
		line string
		want []string
	}{
		{"accept sneak-pa‸th: on lamp, because \"x\"", []string{"sneak-path"}},
		{"accept no-such-ru‸le: on lamp, because \"x\"", nil},
		{"# a com‸ment", nil},
		{"wire w: busbar to block, 16 A‸WG", []string{"`16 AWG`, cross-section", "1.3"}},
		{"condition c: K1.winding is ener‸gised", []string{"it has pulled in"}},
		{"condition c: coolant above 9‸0 degC", []string{"194 degF"}},
		{"sender s: at busbar, tells coolant, accuracy ‸5 degC", []string{"temperature difference", "9 degF"}},
		{"coil c: busbar to block, 85 o‸hm +-10 %", []string{"from 76.5 ohm to 93.5 ohm"}},
		{"condition c: cool‸ant abov", []string{"quantity coolant", "├─"}}, // broken, and told all the same
		{"fit f: Rel‸ay(", []string{"takes `resistance`: ohm, 85 ohm unless said"}},
		{"condition c: state is bu‸sy", []string{"Is reached by", "fast sets"}},
		{"timer aft‸er2: runs while fast, lasts 3 s", []string{"Is running when"}},
		{"setting s: on‸e, two", []string{"A position of `s`"}},
		{"wib‸ble", nil},
	} {
		t.Run(c.line, func(t *testing.T) {
			got := hoverAt(t, world+c.line)
			if c.want == nil {
				assert.Empty(t, got)
			}
			for _, w := range c.want {
				assert.Contains(t, got, w)
			}
		})
	}
}

// TestEveryKindIsTold hovers over the word of every kind.
func TestEveryKindIsTold(t *testing.T) {
	in := map[schema.Context]string{
		schema.InPart: "part P {\n", schema.InFit: "fit F: {\n", schema.InBench: "part P {\nbench B {\n", schema.InChart: "chart C: follows s {\n",
		schema.InTimer: "timer T: runs while always {\n", schema.InResult: "result R {\n", schema.InModes: "modes M: starts in a {\n",
		schema.InBands: "bands B: over q {\n", schema.InDrive: "drive D {\n",
	}
	for _, k := range schema.All() {
		before := ""
		if k.Where&schema.InTop == 0 {
			for c, text := range in {
				if k.Where&c != 0 && (before == "" || len(text) < len(before)) {
					before = text
				}
			}
		}
		got := hoverAt(t, before+k.Name[:1]+idetest.Cursor+k.Name[1:]+" x\n}\n}")
		assert.Containsf(t, got, k.Doc, "%s", k.Name)
		for _, f := range k.Forms {
			assert.Contains(t, got, schema.Reading(f))
		}
	}
}

// TestLadderHoldsTheRegions holds the rungs of a ladder against the regions that the
// states are made of; what only drives look at makes further rungs.
func TestLadderHoldsTheRegions(t *testing.T) {
	for name := range corpus(t) {
		if strings.Contains(name, "/") {
			continue
		}
		v := idetest.Examples(t, examples, name)
		read, err := v.Read(t.Context())
		require.NoError(t, err)
		d := read.Designs[0]
		for i := range d.Quantities {
			q := &d.Quantities[i]
			if q.NamePlace.File != v.Src() {
				continue
			}
			var points []string
			require.NoError(t, v.Ask(t.Context(), d, func(p *rule.Pass) {
				for _, x := range p.System().Axis(model.QuantityID(i)).Points() {
					points = append(points, x.String())
				}
			}))
			h, err := hover.At(t.Context(), v, q.NamePlace.Start)
			require.NoError(t, err)
			for _, x := range points {
				assert.Containsf(t, h.Text.Plain(), x+" ├─", "%s of %s", q.Path, name)
			}
		}
	}
}

func TestResolveTellsOfItems(t *testing.T) {
	v, off := idetest.One(t, world+"coil c: busbar to block, 85 ohm, "+idetest.Cursor)
	c, err := complete.At(t.Context(), v, off, complete.Options{Snippets: true})
	require.NoError(t, err)
	for _, it := range c.Items {
		if it.Label != "pulls in at" {
			continue
		}
		assert.True(t, it.Snippet)
		assert.Equal(t, "pulls in at ${1:12.6 V}", it.Text)
		text, err := complete.Resolve(t.Context(), v, it.More)
		require.NoError(t, err)
		assert.Contains(t, text.Plain(), "It pulls in at this voltage or more")
		return
	}
	t.Fatal("not offered")
}

// TestResolveOfForeignItems is given what no server ever sent.
func TestResolveOfForeignItems(t *testing.T) {
	v, _ := idetest.One(t, world+idetest.Cursor)
	for _, s := range []complete.ItemSource{
		{}, {What: "kind", Name: "wibble", ID: 3}, {What: "kind", Name: "row", ID: -1}, {What: "form", Name: "wire", ID: 1 << 30},
		{What: "unit", Name: "wibble"}, {What: "unit"}, {What: "rule", Name: "x"}, {What: "def", File: "nowhere", At: 5},
		{What: "def", File: v.Src().Name, At: 1 << 40, Name: "x"}, {What: "def", File: v.Src().Name, At: -1}, {What: "else"},
	} {
		text, err := complete.Resolve(t.Context(), v, s)
		require.NoError(t, err)
		assert.Empty(t, text)
	}
}

func TestCompletionOfPaths(t *testing.T) {
	files := map[string]string{
		"vans/main.pintle": "use \"../parts/a.pintle\"\nuse \"pa\"\nuse \"\n", "parts/a.pintle": "part A {\n}\n",
		"parts/b.pintle": "part B {\n}\n", "vans/c.pintle": "part C {\n}\n",
	}
	v := idetest.Files(t, files, "vans/main.pintle")
	for _, at := range []string{"use \"pa‸\"", "use \"‸\n"} {
		off := idetest.Find(t, v, at)
		c, err := complete.At(t.Context(), v, off, complete.Options{})
		require.NoError(t, err)
		assert.Equal(t, []string{"c.pintle", "../parts/b.pintle"}, labels(c))
		assert.LessOrEqual(t, c.Items[0].Replace.Start, off)
		assert.Equal(t, off, c.Items[0].Insert.End)
	}
}

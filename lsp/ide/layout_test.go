package ide_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/lang/diag"
	"pintle/lang/format"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
	"pintle/lsp/ide/idetest"
	"pintle/lsp/ide/layout"
	"pintle/lsp/ide/navigate"
	"pintle/lsp/ide/show"
)

func TestFormatting(t *testing.T) {
	v, _ := idetest.One(t, "‸ground   g\nnode a\n\n\n\nwire W1: a to g,red\nsupply s: 12V,from g to a\n")
	edits := layout.Formatting(v.Tree)
	want, _ := format.Format(v.Tree)
	assert.Equal(t, want, ide.Apply(v.Src().Text, edits))
	for _, e := range edits {
		assert.NotContains(t, v.Src().Text[e.Start:e.End], "node a", "a line that is in order is left alone")
	}
	assert.Empty(t, layout.Formatting(syntax.Parse(source.NewFile("x", want), nil)), "nothing to do")
	assert.Empty(t, layout.Formatting(syntax.Parse(source.NewFile("x", "part P {\n  pin   1\n"), nil)), "braces that do not match up")
}

// Whatever is done to the lines of a text, the edits lead to the canonical text.
func TestFormattingOfDamagedTexts(t *testing.T) {
	texts := corpus(t)
	var names []string
	for n := range texts {
		names = append(names, n)
	}
	slices.Sort(names)
	rapid.Check(t, func(r *rapid.T) {
		lines := strings.SplitAfter(texts[rapid.SampledFrom(names).Draw(r, "file")], "\n")
		for range rapid.IntRange(0, 8).Draw(r, "changes") {
			i := rapid.IntRange(0, len(lines)-1).Draw(r, "line")
			switch rapid.IntRange(0, 3).Draw(r, "change") {
			case 0:
				lines[i] = "  " + lines[i]
			case 1:
				lines[i] = strings.ReplaceAll(lines[i], ", ", ",")
			case 2:
				lines[i] = "\n" + lines[i]
			default:
				lines[i] = strings.ReplaceAll(lines[i], "\n", "\r\n")
			}
		}
		f := syntax.Parse(source.NewFile("x.pintle", strings.Join(lines, "")), nil)
		want, _ := format.Format(f)
		if got := ide.Apply(f.Src.Text, layout.Formatting(f)); got != want {
			r.Fatalf("not the canonical text: %q, want %q", got, want)
		}
	})
}

func TestFormatRange(t *testing.T) {
	text := "ground   g\nfit box: {\n  pin   1\n  pin   2\n}\nnode   a\n"
	f := syntax.Parse(source.NewFile("x.pintle", text), nil)
	span := func(piece string) source.Span {
		at := strings.Index(text, piece)
		return source.Span{Start: at, End: at + len(piece)}
	}
	assert.Equal(t, "ground   g\nfit box: {\n    pin 1\n  pin   2\n}\nnode   a\n", ide.Apply(text, layout.FormatRange(f, span("pin   1"))))
	assert.Equal(t, "ground   g\nfit box: {\n    pin 1\n  pin   2\n}\nnode   a\n", ide.Apply(text, layout.FormatRange(f, span("  pin   1\n"))), "the line break marks no further line")
	assert.Equal(t, "ground g\nfit box: {\n  pin   1\n  pin   2\n}\nnode a\n", ide.Apply(text, layout.FormatRanges(f, span("ground"), span("node"))))
	assert.Equal(t, "ground   g\nfit box: {\n    pin 1\n    pin 2\n}\nnode   a\n", ide.Apply(text, layout.FormatRanges(f, span("fit box"), span("pin   1"))), "each statement once")
}

// TestFormatTyped types into a text: what was typed stands before the cursor.
func TestFormatTyped(t *testing.T) {
	for _, c := range []struct{ name, typed, text, want string }{
		{"a brace lays out what it closes", "}", "fit box: {\n  pin   1\n}‸\nnode   a\n", "fit box: {\n    pin 1\n}\nnode   a\n"},
		{"a brace in a text closes nothing", "}", "title \"a}‸\"\nnode   a\n", "title \"a}\"\nnode   a\n"},
		{"a new line after a statement", "\n", "wire   W1: a to b\n‸", "wire W1: a to b\n"},
		{"a new line inside a body", "\n", "fit box: {\n    pin  1\n‸\n}\n", "fit box: {\n    pin 1\n    \n}\n"},
		{"a new line in a body that is not closed", "\n", "fit box: {\n‸", "fit box: {\n    "},
		{"a new line after a comma", "\n", "wire   W1: a to b,\n‸", "wire   W1: a to b,\n    "},
		{"a new line in parentheses", "\n", "condition c: (a\n‸", "condition c: (a\n    "},
		{"a new line behind a broken statement", "\n", "wire   W1 a\n‸", "wire   W1 a\n"},
		{"a new line before a closing brace", "\n", "fit box: {\n    pin 1\n    ‸}\n", "fit box: {\n    pin 1\n}\n"},
		{"too much indentation", "\n", "node a\n        ‸", "node a\n"},
		{"a line that is not empty stays", "\n", "node a\n  ‸node b\n", "node a\n  node b\n"},
		{"the last of several lines", "\n", "wire   W1: a to b,\n    red\n‸", "wire W1: a to b, red\n"},
		{"braces in comments do not count", "\n", "node a # {\n‸", "node a # {\n"},
		{"something else", ";", "node   a;‸", "node   a;"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v, off := idetest.One(t, c.text)
			edits := layout.FormatTyped(v.Tree, off, c.typed)
			assert.Equal(t, c.want, ide.Apply(v.Src().Text, edits))
		})
	}
}

func TestFolds(t *testing.T) {
	v, _ := idetest.One(t, `‸# one
# two
title "x"

use "a.pintle"

use "b.pintle"
fit box: {
    pin 1,
        2
    fit inner: { pin 1 }
    ## about
    ## it
    load l: 1 to 2,
        5 W at 12 V
}
fit open: {
    pin 1
`)
	var got []string
	for _, f := range layout.Folds(v.Tree) {
		a, b := v.Src().Position(f.Start), v.Src().Position(f.End)
		got = append(got, fmt.Sprintf("%d-%d %s", a.Line, b.Line, [...]string{"body", "lines", "comments", "uses"}[f.Kind]))
		assert.Less(t, a.Line, b.Line)
	}
	assert.Equal(t, []string{"1-2 comments", "5-7 uses", "8-15 body", "9-10 lines", "12-13 comments", "14-15 lines", "17-18 body"}, got)
}

func TestSelections(t *testing.T) {
	v, off := idetest.One(t, "node n\n## about\nfit box: {\n    pin 1, 2\n    load l: 1 to 2, 5 W at 1‸2 V\n}\n")
	var got []string
	for _, s := range layout.Selections(v.Tree, off) {
		got = append(got, v.Src().Text[s.Start:s.End])
	}
	body := "\n    pin 1, 2\n    load l: 1 to 2, 5 W at 12 V\n"
	assert.Equal(t, []string{"12", "12 V", "5 W at 12 V", "load l: 1 to 2, 5 W at 12 V", body, "{" + body + "}",
		"fit box: {" + body + "}", "## about\nfit box: {" + body + "}", v.Src().Text}, got)
}

func TestColours(t *testing.T) {
	v, _ := idetest.One(t, "‸connector C1: 2 way, black\nwire W1: a to b, light green/white, 1 mm2\nwire W2: a to b, gray\nwire W3: a to b, purpel\n")
	list := show.Swatches(v.Tree)
	var got []string
	for _, s := range list {
		got = append(got, s.Name+" at "+v.Src().Text[s.Start:s.End])
	}
	assert.Equal(t, []string{"black at black", "light green at light green", "white at white", "grey at gray"}, got)
	// The colour that a swatch shows is the first word that is offered for it, and what is
	// offered reads again as what it looks like.
	for _, s := range list {
		choices := show.ColourChoices(v.Tree, s.Span, s.Colour)
		require.NotEmpty(t, choices)
		assert.Equal(t, s.Name, choices[0].Name)
		for _, c := range choices {
			text := ide.Apply(v.Src().Text, []diag.Edit{c.Edit})
			after := syntax.Parse(source.NewFile("x.pintle", text), nil)
			assert.Len(t, after.Findings, len(v.Tree.Findings), text)
			assert.True(t, slices.ContainsFunc(show.Swatches(after), func(x show.Swatch) bool { return x.Start == s.Start && x.Name == c.Name }), c.Name)
		}
	}
	assert.Empty(t, show.ColourChoices(v.Tree, source.Span{Start: 0, End: 4}, show.RGB{}), "no colour stands there")
}

func TestRenameFiles(t *testing.T) {
	texts := map[string]string{
		"van.pintle":          "use \"parts/relays.pintle\"\nuse \"./parts/lamps.pintle\" as lamps\nuse \"parts/gone.pintle\"\n",
		"parts/relays.pintle": "use \"lamps.pintle\"\n",
		"parts/lamps.pintle":  "node n\n",
	}
	for _, c := range []struct {
		name  string
		moved []navigate.Moved
		want  map[string]string // only what changes
	}{
		{"a file", []navigate.Moved{{Old: "/designs/parts/lamps.pintle", New: "/designs/parts/lights.pintle"}}, map[string]string{
			"van.pintle":          "use \"parts/relays.pintle\"\nuse \"parts/lights.pintle\" as lamps\nuse \"parts/gone.pintle\"\n",
			"parts/relays.pintle": "use \"lights.pintle\"\n",
		}},
		{"a file into another folder", []navigate.Moved{{Old: "/designs/parts/relays.pintle", New: "/designs/relays.pintle"}}, map[string]string{
			"van.pintle":          "use \"relays.pintle\"\nuse \"./parts/lamps.pintle\" as lamps\nuse \"parts/gone.pintle\"\n",
			"parts/relays.pintle": "use \"parts/lamps.pintle\"\n",
		}},
		{"a folder", []navigate.Moved{{Old: "/designs/parts", New: "/designs/lib/parts"}}, map[string]string{
			"van.pintle": "use \"lib/parts/relays.pintle\"\nuse \"lib/parts/lamps.pintle\" as lamps\nuse \"lib/parts/gone.pintle\"\n",
		}},
		{"what uses it moves along", []navigate.Moved{{Old: "/designs/van.pintle", New: "/designs/a/van.pintle"}}, map[string]string{
			"van.pintle": "use \"../parts/relays.pintle\"\nuse \"../parts/lamps.pintle\" as lamps\nuse \"../parts/gone.pintle\"\n",
		}},
		{"something else", []navigate.Moved{{Old: "/designs/parts/x.txt", New: "/designs/y.txt"}, {Old: "/designs/part", New: "/designs/q"}}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := idetest.Files(t, texts, "van.pintle")
			edits, err := navigate.RenameFiles(t.Context(), v.Workspace, c.moved)
			require.NoError(t, err)
			for n, text := range idetest.Applied(texts, edits) {
				want, changed := c.want[n]
				if !changed {
					want = texts[n]
				}
				assert.Equal(t, want, text, n)
			}
		})
	}
}

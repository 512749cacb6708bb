package syntax_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/syntax"
)

var update = flag.Bool("update", false, "write golden files anew")

// The tables of statements with something wrong: slips, and what people write who come from
// everyday English, other languages or the trade.
var messageTables = []string{"messages", "idioms"}

// Every line of the tables is a statement with something wrong. The golden files show it with
// its findings marked beneath, as people get to see them.
func TestMessages(t *testing.T) {
	for _, table := range messageTables {
		t.Run(table, func(t *testing.T) { testMessages(t, table) })
	}
}

func testMessages(t *testing.T, table string) {
	golden := "testdata/messages/" + table + ".golden"
	lines, err := os.ReadFile("testdata/messages/" + table + ".txt")
	require.NoError(t, err)
	var b strings.Builder
	for line := range strings.Lines(string(lines)) {
		f := parse(line)
		assert.NotEmpty(t, f.Findings, line)
		show(&b, f)
	}
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), b.String())
}

func show(b *strings.Builder, f *syntax.File) {
	b.WriteString(f.Src.Text)
	for _, d := range f.Findings {
		marks := max(utf8.RuneCountInString(f.Src.Text[d.Start:d.End]), 1)
		fmt.Fprintf(b, "%s%s %s: %s\n", strings.Repeat(" ", f.Src.Position(d.Start).Column-1), strings.Repeat("^", marks), d.Rule, d.Message)
		if d.Help != "" {
			fmt.Fprintf(b, "    help: %s\n", d.Help)
		}
		for _, fix := range d.Fixes {
			text := f.Src.Text
			for _, e := range fix.Edits {
				text = text[:e.Start] + e.New + text[e.End:]
			}
			fmt.Fprintf(b, "    fix (%s): %s", fix.Title, text)
		}
	}
	b.WriteByte('\n')
}

// What a fix offers clears the finding that it comes with, and makes no other.
func TestFixesClear(t *testing.T) {
	var lines []byte
	for _, table := range messageTables {
		text, err := os.ReadFile("testdata/messages/" + table + ".txt")
		require.NoError(t, err)
		lines = append(lines, text...)
	}
	tried := 0
	for line := range strings.Lines(string(lines)) {
		f := parse(line)
		for _, d := range f.Findings {
			for _, fix := range d.Fixes {
				tried++
				text := line
				for _, e := range fix.Edits {
					require.Same(t, f.Src, e.File)
					text = text[:e.Start] + e.New + text[e.End:]
				}
				require.Len(t, parse(text).Findings, len(f.Findings)-1, "%sbecame %s", line, text)
			}
		}
	}
	require.Greater(t, tried, 5)
}

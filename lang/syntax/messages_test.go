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

// Every line of messages.txt is a statement with something wrong. The golden file shows
// it with its findings marked beneath, as people get to see them.
func TestMessages(t *testing.T) {
	const golden = "testdata/messages/messages.golden"
	lines, err := os.ReadFile("testdata/messages/messages.txt")
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
	lines, err := os.ReadFile("testdata/messages/messages.txt")
	require.NoError(t, err)
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

package report

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// under shows an excerpt with its marker as it is seen.
func under(line, part string) string {
	i := strings.Index(line, part)
	e := newExcerpt(line, i, i+len(part))
	return e.text + "\n" + strings.Repeat(" ", e.start) + e.marker()
}

func TestMarkerStandsUnderItsText(t *testing.T) {
	for _, c := range []struct{ line, part, want string }{
		{"wire W1: a to b", "W1", "wire W1: a to b\n     ^^"},
		{"wire W1: a to b", "a to b", "wire W1: a to b\n         ^----^"},
		{"wire W1: a", "", "wire W1: a\n^"},
		{"\tpin 30", "30", "    pin 30\n        ^^"},
		{"ab\tpin", "pin", "ab  pin\n    ^-^"},
		{"90 °C, 5 µs", "5 µs", "90 °C, 5 µs\n       ^--^"},
		{"title \"車両\" x", "x", "title \"車両\" x\n             ^"},
		{"title \"車両\"", "車両", "title \"車両\"\n       ^--^"},
		{"e\u0301a x", "x", "e\u0301a x\n   ^"},
		{"a\x00\xff\x1b[31m x", "x", "a???[31m x\n         ^"},
		{"a\u202eb x", "x", "ab x\n   ^"},
		{"🔧 x", "x", "🔧 x\n   ^"},
	} {
		assert.Equal(t, c.want, under(c.line, c.part), "%q in %q", c.part, c.line)
	}
	e := newExcerpt("short", 5, 5)
	assert.Equal(t, 5, e.start)
	assert.Equal(t, "^", e.marker(), "the end of a line can be marked")
}

func TestLongLines(t *testing.T) {
	line := strings.Repeat("long ", 2_000_000) + "HERE" + strings.Repeat(" tail", 1000)
	got := under(line, "HERE")
	assert.Contains(t, got, "... ")
	text, marker, _ := strings.Cut(got, "\n")
	assert.Equal(t, strings.Index(text, "HERE"), strings.Index(marker, "^"))
	assert.Less(t, columns(text), longestExcerpt+10)

	text, _, _ = strings.Cut(under(strings.Repeat("x", 500), "xxx"), "\n")
	assert.True(t, strings.HasPrefix(text, "xxx") && strings.HasSuffix(text, " ..."))
}

// However odd the line, the marker covers at least a column, stays within the
// window, and the excerpt is valid text of bounded width.
func TestExcerptNeverBreaks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := string(rapid.SliceOfN(rapid.Byte(), 0, 600).Draw(t, "line"))
		if rapid.Bool().Draw(t, "text") {
			line = rapid.StringN(0, 300, -1).Draw(t, "string")
		}
		start := rapid.IntRange(-1, len(line)+2).Draw(t, "start")
		end := rapid.IntRange(-1, len(line)+2).Draw(t, "end")
		e := newExcerpt(line, start, end)
		assert.Less(t, e.start, e.end)
		assert.LessOrEqual(t, e.end, longestExcerpt+1)
		assert.True(t, utf8.ValidString(e.text))
		assert.LessOrEqual(t, columns(e.text), longestExcerpt+4)
		assert.Equal(t, e.end-e.start, len(e.marker()))
	})
}

package session

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"pintle/lang/diag"
	"pintle/lang/source"
)

// TestMove: a finding that is carried over still stands on the same words.
func TestMove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		old := rapid.StringMatching(`[ab\n]{1,30}`).Draw(t, "old")
		start := rapid.IntRange(0, len(old)).Draw(t, "start")
		end := rapid.IntRange(start, len(old)).Draw(t, "end")
		now := old[:start] + rapid.StringMatching(`[ab\n]{0,5}`).Draw(t, "new") + old[end:]
		from := rapid.IntRange(0, len(old)).Draw(t, "from")
		to := rapid.IntRange(from, len(old)).Draw(t, "to")
		f := diag.Finding{Place: diag.Place{File: source.NewFile("x", old), Span: source.Span{Start: from, End: to}}}
		next := source.NewFile("x", now)
		for _, m := range move([]diag.Finding{f}, next) {
			assert.Same(t, next, m.File)
			assert.Equal(t, old[from:to], now[m.Start:m.End])
		}
		// Where it shows what was put in, nothing else is lost.
		shown := source.NewFile("x", old[:start]+"c"+old[start:])
		if to <= start || from >= start {
			assert.Len(t, move([]diag.Finding{f}, shown), 1)
		}
	})
}

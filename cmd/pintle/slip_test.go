package main

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
)

// slips is how often a word of the examples is misspelt.
const slips = 100

var longWord = regexp.MustCompile(`[A-Za-z_]{4,}`)

// TestOneSlipIsOneFinding misspells one word of an example that has nothing wrong. Where
// that is found while reading, nothing else is found with it: whatever depends on what could
// not be read is left alone, by every rule.
func TestOneSlipIsOneFinding(t *testing.T) {
	names, err := filepath.Glob("../../examples/*.pintle")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	catalogue, err := rules.All()
	require.NoError(t, err)
	reads := func(name string) bool {
		r, _ := catalogue.Lookup(name)
		return r.Needs == rule.Reading || slices.Contains(elaborate.Slugs, name)
	}
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(dir, "parts"), os.DirFS("../../examples/parts")))
	file := filepath.Join(dir, "design.pintle")
	r := rand.New(rand.NewPCG(3, 7))
	read := 0
	for range slips {
		text, err := os.ReadFile(names[r.IntN(len(names))])
		require.NoError(t, err)
		words := longWord.FindAllIndex(text, -1)
		w := words[r.IntN(len(words))]
		i := w[0] + r.IntN(w[1]-w[0]-1)
		text[i], text[i+1] = text[i+1], text[i]
		require.NoError(t, os.WriteFile(file, text, 0o600))
		result, err := run.Check(t.Context(), run.Request{
			Plan: run.Plan{Catalogue: catalogue}, Paths: []string{file},
		})
		require.NoError(t, err)
		var others []string
		found := false
		for _, f := range result.Findings {
			if f.Severity < diag.Warning {
				continue
			}
			if reads(f.Rule) {
				found = true
			} else {
				others = append(others, f.Rule+": "+f.Message)
			}
		}
		if found {
			read++
			line := string(text[strings.LastIndexByte(string(text[:i]), '\n')+1:])
			line, _, _ = strings.Cut(line, "\n")
			assert.Empty(t, others, line)
		}
	}
	require.Greater(t, read, slips/4)
}

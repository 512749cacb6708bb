package mutate_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/mutate"
	"pintle/checker/checktest/soak"
	"pintle/checker/rule"
	"pintle/lang/diag"
)

// TestPreserving: a design that is written otherwise draws the same findings. Each run
// takes a sample; PINTLE_SOAK=60 takes all.
func TestPreserving(t *testing.T) {
	designs, catalogue := corpus(t)
	faulty, err := mutate.Faulty(os.DirFS("../../.."), catalogue)
	require.NoError(t, err)
	every := max(1, 60/soak.Times(1))
	for i, d := range append(designs, faulty...) {
		if (i+soak.Seed())%every != 0 {
			continue
		}
		had, err := d.Check(t.Context(), catalogue)
		require.NoError(t, err, d.Name)
		for _, v := range mutate.Preserving(t.Context(), d) {
			if v.Kind == "reorder" && unread(catalogue, had) {
				continue // of two of one name the first counts
			}
			has, err := d.With(v.Text).Check(t.Context(), catalogue)
			require.NoError(t, err, d.Name)
			diff := v.Differences(had, has)
			assert.Empty(t, diff, "%s: %s\n%s", d.Name, v.Kind, strings.Join(diff, "\n"))
		}
	}
}

// TestBeside: two designs on one battery draw the findings of both. Each run takes a sample
// of the pairs; PINTLE_SOAK=n takes n times as many.
func TestBeside(t *testing.T) {
	designs, catalogue := corpus(t)
	faulty, err := mutate.Faulty(os.DirFS("../../.."), catalogue)
	require.NoError(t, err)
	all := append(designs, faulty...)
	pairs := 0
	for i := range all {
		for k := range max(1, soak.Times(1)/2) {
			j := (i*37 + 11 + k + soak.Seed()) % len(all)
			if soak.Times(1) == 1 && i%12 != 0 {
				continue
			}
			a, b := all[i], all[j]
			both, ok := mutate.Beside(t.Context(), a, b)
			if !ok {
				continue
			}
			pairs++
			x, err := a.Check(t.Context(), catalogue)
			require.NoError(t, err)
			y, err := b.Check(t.Context(), catalogue)
			require.NoError(t, err)
			if unread(catalogue, x) || unread(catalogue, y) {
				continue // of what could not be read nothing is concluded, whoever wrote it
			}
			if reports(x, "assumption-blocks") || reports(y, "assumption-blocks") {
				continue // an assumption that leaves no run leaves nothing to find in the other one either
			}
			z, err := both.Check(t.Context(), catalogue)
			require.NoError(t, err)
			diff := mutate.Union(x, y, z)
			assert.Empty(t, diff, "%s beside %s\n%s", a.Name, b.Name, strings.Join(diff, "\n"))
		}
	}
	assert.Positive(t, pairs)
	t.Log(pairs, "pairs")
}

// reports reports whether a rule has a finding.
func reports(fs []diag.Finding, rule string) bool {
	return slices.ContainsFunc(fs, func(f diag.Finding) bool { return f.Rule == rule })
}

// unread reports whether something of a design could not be read.
func unread(catalogue *rule.Catalogue, fs []diag.Finding) bool {
	return slices.ContainsFunc(fs, func(f diag.Finding) bool {
		r, _ := catalogue.Lookup(f.Rule)
		return r.Needs == rule.Reading && f.Severity == diag.Error && f.Rule != rule.Undecided
	})
}

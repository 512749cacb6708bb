package rules_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/checktest/soak"
	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// lowered are limits below the ordinary ones, from nothing at all upward.
func lowered() []settings.Limits {
	var out []settings.Limits
	for _, l := range []struct{ nodes, zones, faults int }{
		{1, 1, 1}, {60, 20_000, 400}, {1000, 2, 3}, {20_000, 1, 400}, {4_000_000, 20_000, 1},
	} {
		x := settings.DefaultLimits()
		x.Nodes, x.Zones, x.Faults = l.nodes, l.zones, l.faults
		out = append(out, x)
	}
	return out
}

// A lower limit may turn a green design red, and never a red one green: what was found and
// can't be found any more is undecided, and no less severe.
func TestLowerLimitsNeverTurnGreen(t *testing.T) {
	every := 4
	if soak.Times(1) > 1 {
		every = 1
	}
	limits := lowered()
	n := 0
	eachBad(t, func(t *testing.T, c *rule.Catalogue, g rule.Group, file string) {
		if n++; n%every != 0 {
			return
		}
		before := checked(t, c, g, file).Worst()
		if before < diag.Warning {
			return
		}
		text, err := fs.ReadFile(g.Fixtures, file)
		require.NoError(t, err)
		for _, l := range limits {
			r, _ := c.Lookup(filepath.Base(filepath.Dir(file)))
			got := run.File(t.Context(), run.FileRequest{
				Plan:     run.Plan{Catalogue: c, Today: checktest.Today, Quiet: r.Quiet},
				Root:     syntax.Parse(source.NewFile(file, string(text)), nil),
				Settings: &settings.Settings{Limits: l},
			})
			require.Empty(t, got.Failures)
			worst := (&run.Result{Findings: got.Findings}).Worst()
			assert.GreaterOrEqual(t, worst, before, "with %d nodes, %d zones, %d faults", l.Nodes, l.Zones, l.Faults)
		}
	})
}

// With --only a claim that is undecided is as red as without, whichever rule about claims is
// asked for.
func TestUndecidedWhateverIsAsked(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	text, err := os.ReadFile("names/testdata/undecided/bad_flutter.pintle")
	require.NoError(t, err)
	for _, only := range []string{"requirement-violated", "requirement-vacuous", "never-possible", "depends-on-tolerance", "depends-on-warmth", "undecided"} {
		got := run.File(t.Context(), run.FileRequest{
			Plan:     run.Plan{Catalogue: c, Today: checktest.Today, Only: []string{only}},
			Root:     syntax.Parse(source.NewFile("t.pintle", string(text)), nil),
			Settings: settings.Default(),
		})
		undecided := 0
		for _, f := range got.Findings {
			if f.Rule == rule.Undecided && f.Severity == diag.Error {
				undecided++
			}
		}
		assert.Equal(t, 3, undecided, only)
		assert.Equal(t, 3, got.Summary.Claims.Undecided, only)
	}
}

package rules_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// limited checks a text with so much work allowed.
func limited(t *testing.T, text string, work int) *run.FileResult {
	t.Helper()
	catalogue, err := rules.All()
	require.NoError(t, err)
	s := settings.Default()
	s.Limits.Work = work
	return run.File(t.Context(), run.FileRequest{
		Plan: run.Plan{Catalogue: catalogue, Verdicts: true}, Root: syntax.Parse(source.NewFile("limited.pintle", text), nil), Settings: s,
	})
}

func worst(r *run.FileResult) diag.Severity { return (&run.Result{Findings: r.Findings}).Worst() }

// TestLessWorkNeverLooksBetter: whatever the limit, a result is no better than that of all the
// work, every claim is decided as there or undecided, and the same limit gives the same result.
func TestLessWorkNeverLooksBetter(t *testing.T) {
	all, err := filepath.Glob("*/testdata/*/*.pintle")
	require.NoError(t, err)
	require.Greater(t, len(all), 100)
	every := 15
	if testing.Short() {
		every = 60
	}
	cut := 0
	for i := 0; i < len(all); i += every {
		text, err := os.ReadFile(all[i])
		require.NoError(t, err)
		whole := limited(t, string(text), 0)
		steps := int64(0)
		for _, c := range whole.Costs {
			steps = max(steps, c.Steps())
		}
		for _, share := range [...]int64{100, 8, 2} {
			got := limited(t, string(text), int(max(steps/share, 1)))
			assert.GreaterOrEqual(t, worst(got), worst(whole), "%s with a %dth", all[i], share)
			again := limited(t, string(text), int(max(steps/share, 1)))
			require.Len(t, again.Findings, len(got.Findings))
			for i := range got.Findings {
				assert.Equal(t, got.Findings[i].Message, again.Findings[i].Message)
			}
			require.Len(t, got.Verdicts, len(whole.Verdicts))
			for j, v := range got.Verdicts {
				if v.Outcome == run.Undecided && whole.Verdicts[j].Outcome != run.Undecided {
					cut++
				} else {
					assert.Equal(t, whole.Verdicts[j].Outcome, v.Outcome, "%s: %s", all[i], v.Name)
				}
			}
		}
	}
	assert.Positive(t, cut, "no limit was met")
}

package rootcause_test

import (
	"fmt"
	"os"
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

func check(t *testing.T, text string) []diag.Finding {
	t.Helper()
	catalogue, err := rules.All()
	require.NoError(t, err)
	tree := syntax.Parse(source.NewFile("trial.pintle", text), nil)
	result := run.File(t.Context(), run.FileRequest{Plan: run.Plan{Catalogue: catalogue}, Root: tree, Settings: settings.Default()})
	require.Empty(t, result.Failures)
	return result.Findings
}

// told writes a finding and its root: "never-possible < no-feed lamp".
func told(fs []diag.Finding) []string {
	var out []string
	for _, f := range fs {
		s := f.Rule + " " + f.Subject
		if f.Follows != nil {
			s += " < " + f.Follows.Rule + " " + f.Follows.Subject
		}
		out = append(out, s)
	}
	return out
}

const head = `ground body
supply battery: 12.6 V, from body to stud
setting key: off, run
setting horn_button: free, pressed, springs back from pressed to free
fuse F1: battery.stud to feed, 10 A
node feed, switched, horn_feed
contact S1: feed to switched, make, made when key is run, up to 10 A
contact S2: feed to horn_feed, make, made when horn_button is pressed, up to 10 A
`

// TestChain: a relay without an earth is the root of the lamp that it never feeds, of the
// claim that this can be lit and of the drive that waits for its light.
func TestChain(t *testing.T) {
	got := told(check(t, head+`fit K1: {
    pin 30, 87, 85, 86
    coil winding: 86 to 85, 85 ohm, pulls in at 8 V, drops out at 3 V
    contact main: 30 to 87, make, by winding, up to 20 A
}
wire W1: switched to K1.86, red, 1 mm2, 0.4 m
wire W2: feed to K1.30, red, 1.5 mm2, 0.4 m
wire W3: K1.87 to lamp_feed, white, 1.5 mm2, 1 m
node lamp_feed
load lamp: lamp_feed to body, 21 W at 12 V, lit from 60 %
load horn: horn_feed to body, 4 A at 12 V, loud from 70 %
require can_shine: possible lamp is lit
drive evening {
    step: set key run, see lamp is lit
    step: set key off, see not lamp is lit
    step: set key run, see lamp is lit
}
`))
	assert.Contains(t, got, "floating-ground K1.winding")
	assert.Contains(t, got, "never-possible can_shine < floating-ground K1.winding")
	assert.Contains(t, got, "scenario-failed evening < floating-ground K1.winding")
	assert.NotContains(t, got, "never-possible can_shine")
}

// TestTwoDefects: what has nothing to do with a defect stands by itself.
func TestTwoDefects(t *testing.T) {
	got := told(check(t, head+`load lamp: nowhere to body, 21 W at 12 V, lit from 60 %
node nowhere
load horn: horn_feed to body, 4 A at 12 V, loud from 70 %
load sign: switched to body, 5 W at 12 V, lit from 60 %
require can_shine: possible lamp is lit
require quiet: never horn is loud
require dark: never sign is lit
`))
	assert.Contains(t, got, "no-feed lamp")
	assert.Contains(t, got, "never-possible can_shine < no-feed lamp")
	assert.Contains(t, got, "requirement-violated quiet")
	assert.Contains(t, got, "requirement-violated dark")
}

// TestOverloadExplainsNoLogic: a contact that carries too much opens nothing, so that a
// claim about the same lamp which fails has another cause.
func TestOverloadExplainsNoLogic(t *testing.T) {
	got := told(check(t, head+`contact S3: switched to lit_feed, make, made when key is run, up to 1 A
node lit_feed
load lamp: lit_feed to body, 55 W at 12 V, lit from 60 %
load horn: horn_feed to body, 4 A at 12 V, loud from 70 %
require dark: never lamp is lit
`))
	assert.Contains(t, got, "contact-overload S3")
	assert.Contains(t, got, "requirement-violated dark")
}

// TestAccepted: what follows from an accepted finding stands by itself.
func TestAccepted(t *testing.T) {
	text := head + `load lamp: nowhere to body, 21 W at 12 V, lit from 60 %
node nowhere
load horn: horn_feed to body, 4 A at 12 V, loud from 70 %
require can_shine: possible lamp is lit
accept no-feed: on lamp, because "its wire comes with the trailer"
`
	assert.Contains(t, told(check(t, text)), "never-possible can_shine")
}

// TestAllFaulty: each root is a finding of the list that follows from nothing, and folding
// leaves at least one finding of each file unfolded, with all that counts as before.
func TestAllFaulty(t *testing.T) {
	catalogue, err := rules.All()
	require.NoError(t, err)
	result, err := run.Check(t.Context(), run.Request{Plan: run.Plan{Catalogue: catalogue}, Files: run.InFS(os.DirFS("../../../examples")), Paths: []string{"faulty"}})
	require.NoError(t, err)
	require.NotEmpty(t, result.Findings)
	folded, severities := 0, [4]int{}
	for _, f := range result.Findings {
		if f.Waived == nil {
			severities[f.Severity]++
		}
		if f.Follows == nil {
			continue
		}
		folded++
		roots := 0
		for i := range result.Findings {
			if g := &result.Findings[i]; f.Follows.Is(g) {
				roots++
				assert.Nil(t, g.Follows)
				assert.Nil(t, g.Waived)
			}
		}
		assert.Positive(t, roots, fmt.Sprint(f.Rule, " ", f.Message))
	}
	assert.Equal(t, [4]int{0, result.Summary.Notes, result.Summary.Warnings, result.Summary.Errors}, severities)
	t.Logf("%d of %d findings follow from others", folded, len(result.Findings))
}

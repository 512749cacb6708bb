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

// TestOpposedPhases: of two claims about one beat, each fails by the length of its own phase.
func TestOpposedPhases(t *testing.T) {
	got := told(check(t, head+`beat slow: on 450 ms, off 700 ms, while key is run
contact C: switched to blink, make, made when slow is on
node blink
load lamp: blink to body, 10 W at 12 V, lit from 60 %
load horn: horn_feed to body, 4 A at 12 V, loud from 70 %
require comes: lamp is lit within 600 ms whenever key is run
require goes: not lamp is lit repeats within 400 ms whenever key is run
require again: lamp is lit repeats within 650 ms whenever key is run
`))
	assert.Contains(t, got, "requirement-violated comes")
	assert.Contains(t, got, "requirement-violated goes")
	assert.Contains(t, got, "requirement-violated again < requirement-violated comes")
}

// TestOneName: a claim and a node of one name are two things.
func TestOneName(t *testing.T) {
	got := told(check(t, head+`fit lamp: {
    pin 1, 2
    load filament: 1 to 2, 21 W at 12 V, lit from 60 %
}
wire W1: switched to left, red, 1 mm2, 0.4 m
wire W2: left to lamp.1, red, 1 mm2, 0.4 m
node left
load horn: horn_feed to body, 4 A at 12 V, loud from 70 %
require left: lamp.filament is lit whenever key is run
`))
	assert.Contains(t, got, "requirement-violated left < floating-ground lamp.filament")
}

// TestNeverSettles: what can't be decided because something hunts follows from that.
func TestNeverSettles(t *testing.T) {
	got := told(check(t, head+`coil K1: switched to low, 85 ohm, pulls in at 8 V, drops out at 2 V
contact R: low to body, break, by K1, up to 5 A
node low
load lamp: low to body, 500 ohm at 12 V, lit from 60 %
load horn: horn_feed to body, 4 A at 12 V, loud from 70 %
require shines: lamp is lit whenever key is run
require dark: never lamp is lit
`))
	assert.Contains(t, got, "hunting K1")
	assert.Contains(t, got, "undecided shines < hunting K1")
	assert.Contains(t, got, "undecided dark < hunting K1")
}

// TestAssumedInput: a pressure that rises only while a pump turns never gets there if the
// relay of the pump is dead.
func TestAssumedInput(t *testing.T) {
	got := told(check(t, head+`quantity level: 0 to 90 mm
threshold full: level, sets at 80 mm, clears below 70 mm
contact C: switched to pump_feed, make, made when not full, up to 10 A
contact chafed: pump_feed to body, make, made when key is run, up to 200 A
node pump_feed
load pump: pump_feed to body, 5 A at 12 V, turning from 60 %
load horn: horn_feed to body, 4 A at 12 V, loud from 70 %
assume filled: level rises only while pump is turning
`))
	assert.Contains(t, got, "supply-to-ground-short chafed")
	assert.Contains(t, got, "threshold-never-moves full < supply-to-ground-short chafed")
}

// TestSeries: with one of two batteries in series shorted, what both feed gets the volts of one.
func TestSeries(t *testing.T) {
	got := told(check(t, `ground frame
supply lower: 12.6 V, from minus to mid, inside 6 mohm
supply upper: 12.6 V, from mid to plus, inside 6 mohm
node minus, mid, plus, rail
setting key: off, run
wire W1: mid to frame, black, 16 mm2, 0.4 m
contact S0: minus to frame, make, made sometimes, up to 400 A
fuse F1: plus to rail, 20 A
contact S1: rail to ign, make, made when key is run, up to 20 A
node ign
load heater: ign to frame, 60 W at 24 V, warm from 70 %
`))
	assert.Contains(t, got, "never-energised heater < supply-to-ground-short S0")
}

package compare_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/question/compare"
	"pintle/checker/run"
)

// fan is a fan behind a radiator, on a switch that closes when it is hot.
const fan = `title "Radiator fan"
quantity coolant: -20 to 130 degC, starts at 15 degC
setting key: off, run
ground body
supply battery: 12.6 V, from body to stud, inside 10 mohm, anywhere between 10.5 V and 15 V
fit B1: {
    pin 1, 2
    threshold hot: coolant, sets at 94 degC, clears below 88 degC
    contact disc: 1 to 2, make, made when hot, up to 20 A
}
fit fan: {
    pin 1, 2
    load motor: 1 to 2, 120 W at 12 V, turning from 50 %
}
fuse F1: battery.stud to feed, 15 A
node feed, switched
contact ignition: feed to switched, make, made when key is run, up to 30 A
wire W1: switched to B1.1, red, 2.5 mm2, 1.5 m
wire W2: B1.2 to fan.1, red/white, 2.5 mm2, 0.5 m
wire W3: fan.2 to body, brown, 2.5 mm2, 0.4 m
require never_off_when_hot: fan.motor is turning whenever (coolant above 95 degC and key is run)
`

// designs compares two texts.
func designs(t *testing.T, old, new string) *compare.Result {
	t.Helper()
	open := func(text string) *run.Opened {
		o, err := run.Open(t.Context(), run.OpenRequest{Path: run.StandardInput, Input: []byte(text)}, nil)
		require.NoError(t, err)
		require.Empty(t, o.Failures)
		return o
	}
	a, b := open(old), open(new)
	r, err := compare.Designs(a.Pass(t.Context(), a.Designs[0]), b.Pass(t.Context(), b.Designs[0]))
	require.NoError(t, err)
	return r
}

// A thinner wire has other volts, and the fan turns all the same.
func TestSame(t *testing.T) {
	r := designs(t, fan, strings.Replace(fan, "2.5 mm2, 1.5 m", "1.5 mm2, 1.5 m", 1))
	assert.True(t, r.Same(), "%+v", r)
	assert.Equal(t, 3, r.Corners)
}

// What is expected here is worked out by hand: between the value at which the new threshold
// sets and clears and that of the old one, the two stand otherwise.
func TestThreshold(t *testing.T) {
	r := designs(t, fan, strings.Replace(fan, "sets at 94 degC", "sets at 96 degC", 1))
	require.Len(t, r.Differences, 1)
	d := r.Differences[0]
	assert.Equal(t, "fan.motor was turning is off", d.Name+" was "+d.Was+" is "+d.Is)
	assert.Equal(t, compare.Where{With: "key is run and (coolant between 88 degC and 96 degC)", When: "B1.hot and not B1.hot in the new design"}, d.Where)
	assert.Equal(t, "drive difference_1: {\n    step: set key run, set coolant 94 degC, see fan.motor is turning at end\n}\n", d.Drive)

	r = designs(t, fan, strings.Replace(fan, "clears below 88 degC", "clears below 94 degC", 1))
	require.Len(t, r.Differences, 1)
	assert.Equal(t, compare.Where{With: "key is run and (coolant between 88 degC and 94 degC)", When: "after falling"}, r.Differences[0].Where)
}

// Everything has another name, and nothing does anything else.
func TestRenamed(t *testing.T) {
	names := strings.NewReplacer("coolant", "water", "key", "ignition_key", "B1", "switch_1", "fan", "blower", "W1", "V1", "W2", "V2", "F1", "fuse_1", "switched", "after_key", "ignition", "lock",
		"battery", "accu", "never_off_when_hot", "cools")
	r := designs(t, fan, names.Replace(fan))
	assert.True(t, r.Same(), "%+v", r)
	assert.Len(t, r.Renamed, 11)
	assert.Empty(t, r.Changes)
}

// A setting that went and another one that came are not one that was renamed: other things depend
// on them.
func TestNotRenamed(t *testing.T) {
	old := fan + "setting mute: off, on\ncontact K9: body to horn, make, made when mute is on\nnode horn\n"
	fresh := fan + "setting wash: off, on\ncontact K8: feed to pump, make, made when wash is on\nnode pump\n"
	r := designs(t, old, fresh)
	assert.Empty(t, r.Renamed)
	assert.Equal(t, []string{"only the old design has the setting mute", "only the new design has the setting wash"}, r.Inputs)
}

// Inputs that are not the same are told, and the comparison is over what both have.
func TestInputs(t *testing.T) {
	r := designs(t, fan, strings.NewReplacer("-20 to 130 degC, starts at 15 degC", "0 to 150 degC, starts at 20 degC", "key: off, run", "key: off, run, crank").Replace(fan))
	assert.Empty(t, r.Differences)
	assert.Empty(t, r.Open)
	assert.False(t, r.Same())
	assert.Equal(t, []string{
		"only the new design has the position crank of key; its effect is not compared",
		"coolant ranged from -20 degC to 130 degC, and ranges from 0 degC to 150 degC now; compared is what both have",
		"coolant started at 15 degC, and starts at 20 degC now; both are compared from 15 degC",
	}, r.Inputs)

	// What both have differs all the same.
	r = designs(t, fan, strings.NewReplacer("-20 to 130 degC", "0 to 150 degC", "sets at 94 degC", "sets at 100 degC").Replace(fan))
	require.Len(t, r.Differences, 1)
	assert.Equal(t, "key is run and (coolant between 88 degC and 100 degC)", r.Differences[0].With)
}

// A timer that lasts longer differs in the time between the two durations, and the drive waits for
// that.
func TestDurations(t *testing.T) {
	const timed = `title "Courtesy lamp"
setting door: shut, open
ground body
supply battery: 12 V, from body to stud
node feed
timer stays: starts when door is open, lasts 20 s
contact S1: battery.stud to feed, make, made when stays is running
load lamp: feed to body, 5 W at 12 V, lit from 60 %
`
	r := designs(t, timed, strings.Replace(timed, "20 s", "30 s", 1))
	assert.Equal(t, []string{"timer stays: duration: 20 s before, 30 s now"}, r.Durations)
	require.NotEmpty(t, r.Differences)
	for _, d := range r.Differences {
		assert.NotEmpty(t, d.Drive, "%+v", d)
	}
	assert.Contains(t, r.Differences[0].Drive, "set door open, wait 20 s, see lamp is not lit at end")

	// Another name for the same condition is no difference, also where a clock runs by it.
	r = designs(t, timed, strings.Replace(timed, "starts when door is open", "starts when opened", 1)+"condition opened: not door is shut\n")
	assert.True(t, r.Same(), "%+v", r)
}

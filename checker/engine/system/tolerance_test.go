package system_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// weak is a relay behind a resistor: with 12 V the winding gets 12 × 85/(85+40) = 8.16 V,
// with less than 11.76 V it gets less than the 8 V that it needs.
const weak = `title "Weak relay"
setting button: out, in
ground block
supply battery: 12 V, from block to stud, inside 1 mohm, anywhere between %s V and 15 V
fit S1: {
    pin 1, 2
    contact hand: 1 to 2, make, made when button is in
}
fit K1: {
    pin 85, 86
    coil winding: 86 to 85, 85 ohm, pulls in at 8 V, drops out at 2 V
}
fit R1: {
    pin 1, 2
    resistor body: 1 to 2, 40 ohm
}
wire W1: battery.stud to S1.1, 2.5 mm2, 0.1 m
wire W2: S1.2 to R1.1, 2.5 mm2, 0.1 m
wire W3: R1.2 to K1.86, 2.5 mm2, 0.1 m
wire W4: K1.85 to block, 2.5 mm2, 0.1 m
require pulls_in: K1.winding is energised whenever button is in
require never_alone: never (K1.winding is energised and button is out)
`

func TestSupplyRange(t *testing.T) {
	s := build(t, replace(weak, "9"))
	v := decide(t, s, "pulls_in")
	assert.Equal(t, system.HoldsNominally, v.Outcome)
	assert.Equal(t, "battery at 9 V", v.Corner)
	assert.Equal(t, []string{"the volts of battery"}, v.DependsOn)
	assert.Contains(t, story(v), "1. set button in")
	assert.Equal(t, system.Holds, decide(t, s, "never_alone").Outcome)
	way, inexact := v.Trace.AsDrive("way")
	assert.Empty(t, inexact)
	assert.Equal(t, "drive way: {\n    step: set battery 9 V, set button in\n}\n", system.DriveText(s.Design(), &way))
	way.Steps[0].Sees = []model.See{{Cond: model.Not(requirement(t, s.Design(), "pulls_in").A)}}
	got, err := scenario.Run(context.Background(), s.Design(), &way, scenario.Options{})
	require.NoError(t, err)
	assert.Empty(t, got.Failures)

	v = decide(t, build(t, replace(weak, "11.8")), "pulls_in")
	assert.Equal(t, system.Holds, v.Outcome)
	assert.False(t, v.NominalOnly)
	assert.Empty(t, v.DependsOn)
	assert.Equal(t, 1, v.Work.Corners)
}

// Two relays that need different volts: only between them does one pull in without the
// other, so that no end of the range shows it.
func TestBetweenTheEndsOfASupply(t *testing.T) {
	s := build(t, `title "Between"
setting button: out, in
ground block
supply battery: 12 V, from block to stud, inside 1 mohm, anywhere between 5 V and 15 V
fit S1: {
    pin 1, 2
    contact hand: 1 to 2, make, made when button is in
}
fit K1: {
    pin 85, 86
    coil winding: 86 to 85, 85 ohm, pulls in at 7 V, drops out at 2 V
}
fit K2: {
    pin 85, 86
    coil winding: 86 to 85, 85 ohm, pulls in at 9 V, drops out at 2 V
}
wire W1: battery.stud to S1.1
wire W2: S1.2 to K1.86
wire W3: S1.2 to K2.86
wire W4: K1.85 to block
wire W5: K2.85 to block
require together: never (K1.winding is energised and K2.winding is released)
`)
	v := decide(t, s, "together")
	assert.Equal(t, system.HoldsNominally, v.Outcome)
	volts, set := v.Where.Value(0)
	require.True(t, set)
	assert.Greater(t, volts, 7.0)
	assert.Less(t, volts, 9.1)
}

// A cold filament draws ten times as much; what holds for the warm one need not hold then.
func TestWarmth(t *testing.T) {
	s := build(t, `title "Warmth"
setting switch: off, on
ground block
supply battery: 12 V, from block to stud, inside 500 mohm
fit S1: {
    pin 1, 2
    contact hand: 1 to 2, make, made when switch is on
}
fit H1: {
    pin 1, 2
    load filament: 1 to 2, 55 W at 12 V, cold 10 %
}
wire W1: battery.stud to S1.1
wire W2: S1.2 to H1.1
wire W3: H1.2 to block
require rail_holds: volts at S1.1 above 9 V whenever switch is on
`)
	v := decide(t, s, "rail_holds")
	assert.Equal(t, system.HoldsNominally, v.Outcome)
	assert.Equal(t, "H1.filament cold", v.Corner)
}

// Apart means that no current could run at all, through loads included.
func TestApart(t *testing.T) {
	s := build(t, `title "Apart"
setting switch: off, on
ground body
supply low: 12 V, from body to stud
supply pack: 400 V, from minus to plus
fit S1: {
    pin 1, 2
    contact hand: 1 to 2, make, made when switch is on
}
fit heater: {
    pin 1, 2
    load element: 1 to 2, 1 kW at 400 V
}
wire W1: pack.plus to S1.1
wire W2: S1.2 to heater.1
wire W3: heater.2 to pack.minus
require isolated: apart pack.plus and body
`)
	assert.Equal(t, system.Holds, decide(t, s, "isolated").Outcome)

	leak := `title "Leak"
setting switch: off, on
ground body
supply low: 12 V, from body to stud
supply pack: 400 V, from minus to plus
fit S1: {
    pin 1, 2
    contact hand: 1 to 2, make, made when switch is on
}
fit meter: {
    pin 1, 2
    resistor shunt: 1 to 2, 1 Mohm
}
wire W1: pack.minus to S1.1
wire W2: S1.2 to meter.1
wire W3: meter.2 to body
require isolated: apart pack.plus and body
`
	v := decide(t, build(t, leak), "isolated")
	assert.Equal(t, system.Fails, v.Outcome)
	assert.Contains(t, story(v), "set switch on")
}

// A statement that could not be read makes everything that depends on it unknown, and
// nothing else.
func TestNothingIsConcludedFromWhatCouldNotBeRead(t *testing.T) {
	text := `title "Broken"
quantity n: 0 to 7000 rpm
setting key: off, run
threshold fast: n, sets at 4200 rpm, clears below
threshold slow: n, sets at 1000 rpm, clears below 900 rpm
condition odd: key is flying
require a: never (fast and n below 100 rpm)
require b: possible fast
require c: slow whenever n above 2000 rpm
require d: possible odd
require e: never (slow and odd)
`
	f := syntax.Parse(source.NewFile("broken.pintle", text), nil)
	r := elaborate.Elaborate(context.Background(), f, nil)
	require.NotEmpty(t, r.Designs)
	s, err := system.Build(context.Background(), r.Designs[0], system.Options{})
	require.NoError(t, err)
	for name, want := range map[string]system.Outcome{
		"a": system.Unknown, "b": system.Unknown, "c": system.Holds, "d": system.Unknown, "e": system.Unknown,
	} {
		assert.Equal(t, want, decide(t, s, name).Outcome, name)
	}
	text2, err := s.When(context.Background(), system.On(requirement(t, r.Designs[0], "b").A))
	require.NoError(t, err)
	assert.Empty(t, text2)
}

// What an unreadable assumption would forbid is not known: only what never happens
// without it is sure.
func TestUnreadableAssumption(t *testing.T) {
	text := `title "Loose"
setting key: off, run
setting door: shut, open
assume one: never (key is flying and door is open)
require a: never (key is run and key is off)
require b: never (key is run and door is open)
require c: possible key is run
`
	f := syntax.Parse(source.NewFile("loose.pintle", text), nil)
	r := elaborate.Elaborate(context.Background(), f, nil)
	s, err := system.Build(context.Background(), r.Designs[0], system.Options{})
	require.NoError(t, err)
	assert.Equal(t, system.Holds, decide(t, s, "a").Outcome)
	assert.Equal(t, system.Unknown, decide(t, s, "b").Outcome)
	assert.Equal(t, system.Unknown, decide(t, s, "c").Outcome)
}

// Assumptions restrict inputs, and a verdict says which of them it rests on.
func TestAssumptions(t *testing.T) {
	text := `title "Assumptions"
quantity coolant: 0 to 130 degC, starts at 20 degC
setting fan: off, on
setting radio: off, on
threshold hot: coolant, sets at 95 degC, clears below 90 degC
assume only_cooled: coolant falls only while fan is on
assume quiet: never (radio is on and fan is on)
assume late: fan moves to on only while hot
assume idle: coolant rises only while (fan is on or fan is off)
assume never_there: never (coolant above 130 degC and fan is off)
assume twice: never (radio is on and fan is on and coolant above 95 degC)
require stays_hot: hot whenever (coolant above 100 degC)
require fan_when_hot: never (fan is on and coolant below 50 degC)
require once_hot: never (coolant below 90 degC and hot)
`
	s := build(t, text)
	v := decide(t, s, "stays_hot")
	assert.Equal(t, system.Holds, v.Outcome)
	assert.Empty(t, v.Assumptions, "it holds anyway")
	v = decide(t, s, "fan_when_hot")
	assert.Equal(t, system.Fails, v.Outcome, "on while hot, then it cools down")
	// With the fan on it may cool down, and then be switched off: without the first and the
	// last the same states are reached, by other ways.
	for name, want := range map[string]bool{
		"only_cooled": true, "quiet": true, "late": true, "idle": false, "never_there": false, "twice": false,
	} {
		matters, err := s.Matters(context.Background(), name)
		require.NoError(t, err)
		assert.Equal(t, want, matters, name)
	}
	blocked := build(t, `title "Blocked"
setting key: off, run
assume a: never key is run
require x: possible key is run
`)
	names, err := blocked.Blocks(context.Background())
	require.NoError(t, err)
	assert.Equal(t, []string{"a"}, names)
	v = decide(t, blocked, "x")
	assert.Equal(t, system.Fails, v.Outcome)
	assert.Equal(t, []string{"a"}, v.Assumptions)
	free, err := s.Blocks(context.Background())
	require.NoError(t, err)
	assert.Empty(t, free)
}

// A controller that loses its power forgets its mode at once, and starts again at the
// beginning.
func TestModesWithoutPower(t *testing.T) {
	s := build(t, `title "Forgets"
setting key: off, run
setting button: out, in
ground block
supply battery: 12 V, from block to stud
fit S1: {
    pin 1, 2
    contact hand: 1 to 2, make, made when key is run
}
fit S2: {
    pin 1, 2
    contact hand: 1 to 2, make, made when button is in
}
fit box: {
    pin 1, 2, 3, 4
    powered 1 to 2: works from 7 V
    input press: at 3, reads volts, pulled up 10 kohm to 5 V, low below 1 V, high above 4 V
    modes lamp: starts in dark {
        mode dark, bright
        from dark to bright: when press is low
    }
    driver out: earths 4 to 2, when lamp is bright
}
fit H1: {
    pin 1, 2
    load filament: 1 to 2, 5 W at 12 V, lit from 60 %
}
wire W1: battery.stud to S1.1
wire W2: S1.2 to box.1
wire W3: box.2 to block
wire W4: box.3 to S2.1
wire W5: S2.2 to block
wire W6: battery.stud to H1.1
wire W7: H1.2 to box.4
require never_without_key: never (H1.filament is lit and key is off)
require dark_without_power: box.lamp is dark whenever key is off
require remembers: possible (H1.filament is lit and button is out)
require forgets: possible (key is run and button is out and not H1.filament is lit)
`)
	for _, name := range []string{"never_without_key", "dark_without_power", "remembers", "forgets"} {
		assert.Equal(t, system.Holds, decide(t, s, name).Outcome, name)
	}
	text, err := s.When(context.Background(), system.On(requirement(t, s.Design(), "remembers").A.Kids[0]))
	require.NoError(t, err)
	assert.Equal(t, "box.lamp is bright", text)
}

// slow is four lamps behind a thin contact: while they are cold it takes most of the volts.
const slow = `title "Slow lamps"
setting hazard: off, on
ground block
supply battery: 12 V, from block to stud, inside 10 mohm, anywhere between 11 V and 15 V
node line
contact h: battery.stud to line, made when hazard is on, 100 mohm
load lamp1: line to block, 21 W at 12 V, cold 10 %, lit from 60 %
load lamp2: line to block, 21 W at 12 V, cold 10 %, lit from 60 %
load lamp3: line to block, 21 W at 12 V, cold 10 %, lit from 60 %
load lamp4: line to block, 21 W at 12 V, cold 10 %, lit from 60 %
# A guard that trips on the inrush and stays so.
threshold surge: current through h, sets above 20 A, clears below 0.1 A
modes trip: starts in sound {
    mode sound, tripped
    from sound to tripped: when surge
}
`

// What has time to come true is not asked of filaments that are still cold; what must be so
// at once is, and so is hardware that a moment moves.
func TestFilamentsAreWarmInTime(t *testing.T) {
	for _, test := range []struct {
		require string
		want    system.Outcome
	}{
		{"lamp1 is lit whenever hazard is on", system.HoldsNominally},
		{"lamp1 is lit within 100 ms whenever hazard is on", system.HoldsNominally},
		{"lamp1 is lit within 200 ms whenever hazard is on", system.Holds},
		{"lamp1 is lit repeats within 1 s whenever hazard is on", system.Holds},
		{"lamp1 is lit repeats within 50 ms whenever hazard is on", system.HoldsNominally},
		{"never (hazard is on and not lamp1 is lit) for 300 ms", system.Holds},
		{"never (hazard is on and not lamp1 is lit) for 100 ms", system.HoldsNominally},
		{"never ((hazard is on and not lamp1 is lit) in the last 5 s)", system.HoldsNominally},
		{"trip is sound within 1 s whenever hazard is on", system.HoldsNominally},
	} {
		s := build(t, slow+"require r: "+test.require+"\n")
		v := decide(t, s, "r")
		assert.Equal(t, test.want, v.Outcome, "%s: %s", test.require, v.Why)
	}
}

// With 12 V the winding gets 12 × 85/(85+40) = 8.16 V: it never misses its 8 V but for the
// volts of the battery, and never gets 9 V but with them or with another resistor.
// A filament of 40 W to 80 W draws 6.67 A at 12 V and its most (handbook: P = U I). What its
// bounds do is not left out of what lasts; where it can't be told apart from warming up, that
// is said.
func TestBoundsOfAFilament(t *testing.T) {
	s := build(t, `title "Bounds of a filament"
setting key: off, run
ground body
supply battery: 12 V, from body to stud, inside 1 mohm
fuse F1: battery.stud to feed, 15 A
node feed, out
contact S1: feed to out, make, made when key is run
load spot: out to body, 40 W to 80 W at 12 V, cold 10 %, lit from 60 %
require draws: current through spot below 5.5 A within 300 ms whenever key is run
require lit: spot is lit within 300 ms whenever key is run
`)
	v := decide(t, s, "draws")
	assert.Equal(t, system.Holds, v.Outcome)
	assert.True(t, v.NominalOnly)
	assert.Contains(t, v.Why, "known only within bounds")
	v = decide(t, s, "lit")
	assert.Equal(t, system.Holds, v.Outcome)
	assert.False(t, v.NominalOnly)
}

func TestNeverOverSomeValues(t *testing.T) {
	text := strings.Replace(replace(weak, "9"), "pulls in at 8 V", "pulls in at 9 V", 1)
	for _, c := range []struct {
		resistor       string
		all, resistors system.Outcome
	}{
		{"40 ohm", system.HoldsNominally, system.Holds},
		{"40 ohm +-50 %", system.HoldsNominally, system.HoldsNominally},
	} {
		s := build(t, strings.Replace(text, "40 ohm", c.resistor, 1))
		in := system.InState(s.Design().Coils[0].Memory, 1)
		v, err := s.Never(context.Background(), in)
		require.NoError(t, err)
		assert.Equal(t, c.all, v.Outcome, c.resistor)
		v, err = s.NeverOver(context.Background(), in, circuit.OverTolerance|circuit.OverWarmth)
		require.NoError(t, err)
		assert.Equal(t, c.resistors, v.Outcome, c.resistor)
		assert.False(t, v.NominalOnly)
	}
}

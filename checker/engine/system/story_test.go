package system_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func possible(t testing.TB, s *system.System, c system.Condition) system.Verdict {
	t.Helper()
	v, err := s.Possible(context.Background(), c)
	require.NoError(t, err)
	require.Equal(t, system.Holds, v.Outcome)
	return v
}

// Times, beats and durations as they are reported.
func TestStoriesOfTime(t *testing.T) {
	s := build(t, `title "Times"
setting button: out, in
timer pulse: starts when button is in, lasts 3 s
beat flash: on 400 ms, off 300 ms, while button is in
beat even: on 500 ms, off 500 ms, while button is in
condition held: button is in for 2 s
condition late: button is in in the last 5 s
require pulse_done: possible (pulse is done and button is in)
require dark: possible (flash is off and button is in)
require uneven: possible (even is off and button is in)
require was_held: possible held
require forgotten: possible (pulse is done and not late)
require let_go: possible (late and button is out)
`)
	for name, want := range map[string]string{
		"pulse_done": "1. set button in\n   pulse starts\n2. pulse is done after 3 s\n",
		"dark":       "1. set button in\n2. flash goes off\n",
		"uneven":     "1. set button in\n2. even goes off\n",
		"was_held":   "1. set button in\n2. (button is in) has lasted 2 s\n",
		"let_go":     "1. set button in\n2. set button out\n",
	} {
		v := decide(t, s, name)
		require.Equal(t, system.Holds, v.Outcome, name)
		assert.Equal(t, "at first: button is out\n"+want, story(v), name)
	}
	assert.Equal(t, system.Fails, decide(t, s, "forgotten").Outcome)
	v := decide(t, s, "was_held")
	var steps []string
	for _, l := range v.Trace.Lines() {
		steps = append(steps, l.Step)
	}
	assert.Equal(t, []string{"", "set button in", "wait 2 s"}, steps)
	way, inexact := v.Trace.AsDrive("way")
	assert.Empty(t, inexact)
	assert.Equal(t, "drive way: {\n    step: set button in, wait 2 s\n}\n", system.DriveText(s.Design(), &way))
}

// What a drive cannot do as the trace does is said.
func TestDrivesThatAreNotExact(t *testing.T) {
	s := build(t, `title "Held"
setting key: off, run, crank, in order, springs back from crank to run
setting door: shut, open
timer slow: runs while key is crank, lasts 1 s to 2 s
threshold never: n, sets at 90 rpm, clears below 80 rpm
quantity n: 0 to 100 rpm
modes story: starts in a {
    mode a, b
    from a to b: when slow is done and door is open
}
require there: possible (slow is done and door is open and n above 95 rpm)
`)
	_, inexact := decide(t, s, "there").Trace.AsDrive("way")
	assert.Equal(t, []string{"slow lasts an interval; the drive takes its middle"}, inexact[:1])
	rated := build(t, `title "Rated"
setting key: off, run, crank, in order, springs back from crank to run
quantity n: 0 to 100 rpm, changes at most 10 rpm per s
require there: possible (key is crank and n above 50 rpm)
require at_run: possible (key is run and n above 50 rpm)
`)
	v := decide(t, rated, "at_run")
	way, inexact := v.Trace.AsDrive("way")
	require.Empty(t, inexact)
	text := system.DriveText(rated.Design(), &way)
	assert.Contains(t, text, "ramp n to 75 rpm over 7.5 s")
	way.Steps[len(way.Steps)-1].Sees = []model.See{{Cond: requirement(t, rated.Design(), "at_run").A}}
	got, err := scenario.Run(context.Background(), rated.Design(), &way, scenario.Options{})
	require.NoError(t, err)
	assert.Empty(t, got.Failures)
	way, inexact = decide(t, rated, "there").Trace.AsDrive("way")
	if strings.Contains(system.DriveText(rated.Design(), &way), "set key crank\n    step: ramp") {
		assert.Equal(t, []string{"key would have to be held in crank"}, inexact)
	} else {
		assert.Empty(t, inexact)
	}
}

// Modes that step for ever by themselves.
func TestLivelock(t *testing.T) {
	s := build(t, `title "Ping-pong"
setting switch: off, on
modes ball: starts in left {
    mode left, right
    from left to right: when switch is on
    from right to left: when switch is on
}
`)
	locks, err := s.Livelocks(context.Background())
	require.NoError(t, err)
	require.Len(t, locks, 1)
	assert.Contains(t, story(system.Verdict{Trace: locks[0].Trace}), "1. set switch on")
	assert.NotEmpty(t, locks[0].Cycle)
	v, err := s.PossibleAtStep(context.Background(), system.Leaves(0, 0))
	require.NoError(t, err)
	assert.Equal(t, system.Holds, v.Outcome)
}

// Fed and open to air at once.
func TestFedAndVented(t *testing.T) {
	s := build(t, `title "Both"
setting lever: one, both
origin pump: vacuum
fit valve: {
    port inlet, outlet: vacuum
    port vent: vacuum, open to air
    passage fill: inlet to outlet, always open
    passage relieve: vent to outlet, passes when lever is both
}
hose H1: pump to valve.inlet
require fed: valve.outlet is fed whenever lever is one
require vented: valve.outlet is vented whenever lever is both
require nothing: never valve.outlet is neither
`)
	for _, name := range []string{"fed", "vented", "nothing"} {
		assert.Equal(t, system.Holds, decide(t, s, name).Outcome, name)
	}
	outlet := model.PortID(named(t, s.Design().Ports, "valve.outlet", func(p *model.Port) *model.Info { return &p.Info }))
	v := possible(t, s, system.FedAndVented(outlet))
	assert.Equal(t, "at first: lever is one\n1. set lever both\n   valve.relieve opens\n", story(v))
	text, err := s.When(context.Background(), system.FedAndVented(outlet))
	require.NoError(t, err)
	assert.Equal(t, "lever is both", text)
}

// A partition without a band that keeps is just the quantity.
func TestPlainBands(t *testing.T) {
	s := build(t, `title "Plain"
quantity n: 0 to 7000 rpm
setting key: off, run
bands b: over n, while key is run {
    band low: 0 to 3000 rpm
    band high: 3000 to 7000 rpm
}
require edge: possible (b is high and n at most 3000 rpm)
require either: (b is low or b is high) whenever key is run
require silent: never (b is low and key is off)
require odd: never (b is low and b is high)
`)
	for _, name := range []string{"edge", "either", "silent", "odd"} {
		assert.Equal(t, system.Holds, decide(t, s, name).Outcome, name)
	}
}

// A value that the design does not compare with cannot be asked about, unless it was
// announced.
func TestForeignValues(t *testing.T) {
	d := elaboratetest.Designs(t, "test.pintle", `title "Foreign"
quantity n: 0 to 7000 rpm
require a: possible n above 3000 rpm
`)[0]
	u, _ := unit.Lookup("rpm")
	c := &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomQuantity, Cmp: model.Above, Value: unit.New(unit.Int(5000), u)}}
	s, err := system.Build(context.Background(), d, system.Options{})
	require.NoError(t, err)
	_, err = s.Possible(context.Background(), system.On(c))
	assert.ErrorIs(t, err, system.ErrForeign)
	assert.Equal(t, system.Holds, decide(t, s, "a").Outcome, "what was asked before does no harm")
	s, err = system.Build(context.Background(), d, system.Options{Also: []*model.Cond{c}})
	require.NoError(t, err)
	possible(t, s, system.On(c))
}

// More values than can be told apart: the question is undecided, and says why.
func TestTooManyValues(t *testing.T) {
	var b strings.Builder
	b.WriteString("title \"Many\"\nquantity n: 0 to 7000 rpm\nsetting key: off, run\n")
	for i := range 200 {
		fmt.Fprintf(&b, "condition c%d: n above %d rpm\n", i, 10*(i+1))
	}
	b.WriteString("require a: possible c7\nrequire b: possible key is run\n")
	s := build(t, b.String())
	v := decide(t, s, "a")
	assert.Equal(t, system.Undecided, v.Outcome)
	assert.Contains(t, v.Why, "n is compared with too many different values")
	assert.Equal(t, system.Holds, decide(t, s, "b").Outcome)
}

// A cancelled question is an error, never an answer.
func TestCancelled(t *testing.T) {
	d := elaboratetest.Designs(t, "overrun.pintle", overrun)[0]
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := system.Build(ctx, d, system.Options{})
	assert.ErrorIs(t, err, context.Canceled)
	s, err := system.Build(context.Background(), d, system.Options{})
	require.NoError(t, err)
	_, err = s.Decide(ctx, &d.Requirements[0])
	assert.ErrorIs(t, err, context.Canceled)
}

// The same design gives the same answers with the same work.
func TestSameEveryTime(t *testing.T) {
	var first string
	for range 3 {
		var b strings.Builder
		s := build(t, overrun)
		for i := range s.Design().Requirements {
			v, err := s.Decide(context.Background(), &s.Design().Requirements[i])
			require.NoError(t, err)
			fmt.Fprintln(&b, v.Outcome, v.Why, v.Assumptions, v.Work, story(v))
		}
		if first == "" {
			first = b.String()
		}
		assert.Equal(t, first, b.String())
	}
}

package fault

import (
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/failure"
	"pintle/lang/model"
)

// overrun is the cut-off as the trade has it (common practice, no source): fuel is cut above
// 1600 rpm with the throttle shut and comes back below 1300 rpm. 12 V come through the
// throttle switch, earth through the idle controller.
var overrun = elaboratetest.OverrunCut{
	Feed: "rail", Runs: 750, Resumes: 1300, Cuts: 1600, Most: 7000, PullsIn: 6,
}.String() + `fuse F1: battery.stud to rail, 10 A
node rail
fault plugs_swapped: swap C1 with C2
require never_at_idle: never (fuel_is_cut and engine_speed below 1300 rpm), despite any one fault
require never_with_the_throttle_open: never (fuel_is_cut and throttle is open), despite any one fault
require cuts: fuel_is_cut whenever (throttle is shut and engine_speed above 1600 rpm), despite any one fault
require can_cut: possible fuel_is_cut, despite any one fault
`

// despite answers the requirements of a design by name.
func despite(t *testing.T, d *model.Design) map[string]Result {
	t.Helper()
	var all []int
	for i := range d.Requirements {
		all = append(all, i)
	}
	got, err := NewSweep(d, Options{}).Despite(context.Background(), all)
	require.NoError(t, err)
	out := map[string]Result{}
	for i := range got {
		out[d.Requirements[i].Name] = got[i]
	}
	return out
}

// with lists the faults with which a requirement fails.
func with(r Result) []string {
	var out []string
	for _, f := range r.Failures {
		for _, x := range f.Faults {
			out = append(out, x.Words)
		}
	}
	return out
}

func TestOverrun(t *testing.T) {
	got := despite(t, elaboratetest.Designs(t, "overrun.pintle", overrun)[0])
	assert.Equal(t, []string{
		"W3 shorted to ground", "W6 shorted to ground", "W6 shorted to a feed", // nobody knows what speed reads then
		"idle_controller.cut stuck on", "speed_sender.teeth stuck", "C1 and C2 swapped",
	}, with(got["never_at_idle"]))
	assert.Equal(t, []string{
		"W2 shorted to a feed", "throttle_switch.shut welded", "cut_valve.winding shorted to a feed", "C1 and C2 swapped",
	}, with(got["never_with_the_throttle_open"]))
	cuts := with(got["cuts"])
	for _, f := range []string{
		"W1 broken", "W3 broken", "W5 broken", "C1 off", "H1 off", "H2 off", "F1 blown", "W2 shorted to ground",
		"speed_sender.teeth silent", "cut_valve.winding broken", "cut_valve.winding shorted", "cut_valve.fill stuck shut",
	} {
		assert.Contains(t, cuts, f)
	}
	for _, f := range []string{"W7 broken", "W8 broken", "C2 off", "heater.element broken"} { // the heater is another matter
		assert.NotContains(t, cuts, f)
		assert.NotContains(t, with(got["can_cut"]), f)
	}
	assert.Contains(t, with(got["can_cut"]), "W4 broken")
	assert.Contains(t, with(got["can_cut"]), "speed_sender.teeth stuck", "above 1600 rpm it is possible, below it is not")
}

// A fault that comes late does what one that was always there can't: with its common feed
// broken from the start the latching relay never pulls in.
func TestFaultThatComesLate(t *testing.T) {
	text := `title "Latch"
setting start: free, pressed
setting stop: free, pressed
ground block
supply battery: 12 V, from block to stud, inside 10 mohm
fuse F1: battery.stud to rail, 10 A
node rail, common, s, r, out
wire W1: rail to common
contact A: common to s, make, made when start is pressed
contact B: common to r, make, made when stop is pressed
coil set_winding: s to block, 40 ohm, pulls in at 8 V
coil release_winding: r to block, 40 ohm, pulls in at 8 V
armature latch: set by set_winding, released by release_winding
contact main: rail to out, make, by latch
load pump: out to block, 60 W at 12 V, turning from 50 %
require stops: never (pump is turning and stop is pressed and start is free), despite any one fault
`
	d := elaboratetest.Designs(t, "latch.pintle", text)[0]
	got := despite(t, d)["stops"]
	require.Equal(t, Fails, got.Outcome)
	i := slices.IndexFunc(got.Failures, func(f Failure) bool { return f.Faults[0].Words == "W1 broken" })
	require.GreaterOrEqual(t, i, 0, with(got))
	var lines []string
	for _, l := range got.Failures[i].Moves {
		lines = append(lines, l.Text)
	}
	assert.Equal(t, `at first: start is free, stop is free
1. set start pressed
   latch pulls in
2. set start free
3. W1 breaks
4. set stop pressed`, strings.Join(lines, "\n"))
	assert.Equal(t, "fail W1 open", got.Failures[i].Moves[4].Step)

	f := &got.Failures[i].Faults[0]
	always, err := system.Build(context.Background(), d, system.Options{Faults: f.Actions})
	require.NoError(t, err)
	v, err := always.Decide(context.Background(), &d.Requirements[0])
	require.NoError(t, err)
	assert.Equal(t, system.Holds, v.Outcome, "from the start it does no harm")
}

// A short blows the fuse in its path, and what depends on it goes out; with no fuse in the path the
// current flows on, and the volts that are left are what is judged.
func TestShorts(t *testing.T) {
	text := `title "Short"
setting key: off, run
ground block
supply battery: 12 V, from block to stud, inside 10 mohm
node rail, on, far
%s
wire W1: on to far
contact S: rail to on, make, made when key is run
load lamp: far to block, 10 W at 12 V, lit from 60 %%
load clock: rail to block, 1 W at 12 V, running from 60 %%
require keeps_time: always clock is running, despite any one fault
`
	fused := elaboratetest.Designs(t, "short.pintle", strings.ReplaceAll(strings.Replace(text, "%s", "fuse F1: battery.stud to rail, 10 A", 1), "%%", "%"))[0]
	got := despite(t, fused)["keeps_time"]
	bare := func(r Result) (out []string) {
		for _, f := range r.Unprotected {
			out = append(out, f.Words)
		}
		return out
	}
	protected := slices.DeleteFunc(with(got), func(w string) bool { return slices.Contains(bare(got), w) })
	assert.ElementsMatch(t, []string{"W1 shorted to ground", "clock broken", "clock shorted", "clock shorted to ground", "lamp shorted", "lamp shorted to ground", "F1 blown"}, protected)
	i := slices.IndexFunc(got.Failures, func(f Failure) bool { return f.Faults[0].Words == "W1 shorted to ground" })
	require.GreaterOrEqual(t, i, 0)
	var lines []string
	for _, l := range got.Failures[i].Moves {
		lines = append(lines, l.Text)
	}
	assert.Equal(t, "at first: key is off, W1 shorted to ground\n1. set key run\n   F1 blows", strings.Join(lines, "\n"))

	got = despite(t, elaboratetest.Designs(t, "short.pintle", strings.ReplaceAll(strings.Replace(text, "%s", "wire W0: battery.stud to rail", 1), "%%", "%"))[0])["keeps_time"]
	shorts := []string{"W0 shorted to ground", "W1 shorted to ground", "lamp shorted"}
	assert.Subset(t, bare(got), shorts)
	assert.Subset(t, with(got), shorts, "0.6 V are left")
	assert.NotContains(t, bare(got), "W1 shorted to a feed")
}

// examples are the designs of the examples folder.
func examples(t *testing.T) []*model.Design {
	t.Helper()
	files, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var out []*model.Design
	for _, f := range files {
		out = append(out, elaboratetest.File(t, f)...)
	}
	return out
}

// A fault that was there from the start is, injected, what package circuit makes of it:
// two ways to one answer. Shorts that blow fuses are not known there.
func TestAgainstStandingFaults(t *testing.T) {
	ctx := context.Background()
	compared := 0
	for _, d := range append(examples(t), elaboratetest.Designs(t, "overrun.pintle", overrun)...) {
		faults := Generate(d)
		for i := range faults {
			if i%5 != 0 { // a fifth of them, spread over all kinds
				continue
			}
			f := &faults[i]
			w, err := Inject(d, f, true)
			require.NoError(t, err)
			if len(w.Design.Memories) > len(w.sound.Memories)+1 || w.stuck != nil { // of a stuck sender the sweep tries each value
				continue
			}
			faulted, err := w.build(ctx, system.Options{})
			require.NoError(t, err)
			standing, err := system.Build(ctx, d, system.Options{Faults: f.Actions})
			require.NoError(t, err)
			for k := range d.Requirements {
				r := &d.Requirements[k]
				if r.Form == model.Within || r.Form == model.Repeats {
					continue // dear, and no different
				}
				got, err := faulted.ask(ctx, faulted.faultedOf(r), system.On(nil), true)
				require.NoError(t, err)
				want, err := (&System{Faulted: &Faulted{Fault: f, Design: d, sound: d}, System: standing}).ask(ctx, r, system.On(nil), true)
				require.NoError(t, err)
				assert.Equal(t, want.Outcome, got.Outcome, "%s: %s with %s", d.Title, r.Name, f.Words)
				compared++
			}
		}
	}
	t.Logf("%d compared", compared)
	assert.Greater(t, compared, 200)
}

// The list is the same every time, names every way of failing that is generated, and each
// fault can be injected.
func TestGenerate(t *testing.T) {
	modes := map[model.FaultMode]bool{}
	for _, d := range append(examples(t), elaboratetest.Designs(t, "overrun.pintle", overrun)...) {
		one, two := Generate(d), Generate(d)
		require.Equal(t, one, two)
		seen := map[string]bool{}
		for i := range one {
			f := &one[i]
			assert.False(t, seen[f.Words], "%s twice", f.Words)
			seen[f.Words] = true
			for _, a := range f.Actions {
				modes[a.Mode] = true
			}
			_, err := Inject(d, f, false)
			assert.NoError(t, err, f.Words)
			_, err = circuit.New(d, f.Actions)
			assert.NoError(t, err, f.Words)
		}
		var grouped []int
		for _, g := range Groups(d, one) {
			grouped = append(grouped, g...)
		}
		slices.Sort(grouped)
		for i := range grouped {
			require.Equal(t, i, grouped[i])
		}
	}
	assert.Len(t, modes, len(failure.Modes())+1, "every way of failing that has words")
}

// What lies elsewhere does not fail, nor does a clamped hose, nor an earth wire to ground.
func TestWhatDoesNotFail(t *testing.T) {
	d := elaboratetest.Designs(t, "elsewhere.pintle", `title "Elsewhere"
ground block
supply battery: 12 V, from block to stud, inside 10 mohm
origin pump: vacuum
fit box: elsewhere {
    pin 1, 2
    load inside: 1 to 2, 5 W at 12 V
}
fit flap: {
    port a: vacuum
}
wire W1: battery.stud to box.1
wire W2: box.2 to block
hose H1: pump to flap.a, clamped
`)[0]
	var words []string
	for _, f := range Generate(d) {
		words = append(words, f.Words)
	}
	assert.Equal(t, []string{"W1 broken", "W1 shorted to ground", "W2 broken", "W2 shorted to a feed"}, words)
}

// A bound that is met is no answer.
func TestTooMany(t *testing.T) {
	d := elaboratetest.Designs(t, "overrun.pintle", overrun)[0]
	s := NewSweep(d, Options{MaxFaults: 3})
	got, err := s.Despite(context.Background(), []int{0})
	require.NoError(t, err)
	assert.Equal(t, Undecided, got[0].Outcome)
	assert.Contains(t, got[0].Why, "more than the 3 that are tried")
	ex, err := s.Explain(context.Background(), []*model.Cond{d.Requirements[0].A})
	require.NoError(t, err)
	assert.Equal(t, Undecided, ex[0].Outcome)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = NewSweep(d, Options{}).Despite(ctx, []int{0})
	assert.ErrorIs(t, err, context.Canceled)
}

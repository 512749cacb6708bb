package system_test

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/interval"
	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

// Overrun cut-off as the trade has it (common practice, no source): with the throttle shut
// fuel is cut above 1650 rpm and comes back below 1350 rpm, up to a red line near 6800 rpm;
// from 800 to 1350 rpm the idle control is in charge, below 800 rpm the engine stops. 12 V
// come through the throttle switch, earth through the idle controller.
var overrun = elaboratetest.OverrunCut{
	Feed: "battery.stud", Runs: 800, Resumes: 1350, Cuts: 1650, Most: 6800, PullsIn: 8,
}.String() + `
bands overrun_bands: over engine_speed, while throttle is shut {
    band stopped: 0 to 800 rpm, not fuel_is_cut
    band idle: 800 to 1350 rpm, not fuel_is_cut
    band between: 1350 to 1650 rpm, keeps, enters as idle
    band cut: 1650 to 6800 rpm
}

require never_at_idle: never (fuel_is_cut and engine_speed below 1320 rpm)
require never_with_the_throttle_open: never (fuel_is_cut and throttle is open)
require cuts: fuel_is_cut whenever (throttle is shut and engine_speed above 1680 rpm)
require comes_back: possible (not fuel_is_cut and throttle is shut and engine_speed between 800 rpm and 1350 rpm)
require can_cut: possible fuel_is_cut
`

func TestOverrun(t *testing.T) {
	s := build(t, overrun)
	d := s.Design()
	for i := range d.Requirements {
		v, err := s.Decide(context.Background(), &d.Requirements[i])
		require.NoError(t, err)
		assert.Equal(t, system.Holds, v.Outcome, "%s %s", d.Requirements[i].Name, v.Corner)
		assert.False(t, v.NominalOnly, v.Why)
	}
	text, err := s.When(context.Background(), system.On(d.Conditions[0].Cond))
	require.NoError(t, err)
	assert.Equal(t, "throttle is shut and idle_controller.overrun", text)

	// The two bands by themselves leave a stretch without a name; with it there is none.
	q := d.Quantities[0]
	var bands []interval.Band
	for _, b := range d.Bands[0].Bands {
		bands = append(bands, interval.Band{Lo: b.Lo, Hi: b.Hi})
	}
	c, err := interval.Cover(q.Lo, q.Hi, bands)
	require.NoError(t, err)
	assert.Empty(t, c.Gaps)
	c, err = interval.Cover(q.Lo, q.Hi, slices.Delete(slices.Clone(bands), 2, 3))
	require.NoError(t, err)
	require.Len(t, c.Gaps, 1)
	assert.Equal(t, "1350 to 1650 rpm", c.Gaps[0].String())
}

// What brings the fuel back is that the earth opens below 1350 rpm: the way there says so.
func TestFuelComesBack(t *testing.T) {
	s := build(t, overrun+`modes story: starts in before {
    mode before, during, after
    from before to during: when fuel_is_cut
    from during to after: when throttle is shut and not fuel_is_cut
}
require back: possible story is after
`)
	v := decide(t, s, "back")
	require.Equal(t, system.Holds, v.Outcome)
	assert.Equal(t, `at first: throttle is shut, engine_speed 0 rpm
   idle_controller has power
1. engine_speed rises past 1650 rpm
   idle_controller.overrun sets
   idle_controller.cut switches on
   cut_valve.winding pulls in
   cut_valve.fill opens
   cut_valve.relieve closes
   story goes from before to during
2. engine_speed falls below 1350 rpm
   idle_controller.overrun clears
   idle_controller.cut switches off
   cut_valve.winding lets go
   cut_valve.fill closes
   cut_valve.relieve opens
   story goes from during to after
`, story(v))
}

// A way to a state, written in the language, is a drive that can be run as it stands.
func TestWitnessAsText(t *testing.T) {
	s := build(t, overrun)
	v := decide(t, s, "can_cut")
	way, inexact := v.Trace.AsDrive("way")
	require.Empty(t, inexact)
	way.Steps[len(way.Steps)-1].Sees = []model.See{{Cond: requirement(t, s.Design(), "can_cut").A}}
	text := system.DriveText(s.Design(), &way)
	assert.Equal(t, "drive way: {\n    step: set engine_speed 1665 rpm, see fuel_is_cut at end\n}\n", text)
	d := elaboratetest.Designs(t, "overrun.pintle", overrun+text)[0]
	got, err := scenario.Run(context.Background(), d, &d.Drives[len(d.Drives)-1], scenario.Options{})
	require.NoError(t, err)
	assert.Equal(t, 1, got.Sees)
	assert.Empty(t, got.Failures)
}

func fault(kind model.ThingKind, index int, path string, mode model.FaultMode) circuit.Overlay {
	return circuit.Overlay{{Thing: model.Thing{Kind: kind, Index: index, Path: path}, Mode: mode}}
}

func named[T any](t *testing.T, list []T, path string, of func(*T) *model.Info) int {
	t.Helper()
	for i := range list {
		if of(&list[i]).Path == path {
			return i
		}
	}
	t.Fatalf("nothing is called %s", path)
	return -1
}

// Each fault is shown as what it does.
func TestOverrunWithFaults(t *testing.T) {
	d := elaboratetest.Designs(t, "overrun.pintle", overrun)[0]
	wire := named(t, d.Wires, "W3", func(w *model.Wire) *model.Info { return &w.Info })
	hose := named(t, d.Passages, "H2", func(p *model.Passage) *model.Info { return &p.Info })
	swap := circuit.Overlay{{
		Thing: model.Thing{Kind: model.ThingConnector, Index: 0, Path: "C1"},
		Other: model.Thing{Kind: model.ThingConnector, Index: 1, Path: "C2"}, Mode: model.FaultSwapped,
	}}
	for _, c := range []struct {
		name   string
		faults circuit.Overlay
		fails  []string
	}{
		{"none", nil, nil},
		{"earth wire broken", fault(model.ThingElement, int(d.Wires[wire].Element), "W3", model.FaultOpen), []string{"cuts", "can_cut"}},
		{"hose off", fault(model.ThingPassage, hose, "H2", model.FaultOff), []string{"cuts", "can_cut"}},
		{"plugs swapped", swap, []string{"never_at_idle", "never_with_the_throttle_open", "comes_back"}},
		{"sender silent", fault(model.ThingSender, 0, "speed_sender.teeth", model.FaultSilent), []string{"cuts", "can_cut"}},
		{"sender stuck", fault(model.ThingSender, 0, "speed_sender.teeth", model.FaultStuck), []string{"never_at_idle", "cuts"}},
		{"driver stuck on", fault(model.ThingDriver, 0, "idle_controller.cut", model.FaultStuckOn), []string{"never_at_idle", "comes_back"}},
		{"switch stuck made", fault(model.ThingContact, 0, "throttle_switch.shut", model.FaultStuckMade), []string{"never_with_the_throttle_open"}},
		{"passage stuck shut", fault(model.ThingPassage, 0, "cut_valve.fill", model.FaultStuckShut), []string{"cuts", "can_cut"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := system.Build(context.Background(), d, system.Options{Faults: c.faults})
			require.NoError(t, err)
			var fails []string
			for i := range d.Requirements {
				v, err := s.Decide(context.Background(), &d.Requirements[i])
				require.NoError(t, err)
				if v.Outcome != system.Holds {
					fails = append(fails, d.Requirements[i].Name)
				}
			}
			assert.Equal(t, c.fails, fails)
		})
	}
}

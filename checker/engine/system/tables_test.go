package system_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// The decision table of an avionics mode (Hoover and Chen's TableWise example, as given in
// SRI-CSL-95-12, section 3.2), with the numbers of an explicit enumeration of its 72
// cells.
const tableWise = `title "Table"
setting phase: climb, cruise
setting height: low, high
setting altitude: below, at_it, above
setting hold: no, yes
setting target: less, same, more
result mode {
    row takeoff: when phase is climb and height is high and altitude is below and hold is no
    row takeoff_2: when phase is climb and height is high and altitude is below and hold is yes and target is more
    row climb: when phase is climb and altitude is not below and hold is no
    row climb_2: when phase is climb and altitude is not below and hold is yes and target is more
    row level: when phase is climb and hold is yes%s
    row cruise: when phase is cruise and altitude is above and hold is yes and target is same
}
require challenge: (mode is climb or mode is climb_2) whenever (altitude is at_it and phase is climb)
`

func cells(t testing.TB, s *system.System, c system.Condition) int64 {
	t.Helper()
	var vars []logic.Var
	for i := range s.Design().Settings {
		vars = append(vars, s.SettingVar(model.SettingID(i)))
	}
	n, err := s.Count(context.Background(), c, vars...)
	require.NoError(t, err)
	return n.Int64()
}

func overlaps(t testing.TB, s *system.System) map[[2]int]int64 {
	t.Helper()
	out := map[[2]int]int64{}
	for i := range s.Design().Results[0].Rows {
		for j := i + 1; j < len(s.Design().Results[0].Rows); j++ {
			if n := cells(t, s, system.All(system.Row(0, i), system.Row(0, j))); n > 0 {
				out[[2]int{i + 1, j + 1}] = n
			}
		}
	}
	return out
}

func phase0(s *system.System, position int) system.Condition {
	return system.Literal(s.Reach().Space.Is(s.SettingVar(0), position))
}

func TestDecisionTable(t *testing.T) {
	s := build(t, replace(tableWise, ""))
	assert.Equal(t, int64(72), cells(t, s, system.On(nil)))
	assert.Equal(t, map[[2]int]int64{{2, 5}: 1, {4, 5}: 4}, overlaps(t, s))
	assert.Equal(t, int64(37), cells(t, s, system.NoRow(0)))
	assert.Equal(t, int64(3), cells(t, s, system.All(system.NoRow(0), phase0(s, 0))))
	assert.Equal(t, int64(34), cells(t, s, system.All(system.NoRow(0), phase0(s, 1))))
	// The first of the four published gaps, in words.
	text, err := s.When(context.Background(), system.All(system.NoRow(0), phase0(s, 0)))
	require.NoError(t, err)
	assert.Equal(t, "phase is climb and height is low and altitude is below and hold is no", text)

	repaired := build(t, replace(tableWise, " and height is low and altitude is below"))
	assert.Empty(t, overlaps(t, repaired))
	assert.Equal(t, int64(47), cells(t, repaired, system.NoRow(0)))
	assert.Equal(t, int64(13), cells(t, repaired, system.All(system.NoRow(0), phase0(repaired, 0))))
	assert.Equal(t, int64(34), cells(t, repaired, system.All(system.NoRow(0), phase0(repaired, 1))))
	v := decide(t, repaired, "challenge")
	require.Equal(t, system.Fails, v.Outcome, "the published follow-up: it falls through")
	text, err = repaired.When(context.Background(), system.All(system.NoRow(0), system.On(requirement(t, repaired.Design(), "challenge").B)))
	require.NoError(t, err)
	assert.Equal(t, "phase is climb and altitude is at_it and hold is yes and target is not more", text)
}

// Safety injection (Courtois and Parnas 1993; the scaled executable model of the asmeta
// examples): below 9 the pressure is too low, from 10 on it is high; Block overrides the
// injection in the low mode, Reset and a new mode take that back.
func TestSafetyInjection(t *testing.T) {
	s := build(t, `title "Safety injection"
quantity pressure: 0 to 20 kPa gauge, starts at 3 kPa gauge
setting block: off, on
setting reset: off, on
modes mode: starts in low {
    mode low, normal, high
    from low to normal: when pressure at least 9 kPa gauge
    from normal to high: when pressure at least 10 kPa gauge
    from normal to low: when pressure below 9 kPa gauge
    from high to normal: when pressure below 10 kPa gauge
}
modes overridden: starts in no {
    mode no, yes
    from yes to no: when mode is normal and pressure at least 10 kPa gauge
    from yes to no: when mode is high and pressure below 10 kPa gauge
    from yes to no: when reset is on and mode is not high
    from no to yes: when block is on and reset is off and mode is low
}
condition injects: mode is low and overridden is no
require injects_when_low: injects whenever (pressure below 9 kPa gauge and mode is low and overridden is no)
require can_inject: possible injects
require can_be_blocked: possible (mode is low and overridden is yes)
require never_when_high: never (injects and mode is high)
require reset_wins: never (overridden is yes and mode is high)
require rearms: (overridden is no) within 0 s whenever (reset is on and mode is low)
`)
	for _, name := range []string{"injects_when_low", "can_inject", "can_be_blocked", "never_when_high", "reset_wins", "rearms"} {
		assert.Equal(t, system.Holds, decide(t, s, name).Outcome, name)
	}
	// Every mode is reached and left, and every transition fires.
	for i := range s.Design().Machines {
		m := &s.Design().Machines[i]
		for k := range m.Modes {
			v, err := s.PossibleAtStep(context.Background(), system.Leaves(model.MachineID(i), k))
			require.NoError(t, err)
			assert.Equal(t, system.Holds, v.Outcome, m.Modes[k].Name)
		}
		for k := range m.Transitions {
			v, err := s.PossibleAtStep(context.Background(), system.Fires(model.MachineID(i), k))
			require.NoError(t, err)
			fires := !(i == 1 && k == 1) // overridden is gone before the pressure is high
			assert.Equal(t, fires, v.Outcome == system.Holds, "%s %d", m.Path, k)
		}
	}
}

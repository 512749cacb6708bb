package system_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
)

// A lamp that goes out 5 s after the switch: `within` depends on the very time.
func TestWithinATimer(t *testing.T) {
	s := build(t, `title "Run on"
setting switch: on, off
timer run_on: runs while switch is off, lasts 4 s to 5 s
condition lit: switch is on or run_on is running
require out_in_time: not lit within 5 s whenever switch is off
require too_tight: not lit within 4900 ms whenever switch is off
require at_least: never ((switch is off for 4 s) and lit)
require lit_long: possible ((switch is off for 4500 ms) and lit)
`)
	assert.Equal(t, system.Holds, decide(t, s, "out_in_time").Outcome)
	v := decide(t, s, "too_tight")
	assert.Equal(t, system.Fails, v.Outcome)
	assert.Contains(t, story(v), "1. set switch off\n   run_on starts\n")
	// At exactly 4 s both may be the case; only after it, not before.
	assert.Equal(t, system.Holds, decide(t, s, "lit_long").Outcome)
}

// What time rules out is not possible, though the order of moves would allow it.
func TestTimeRulesOut(t *testing.T) {
	s := build(t, `title "Too slow"
setting switch: off, on
timer short: runs while switch is on, lasts 1 s
timer long: runs while switch is on, lasts 3 s
require wrong_order: possible (long is done and short is running)
require right_order: possible (short is done and long is running)
`)
	v := decide(t, s, "wrong_order")
	assert.Equal(t, system.Fails, v.Outcome)
	assert.NotEmpty(t, v.Why)
	v = decide(t, s, "right_order")
	assert.Equal(t, system.Holds, v.Outcome)
	require.NotNil(t, v.Trace.Schedule)
	assert.Equal(t, int64(1e9), v.Trace.Schedule.At[len(v.Trace.Schedule.At)-1])
}

// A quantity takes its time: at 100 rpm a second it needs 10 s for 1000 rpm.
func TestFastestRate(t *testing.T) {
	s := build(t, `title "Rate"
quantity n: 0 to 7000 rpm, changes at most 100 rpm per s
timer patience: runs while n above 1000 rpm, lasts 5 s
require too_quick: possible (patience is running and n above 2000 rpm)
require slow_enough: possible (patience is running and n above 1400 rpm)
`)
	assert.Equal(t, system.Fails, decide(t, s, "too_quick").Outcome)
	assert.Equal(t, system.Holds, decide(t, s, "slow_enough").Outcome)
}

// `starts when` runs to its end whatever its condition does, `runs while` does not.
func TestStartsAndRuns(t *testing.T) {
	s := build(t, `title "Timers"
setting button: out, in
timer pulse: starts when button is in, lasts 3 s
timer hold: runs while button is in, lasts 3 s
require runs_on: possible (pulse is running and button is out)
require never_holds: possible (hold is running and button is out)
require done_with_it: never (pulse is done and button is out)
require ends: (pulse is idle or pulse is done) within 3 s whenever pulse is running
`)
	v := decide(t, s, "runs_on")
	assert.Equal(t, system.Holds, v.Outcome)
	assert.Equal(t, "at first: button is out\n1. set button in\n   pulse starts\n2. set button out\n", story(v))
	assert.Equal(t, system.Fails, decide(t, s, "never_holds").Outcome)
	assert.Equal(t, system.Holds, decide(t, s, "done_with_it").Outcome)
	assert.Equal(t, system.Holds, decide(t, s, "ends").Outcome)
}

// A flasher: beats with unequal halves keep their times, and start on.
func TestBeats(t *testing.T) {
	s := build(t, `title "Flasher"
setting stalk: off, left
beat flash: on 400 ms, off 300 ms, while stalk is left
condition lit: flash is on
require starts_on: possible (lit and stalk is left)
require only_then: never (lit and stalk is off)
require again: (lit or stalk is off) repeats within 300 ms
require sooner: (lit or stalk is off) repeats within 250 ms
require goes_out: (not lit or stalk is off) repeats within 400 ms
require goes_out_sooner: (not lit or stalk is off) repeats within 350 ms
`)
	v := decide(t, s, "starts_on")
	assert.Equal(t, system.Holds, v.Outcome)
	assert.Len(t, v.Trace.Steps, 1)
	for name, want := range map[string]system.Outcome{
		"only_then": system.Holds, "again": system.Holds, "sooner": system.Fails,
		"goes_out": system.Holds, "goes_out_sooner": system.Fails,
	} {
		assert.Equal(t, want, decide(t, s, name).Outcome, name)
	}
	hunts, err := s.Hunts(context.Background())
	require.NoError(t, err)
	assert.Empty(t, hunts, "a beat is meant")
}

// Durations inside conditions.
func TestForAndInTheLast(t *testing.T) {
	s := build(t, `title "Durations"
setting door: shut, open
condition stays_open: door is open for 2 s
condition just_open: door is open in the last 5 s
require needs_time: never (stays_open and door is shut)
require comes: (stays_open or door is shut) within 2 s whenever door is open
require remembers: possible (just_open and door is shut)
require forgets: not just_open within 5 s whenever door is shut
require forgets_sooner: not just_open within 4 s whenever door is shut
`)
	for name, want := range map[string]system.Outcome{
		"needs_time": system.Holds, "comes": system.Holds, "remembers": system.Holds,
		"forgets": system.Holds, "forgets_sooner": system.Fails,
	} {
		assert.Equal(t, want, decide(t, s, name).Outcome, name)
	}
}

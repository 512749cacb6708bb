package system_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
)

const relays = `
setting button: out, in
ground block
supply battery: 12 V, from block to stud
part Relay {
    pin 85, 86, 30, 87, 87a
    coil winding: 86 to 85, 85 ohm, pulls in at 8 V, drops out at 3 V
    contact main: 30 rests on 87a, goes to 87, by winding
    diode clamp: 85 to 86
    shows winding, main
}
fit S1: {
    pin 1, 2
    contact hand: 1 to 2, make, made when button is in
}
`

// A relay whose winding is fed through its own break contact buzzes.
func TestBuzzer(t *testing.T) {
	s := build(t, `title "Buzzer"`+relays+`
fit K1: Relay
wire W1: battery.stud to S1.1
wire W2: S1.2 to K1.30
wire W3: K1.87a to K1.86
wire W4: K1.85 to block
`)
	hunts, err := s.Hunts(context.Background())
	require.NoError(t, err)
	require.Len(t, hunts, 1)
	h := hunts[0]
	require.Len(t, h.Memories, 1)
	assert.Equal(t, "K1.winding", s.Design().Memories[h.Memories[0]].Path)
	assert.Contains(t, story(system.Verdict{Trace: h.Trace}), "1. set button in")
	assert.Len(t, h.Changes, 2, "pulls in and lets go")
	races, err := s.Races(context.Background())
	require.NoError(t, err)
	assert.Empty(t, races)
}

// Two relays, each fed through the break contact of the other: who is faster wins.
func TestRace(t *testing.T) {
	s := build(t, `title "Race"`+relays+`
fit K1: Relay
fit K2: Relay
wire W1: battery.stud to S1.1
wire W2: S1.2 to K1.30
wire W3: S1.2 to K2.30
wire W4: K1.87a to K2.86
wire W5: K2.87a to K1.86
wire W6: K1.85 to block
wire W7: K2.85 to block
require either: possible K1.winding is energised
require other: possible K2.winding is energised
require both: possible (K1.winding is energised and K2.winding is energised)
`)
	races, err := s.Races(context.Background())
	require.NoError(t, err)
	require.Len(t, races, 1)
	assert.Contains(t, story(system.Verdict{Trace: races[0].Trace}), "1. set button in")
	assert.Equal(t, system.Holds, decide(t, s, "either").Outcome)
	assert.Equal(t, system.Holds, decide(t, s, "other").Outcome)
	assert.Equal(t, system.Fails, decide(t, s, "both").Outcome)
	hunts, err := s.Hunts(context.Background())
	require.NoError(t, err)
	assert.Empty(t, hunts)
}

// A relay that holds itself by its own contact stays in after the button is let go.
func TestHoldsItself(t *testing.T) {
	s := build(t, `title "Latch"`+relays+`
fit K1: Relay
wire W1: battery.stud to S1.1
wire W2: S1.2 to K1.86
wire W3: battery.stud to K1.30
wire W4: K1.87 to K1.86
wire W5: K1.85 to block
require stays: possible (K1.winding is energised and button is out)
require at_first: possible (K1.winding is released and button is out)
require for_ever: possible (K1.winding is released and button is in)
`)
	v := decide(t, s, "stays")
	assert.Equal(t, system.Holds, v.Outcome)
	assert.Equal(t, `at first: button is out
1. set button in
   K1.winding pulls in
2. set button out
`, story(v))
	assert.Equal(t, system.Holds, decide(t, s, "at_first").Outcome)
	assert.Equal(t, system.Fails, decide(t, s, "for_ever").Outcome)
	left, err := s.CanLeave(context.Background(), system.InState(0, 1))
	require.NoError(t, err)
	assert.Equal(t, system.Fails, left.Outcome, "nothing ever releases it")
}

// Contacts of an island in all reachable states.
func TestReachableContacts(t *testing.T) {
	s := build(t, `title "Contacts"
setting key: off, run, crank, in order
ground block
supply battery: 12 V, from block to stud
fit S1: {
    pin 30, 15, 50
    chart ways: follows key {
        row run: 30 to 15
        row crank: 30 to 15, 30 to 50
        row off: open
    }
}
fit lamp: {
    pin 1, 2
    load filament: 1 to 2, 21 W at 12 V, lit from 60 %
}
fit motor: {
    pin 1, 2
    load armature: 1 to 2, 900 W at 12 V, turns from 50 %
}
wire W1: battery.stud to S1.30
wire W2: S1.15 to lamp.1
wire W3: S1.50 to motor.1
wire W4: lamp.2 to block
wire W5: motor.2 to block
`)
	island, ok := s.Circuit().IslandOf(s.Design().Loads[0].A)
	require.True(t, ok)
	list, all, err := s.ReachableContacts(context.Background(), island, 100)
	require.NoError(t, err)
	assert.True(t, all)
	assert.Len(t, list, 3, "off, run, crank; never the starter alone")
	for _, c := range list {
		v, err := s.Possible(context.Background(), system.Literal(c.When))
		require.NoError(t, err)
		assert.Equal(t, system.Holds, v.Outcome)
	}
	some, all, err := s.ReachableContacts(context.Background(), island, 2)
	require.NoError(t, err)
	assert.False(t, all)
	assert.Len(t, some, 2)
	same, err := s.SamePositions(context.Background(), 0)
	require.NoError(t, err)
	assert.Empty(t, same)
}

// A position that nothing tells from another one.
func TestSamePositions(t *testing.T) {
	s := build(t, `title "Same"
setting key: off, radio, run
require lit: possible key is run
`)
	same, err := s.SamePositions(context.Background(), 0)
	require.NoError(t, err)
	assert.Equal(t, [][2]int{{0, 1}}, same)
}

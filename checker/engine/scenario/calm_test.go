package scenario_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/scenario"
	"pintle/lang/elaborate"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// K1 feeds itself through its own break contact and would buzz, until K2 has pulled in,
// which bridges that contact. K1 is declared first, so that it would go first for ever.
const buzzer = `title "Buzzer"
setting key: off, run
ground body
supply battery: 12 V, from body to stud
fuse F1: battery.stud to feed, 10 A
node feed, self, on
contact S1: feed to on, make, made when key is run
coil K1: self to body, 80 ohm, pulls in at 8 V, drops out at 2 V
contact C1: on to self, break, by K1
coil K2: on to body, 80 ohm, pulls in at 8 V, drops out at 2 V
contact C2: on to self, make, by %s
drive go {
    step: set key run, see K1 is energised
    step: set key off, see K1 is released
}
`

// What goes round in a circle comes to rest once something else that is due has changed;
// what nothing brings to rest never settles.
func TestCalm(t *testing.T) {
	run := func(by string) error {
		text := source.NewFile("buzzer.pintle", strings.Replace(buzzer, "%s", by, 1))
		read := elaborate.Elaborate(context.Background(), syntax.Parse(text, nil), elaboratetest.Disk{})
		require.Empty(t, read.Findings)
		d := read.Designs[0]
		out, err := scenario.Run(context.Background(), d, &d.Drives[0], scenario.Options{})
		if err == nil {
			assert.Empty(t, out.Failures)
		}
		return err
	}
	assert.NoError(t, run("K2"))
	assert.ErrorIs(t, run("K1, up to 5 A, 2 Mohm"), scenario.ErrHunts)
}

// What is written first `from any` goes before everything else, also in the mode that it
// leads to: with the key off the button does nothing.
func TestFromAnyFirst(t *testing.T) {
	text := source.NewFile("any.pintle", `title "Any"
setting key: off, run
setting button: free, pressed
ground body
modes work: starts in off {
    mode off, on
    from any to off: when key is off
    from off to on: when button is pressed
}
require off: never (work is on and key is off)
drive press {
    step: set button pressed, see work is off throughout
    step: set key run, see work is on
    step: set key off, see work is off
}
`)
	read := elaborate.Elaborate(context.Background(), syntax.Parse(text, nil), elaboratetest.Disk{})
	require.Empty(t, read.Findings)
	d := read.Designs[0]
	out, err := scenario.Run(context.Background(), d, &d.Drives[0], scenario.Options{})
	require.NoError(t, err)
	assert.Empty(t, out.Failures)
}

// A condition that began with a move stays in the idle move that follows at once.
func TestStaysInTheIdleMove(t *testing.T) {
	text := source.NewFile("stays.pintle", `title "Stays"
setting key: off, run
ground body
timer pause: runs while key is run, lasts 500 ms
modes work: starts in waiting {
    mode waiting, going
    from waiting to going: when (pause is done) stays
}
require soon: work is going within 500 ms whenever key is run
drive go {
    step: set key run, wait 2 s, see work is going once pause is done
}
`)
	read := elaborate.Elaborate(context.Background(), syntax.Parse(text, nil), elaboratetest.Disk{})
	require.Empty(t, read.Findings)
	d := read.Designs[0]
	out, err := scenario.Run(context.Background(), d, &d.Drives[0], scenario.Options{})
	require.NoError(t, err)
	assert.Empty(t, out.Failures)
}

package oracle_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOnceWrong holds designs that were drawn once, made shorter, of which a verdict was wrong.
func TestOnceWrong(t *testing.T) {
	for _, c := range []struct {
		name, text string
		wrong      []string // the claims that do not hold, ascending
	}{
		{"a fuse waits for what an armature that it feeds still waits for", `title "Waits"
ground body
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
node n1
node n2
supply second: 13.5 V, from body to feed, inside 40 mohm
contact S1: n1 to n2, make, made when current through W1 above 0.0037 A
load L1: feed to n1, 3 ohm at 12 V, glows from 15 %, lit from 60 %
wire W1: body to feed
coil A1_set: n2 to body, 60 ohm, pulls in at 7 V
coil A1_reset: feed to n1, 60 ohm, pulls in at 6 V
armature A1: set by A1_set, released by A1_reset
contact C1: feed to n1, break, by A1
require held: never (A1 is released and F0 is blown)
require opens: never F0 is blown
`, []string{"opens"}},
		{"a fuse does not wait for a relay that hunts in another circuit", `title "Two circuits"
setting left: off, on
setting right: off, on
ground body
supply battery: 12 V, from body to stud, inside 1 mohm
fuse F1: battery.stud to a, 3 A
fuse F2: battery.stud to b, 25 A
node a, b, k
contact S1: a to k, make, made when left is on
coil K1: k to body, 80 ohm, pulls in at 6 V, drops out at 5 V
contact C1: a to body, make, by K1
contact S2: b to body, make, made when right is on
load lamp: b to body, 10 W at 12 V, lit from 60 %
require dark: not lamp is lit whenever right is on
require blown: F2 is blown whenever right is on
require both: never (left is on and F2 is blown)
require hunts: possible F1 is blown
`, []string{"both", "hunts"}},
		{"a timer does not start for what an input reads before its pull-up has power", `title "Wakes"
setting key: off, run
setting button: free, pressed
ground body
supply battery: 12 V, from body to stud
node feed
fuse F0: battery.stud to feed, 10 A
contact S1: feed to box.15, make, made when key is run
fit box: {
    pin 15, 31, in, out
    powered 15 to 31: works from 7 V
    input asked: at in, reads volts, pulled up 4.7 kohm to 5 V, low below 1.5 V, high above 3.5 V
    timer pulse: starts when asked is low, lasts 600 ms
    driver d: earths out to 31, when pulse is running
}
wire W1: box.31 to body
contact S2: box.in to body, make, made when button is pressed
load lamp: feed to box.out, 5 W at 12 V, lit from 60 %
require lights: possible lamp is lit
require only: not lamp is lit within 600 ms whenever button is free
modes seen: starts in no {
    mode no, yes
    from no to yes: when button is pressed
}
require first: never (lamp is lit and seen is no)
`, nil},
	} {
		found, err := check(c.text)
		require.NoError(t, err, c.name)
		var wrong []string
		for _, f := range found {
			if f.Rule == "requirement-violated" || f.Rule == "undecided" || f.Rule == "never-possible" {
				wrong = append(wrong, f.Subject)
			}
		}
		slices.Sort(wrong)
		assert.Equal(t, c.wrong, wrong, c.name)
	}
}

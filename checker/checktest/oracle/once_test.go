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

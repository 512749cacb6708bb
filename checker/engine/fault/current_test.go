package fault

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/lang/elaborate/elaboratetest"
)

// selective is a rail behind a main fuse with a branch of its own fuse, a load on each, and a
// rocker of which the two throws exclude each other.
const selective = `title "Rail and branch"
setting rocker: left, right
ground body
supply battery: 12 V, from body to stud, inside 10 mohm
fuse F1: battery.stud to rail, 50 A
node rail, tap, far, one, other
fuse F2: rail to tap, 10 A
wire W1: tap to far, red, 1 mm2, 5.8 m
wire W2: rail to one, red, 1 mm2, 0.58 m
wire W3: battery.stud to spare, red, 1 mm2, 0.58 m
node spare
contact A: rail to other, make, made when rocker is left, up to 40 A
contact B: rail to other, make, made when rocker is right, up to 40 A
load small: far to body, 12 W at 12 V
load large: other to body, 72 W at 12 V
load lamp: one to body, 12 W at 12 V
load clock: spare to body, 12 W at 12 V
`

// The currents are worked out by hand from section 4 of lang/README.md: a fuse has 0.1 V over
// its rating (2 mohm and 10 mohm), 1 mm2 of copper 1/58 ohm a metre (W1 100 mohm, W2 10 mohm)
// and a short 1 mohm.
func TestProtection(t *testing.T) {
	s := NewSweep(elaboratetest.Designs(t, "selective.pintle", selective)[0], Options{Memo: circuit.NewMemo()})
	rows, err := s.Protection(t.Context(), nil)
	require.NoError(t, err)
	by := map[string]WireProtection{}
	for _, r := range rows {
		by[r.Wire] = r
	}

	// W1, at its near end behind 10 + 2 + 10 + 1 = 23 mohm, at its far end behind 123 mohm; the
	// loads beside it, 2 ohm at most and 12 ohm and 12 ohm, take off less than 2 %.
	w := by["W1"]
	assert.InEpsilon(t, 12/0.023, w.Most, 0.02)
	assert.InEpsilon(t, 12/0.123, w.Least, 0.02)
	assert.Less(t, w.Most, 12/0.023)
	require.Len(t, w.Fuses, 2)
	assert.InEpsilon(t, w.Most/10, w.Fuses[1].Most, 1e-3, "nothing but the short runs through F2")
	assert.Equal(t, []string{"F2"}, w.Opens)
	assert.True(t, w.Selective())

	// W2 has only the main fuse, W3 none.
	w = by["W2"]
	assert.InEpsilon(t, 12/0.013, w.Most, 0.02)
	assert.Equal(t, []string{"F1"}, w.Opens)
	w = by["W3"]
	assert.InEpsilon(t, 12/0.011, w.Most, 0.02)
	assert.Empty(t, w.Fuses)
	assert.Empty(t, w.Opens)
	assert.False(t, w.Selective())
}

// What excludes each other is not taken to be on together: with much switched on one of the two
// contacts of the rocker feeds the load, never both, which would halve the resistance of its
// feed.
func TestShortCurrentOfStatesThatCanBe(t *testing.T) {
	d := elaboratetest.Designs(t, "selective.pintle", selective)[0]
	c, err := circuit.New(d, nil)
	require.NoError(t, err)
	closed := 0
	for w, is := range c.Assume().Complete(true) {
		if is && w < len(c.Switches()) {
			closed++
		}
	}
	assert.Equal(t, 1, closed)
}

// Two fuses of nearly one rating in series are not selective: both may open first.
func TestNotSelective(t *testing.T) {
	d := elaboratetest.Designs(t, "pair.pintle", `title "Two of nearly one rating"
ground body
supply battery: 12 V, from body to stud, inside 10 mohm
fuse F1: battery.stud to rail, 15 A
fuse F2: rail to tap, 10 A
node rail, tap, far
wire W1: tap to far, red, 1 mm2, 5.8 m
load lamp: far to body, 12 W at 12 V
`)[0]
	rows, err := NewSweep(d, Options{}).Protection(t.Context(), nil)
	require.NoError(t, err)
	require.Len(t, rows, 1)
	assert.Equal(t, []string{"F1", "F2"}, rows[0].Opens)
	assert.False(t, rows[0].Selective())
}

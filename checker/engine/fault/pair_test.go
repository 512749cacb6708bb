package fault

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/system"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// ladder is a relay that two ways feed.
// same whether a fault comes or was there before.
const ladder = `title "Ladder"
setting key: off, run
setting door: shut, open
ground body
supply battery: 12.6 V, from body to stud
fuse F1: battery.stud to feed, 10 A
fuse F2: battery.stud to other, 5 A
node feed, other, sw, sw2, mid
fit K1: {
    pin 30, 87, 85, 86
    coil winding: 86 to 85, 85 ohm, pulls in at 8 V, drops out at 1.5 V
    contact main: 30 to 87, make
}
contact S1: feed to sw, make, made when key is run
contact S2: other to sw2, make, made when door is open
wire W1: feed to K1.30, 1 mm2, 1 m
wire W2: K1.87 to mid, 1 mm2, 1 m
wire W3: sw to K1.86, 1 mm2, 1 m
wire W4: sw2 to K1.86, 1 mm2, 1 m
wire W5: K1.85 to body, 1 mm2, 1 m
load motor: mid to body, 1 A at 12 V, turning from 50 %
load lamp: sw2 to body, 5 W at 12 V, lit from 50 %
require stops: not motor is turning whenever (key is off and door is shut)
require runs: motor is turning whenever (key is run and door is open)
require either: (motor is turning or lamp is lit) whenever (key is run and door is open)
`

func designOf(t *testing.T, text string) *model.Design {
	t.Helper()
	tree := syntax.Parse(source.NewFile("ladder.pintle", text), nil)
	require.Empty(t, tree.Findings)
	read := elaborate.Elaborate(context.Background(), tree, nil)
	require.Len(t, read.Designs, 1)
	return read.Designs[0]
}

// A wire that is broken from the start beside another fault is a design without that wire, with
// that fault: held against rebuilding the text.
func TestPairsAgainstRebuilding(t *testing.T) {
	d := designOf(t, ladder)
	s := NewSweep(d, Options{})
	p, err := s.protected(t.Context())
	require.NoError(t, err)
	fails := func(w *Faulted) (out []bool) {
		sys, err := w.build(t.Context(), system.Options{})
		require.NoError(t, err)
		for k := range w.sound.Requirements {
			v, _, err := sys.requirement(t.Context(), &w.sound.Requirements[k], true)
			require.NoError(t, err)
			out = append(out, v.Outcome == system.Fails)
		}
		return out
	}
	compared, failed := 0, 0
	for n, wire := range []string{"W1", "W3", "W5"} {
		var kept []string
		for line := range strings.Lines(ladder) {
			if !strings.HasPrefix(line, "wire "+wire+":") {
				kept = append(kept, line)
			}
		}
		rebuilt := NewSweep(designOf(t, strings.Join(kept, "")), Options{})
		broken := slices.IndexFunc(s.faults, func(f Fault) bool { return f.Words == wire+" broken" })
		for i := range rebuilt.faults {
			words := rebuilt.faults[i].Words
			at := slices.IndexFunc(s.faults, func(f Fault) bool { return f.Words == words })
			if i%3 != n || at < 0 {
				continue
			}
			one, err := rebuilt.inject(t.Context(), rebuilt.d, &rebuilt.faults[i], true)
			require.NoError(t, err)
			two, err := injectPair(t.Context(), d, p, &s.faults[broken], &s.faults[at], true)
			require.NoError(t, err)
			want, got := fails(one), fails(two)
			assert.Equal(t, want, got, "%s broken and %s", wire, words)
			compared += len(want)
			for k := range want {
				if want[k] {
					failed++
				}
			}
		}
	}
	assert.Greater(t, compared, 60)
	assert.Positive(t, failed)
	assert.Less(t, failed, compared)
}

// Nothing is broken and shorted at once, and nothing fails twice alike.
func TestPairsThatCanNotBeAreLeftOut(t *testing.T) {
	d := designOf(t, ladder)
	s := NewSweep(d, Options{})
	pairs, _, err := s.pairs(t.Context(), &d.Requirements[0])
	require.NoError(t, err)
	all := map[string]bool{}
	for _, p := range pairs {
		for _, x := range p.alike {
			all[bothOf(&s.faults[x[0]], &s.faults[x[1]]).Words] = true
		}
	}
	for words, is := range map[string]bool{
		"K1.main welded and K1.main stuck open": false, "motor broken and motor shorted": false,
		"W1 broken and K1.main welded": true, "W2 shorted to ground and W2 shorted to a feed": true,
	} {
		assert.Equal(t, is, all[words], words)
	}
}

// Beyond the work that is allowed the answer is that nothing is decided, with what was tried.
func TestPairsAreBounded(t *testing.T) {
	d := designOf(t, ladder+"require dead: never (motor is turning and F1 is blown and F2 is blown and sw is floating and sw2 is floating), despite any two faults\n")
	last := len(d.Requirements) - 1
	got, err := NewSweep(d, Options{MaxPairs: 3}).Despite(t.Context(), []int{last})
	require.NoError(t, err)
	assert.Equal(t, Undecided, got[0].Outcome)
	assert.Equal(t, 3, got[0].Pairs)
	assert.Contains(t, got[0].Why, "with the 3 of ")
}

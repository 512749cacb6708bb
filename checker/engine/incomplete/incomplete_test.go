package incomplete_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/fluid"
	"pintle/checker/engine/incomplete"
	"pintle/lang/elaborate/elaboratetest"
	"pintle/lang/model"
)

// two are two circuits that share no conductor: each has a supply and a ground side of its own.
const two = `title "Two"
setting knob: off, on
node left_minus, left_plus, right_minus, right_plus
supply left: 12 V, from left_minus to left_plus
supply right: 12 V, from right_minus to right_plus
load one: left_plus to left_minus, 5 W at 12 V
load other: OTHER
`

func node(t *testing.T, d *model.Design, path string) model.NodeID {
	t.Helper()
	for i := range d.Nodes {
		if d.Nodes[i].Path == path {
			return model.NodeID(i)
		}
	}
	t.Fatalf("no node %s", path)
	return model.None
}

// What could not be read spoils the answers about its own island only, unless it may end
// anywhere.
func TestOfCircuit(t *testing.T) {
	for _, c := range []struct {
		name, other, more string
		left, right, lost bool
	}{
		{"sound", "right_plus to right_minus, 5 W at 12 V", "", false, false, false},
		{"a load of which one clause is not understood", "right_plus to right_minus, 5 W at 12 V, glows from", "", false, true, false},
		{"a load that is not understood, and may stand anywhere", "5 kg at 12 V", "", true, true, true},
		{"a wire whose end is unknown", "right_plus to right_minus, 5 W at 12 V", "wire W1: nowhere to left_plus", true, true, true},
		{"a statement of no kind", "right_plus to right_minus, 5 W at 12 V", "gadget x: left_plus to right_plus", true, true, true},
		{"a statement that has nothing to do with circuits", "right_plus to right_minus, 5 W at 12 V", "band lost: 1 to 2 rpm", false, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			designs := elaboratetest.Read("two.pintle", strings.Replace(two, "OTHER", c.other, 1)+c.more+"\n").Designs
			require.Len(t, designs, 1)
			d := designs[0]
			solved, err := circuit.New(d, nil)
			require.NoError(t, err)
			u := incomplete.OfCircuit(solved)
			in := func(path string) bool {
				var at []circuit.IslandID
				for i, island := range solved.Islands() {
					for _, n := range island.Nodes {
						if n == node(t, d, path) {
							at = append(at, circuit.IslandID(i))
						}
					}
				}
				require.Len(t, at, 1)
				return u.In(at)
			}
			assert.Equal(t, c.left, in("left_plus"), "left")
			assert.Equal(t, c.right, in("right_plus"), "right")
			assert.Equal(t, c.lost, u.Lost(), "lost")
		})
	}
}

// vacuum are two lines of a fluid that nothing joins.
const vacuum = `title "Vacuum"
setting knob: off, on
fit near: {
    port a, b: vacuum
    passage p: a to b, passes when knob is on
}
fit far: {
    port a, b: vacuum
    passage p: a to b, passes when FAR
}
origin manifold: vacuum
hose H1: manifold to near.a
`

// A passage that could not be read spoils the ports that it may join, whether it is open or shut.
func TestOfFluid(t *testing.T) {
	for _, c := range []struct {
		name, far, more string
		near, there     bool
	}{
		{"sound", "knob is on", "", false, false},
		{"a passage whose end is unknown", "knob is on", "hose H2: nowhere to far.a", true, true},
		{"a statement of no kind", "knob is on", "gadget x: far.a to near.a", true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			designs := elaboratetest.Read("vacuum.pintle", strings.Replace(vacuum, "FAR", c.far, 1)+c.more+"\n").Designs
			require.Len(t, designs, 1)
			net, err := fluid.New(designs[0], nil)
			require.NoError(t, err)
			broken := incomplete.OfFluid(net)
			at := func(path string) bool {
				for i := range designs[0].Ports {
					if designs[0].Ports[i].Path == path {
						return broken[i]
					}
				}
				t.Fatalf("no port %s", path)
				return false
			}
			assert.Equal(t, c.near, at("near.b"), "near")
			assert.Equal(t, c.there, at("far.b"), "far")
		})
	}
}

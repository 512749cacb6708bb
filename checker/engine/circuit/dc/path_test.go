package dc_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/circuit/dc"
)

func TestPathTakesTheLargestCurrent(t *testing.T) {
	// Battery, wire, then a big and a small lamp to a common return.
	c := newCircuit(4)
	battery := c.source(0, 1, 12, 0.01)
	wire := c.resistor(1, 2, 0.1)
	small, big := c.resistor(2, 3, 100), c.resistor(2, 3, 5)
	ret := c.resistor(3, 0, 0.1)
	s := c.solve(t)
	for target, want := range map[int][]int{
		wire: {wire, big, ret}, small: {wire, small, ret}, ret: {wire, big, ret}, battery: {wire, big, ret},
	} {
		way, err := s.Path(target)
		require.NoError(t, err)
		require.Equal(t, dc.Route{Source: battery, Branches: want}, way, "through %d", target)
	}
}

func TestPathOfEqualLampsTakesTheFirst(t *testing.T) {
	c := newCircuit(3)
	battery := c.source(0, 1, 12, 0.01)
	wire := c.resistor(1, 2, 0.1)
	first, _ := c.resistor(2, 0, 5), c.resistor(2, 0, 5)
	way, err := c.solve(t).Path(wire)
	require.NoError(t, err)
	require.Equal(t, dc.Route{Source: battery, Branches: []int{wire, first}}, way)
}

// The way goes through a source that is charged, and through the lower of two cells in
// series; it starts and ends at the same source.
func TestPathThroughSources(t *testing.T) {
	c := newCircuit(4)
	lower := c.source(0, 1, 6, 0.01)
	upper := c.source(1, 2, 6, 0.01)
	charged := c.source(0, 3, 2, 0.5)
	wire := c.resistor(2, 3, 1)
	s := c.solve(t)
	require.Negative(t, s.Current(charged))
	way, err := s.Path(charged)
	require.NoError(t, err)
	require.Equal(t, dc.Route{Source: upper, Branches: []int{wire, charged, lower}}, way)
}

func TestPathWithoutCurrent(t *testing.T) {
	c := newCircuit(3)
	c.source(0, 1, 12, 0.01)
	open := c.resistor(1, 2, 1)
	s := c.solve(t)
	for _, b := range []int{open, -1, 99} {
		_, err := s.Path(b)
		require.ErrorIs(t, err, dc.ErrNoCurrent)
	}
}

// A lamp between two rails that each have a battery: what runs back through it is part of
// one loop, and the load that the batteries feed by themselves is not walked through twice.
func TestPathIsOneCurrent(t *testing.T) {
	c := newCircuit(5)
	// 0 body, 1 van rail, 2 caravan rail, 3 caravan earth, 4 lamp rail
	van := c.source(0, 1, 12.6, 0.01)
	caravan := c.source(3, 2, 12.6, 0.01)
	tie := c.resistor(1, 2, 0.01)
	fridge := c.resistor(2, 3, 2)
	lamp := c.resistor(4, 3, 3)
	rear := c.resistor(4, 0, 3)
	s := c.solve(t)
	require.Negative(t, s.Current(lamp))
	way, err := s.Path(lamp)
	require.NoError(t, err)
	require.Equal(t, dc.Route{Source: van, Branches: []int{tie, fridge, lamp, rear}}, way)
	way, err = s.Path(fridge)
	require.NoError(t, err)
	require.Equal(t, dc.Route{Source: caravan, Branches: []int{fridge}}, way)
}

// Every branch that carries current has a way, along the currents, from plus to minus
// of one source, through the branch, past no point twice.
func TestPathIsALoop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, closed := drawNetwork(t, 12, true)
		s := solve(t, n, closed)
		for target := range n.Branches {
			way, err := s.Path(target)
			if !s.Carries(target) {
				require.ErrorIs(t, err, dc.ErrNoCurrent)
				continue
			}
			require.NoError(t, err, "branch %d", target)
			source := n.Branches[way.Source]
			require.Equal(t, dc.Source, source.Kind)
			require.Positive(t, s.Current(way.Source))
			if target != way.Source {
				require.Contains(t, way.Branches, target)
			}
			at, past := source.B, map[dc.Node]bool{}
			for _, b := range way.Branches {
				from, to := n.Branches[b].A, n.Branches[b].B
				if s.Current(b) < 0 {
					from, to = to, from
				}
				require.NotZero(t, s.Current(b))
				require.Equal(t, from, at)
				require.False(t, past[at], "past one point twice")
				past[at], at = true, to
			}
			require.Equal(t, source.A, at)
		}
	})
}

func TestJoined(t *testing.T) {
	c := newCircuit(5)
	long := []int{c.resistor(0, 1, 1), c.resistor(1, 2, 1), c.resistor(2, 3, 1)}
	short, sw := c.contact(0, 3, 1)
	d := c.diode(4, 3, 0.7, 1)
	k, err := dc.Compile(c.Network)
	require.NoError(t, err)
	every := func(int) bool { return true }

	got, ok := k.Joined(nil, 0, 3, every)
	require.True(t, ok)
	require.Equal(t, long, got)
	got, ok = k.Joined(dc.BitsOf(sw), 0, 3, every)
	require.True(t, ok)
	require.Equal(t, []int{short}, got)
	got, ok = k.Joined(dc.BitsOf(sw), 3, 4, every)
	require.True(t, ok, "the direction of a diode does not matter")
	require.Equal(t, []int{d}, got)
	got, ok = k.Joined(nil, 2, 2, every)
	require.True(t, ok)
	require.Empty(t, got)
	_, ok = k.Joined(dc.BitsOf(sw), 0, 4, func(b int) bool { return b != d })
	require.False(t, ok)
	_, ok = k.Joined(nil, 0, 99, every)
	require.False(t, ok)
}

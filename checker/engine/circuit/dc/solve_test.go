package dc_test

import (
	"context"
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit/dc"
)

func TestCompileRefuses(t *testing.T) {
	ok := dc.Branch{A: 0, B: 1, Ohm: 1, Switch: -1}
	for what, change := range map[string]func(*dc.Network){
		"0 ohm":           func(n *dc.Network) { n.Branches[0].Ohm = 0 },
		"NaN ohm":         func(n *dc.Network) { n.Branches[0].Ohm = math.NaN() },
		"+Inf ohm":        func(n *dc.Network) { n.Branches[0].Ohm = math.Inf(1) },
		"on a resistor":   func(n *dc.Network) { n.Branches[0].Volt = 1 },
		"-1 V":            func(n *dc.Network) { n.Branches[0].Kind, n.Branches[0].Volt = dc.Source, -1 },
		"one-way":         func(n *dc.Network) { n.Branches[0].OneWay = true },
		"unknown kind":    func(n *dc.Network) { n.Branches[0].Kind = 9 },
		"nodes are 0":     func(n *dc.Network) { n.Branches[0].B = 2 },
		"switches are 0":  func(n *dc.Network) { n.Branches[0].Switch = 1 },
		"reference -1":    func(n *dc.Network) { n.References = []dc.Node{-1} },
		"-1 nodes":        func(n *dc.Network) { n.Nodes = -1 },
		"-1 switches":     func(n *dc.Network) { n.Switches = -1 },
		"want 0 to 10485": func(n *dc.Network) { n.Nodes = 1 << 30 },
	} {
		n := dc.Network{Nodes: 2, Switches: 1, Branches: []dc.Branch{ok}}
		change(&n)
		_, err := dc.Compile(n)
		require.ErrorIs(t, err, dc.ErrNetwork, what)
		require.ErrorContains(t, err, what)
	}
}

// A full mesh of 700 nodes needs 57 million updates.
func TestCompileRefusesAFullMesh(t *testing.T) {
	const nodes = 700
	n := dc.Network{Nodes: nodes}
	for a := range dc.Node(nodes) {
		for b := range a {
			n.Branches = append(n.Branches, dc.Branch{A: a, B: b, Ohm: 1, Switch: -1})
		}
	}
	_, err := dc.Compile(n)
	require.ErrorIs(t, err, dc.ErrTooMeshed)
}

func TestEmptyNetworks(t *testing.T) {
	require.Zero(t, solve(t, dc.Network{}, nil).Pieces())
	s := solve(t, dc.Network{Nodes: 2}, nil)
	require.Equal(t, 2, s.Pieces())
	require.True(t, s.Floating(0))
	_, ok := s.Between(0, 1)
	require.False(t, ok)
}

func TestPieces(t *testing.T) {
	// 5 and 3 are wanted as zeros; 4-1 is a piece of its own; 6 is connected to a diode.
	c := newCircuit(7)
	c.References = []dc.Node{5, 3, 2}
	c.source(2, 3, 12, 1)
	c.source(4, 1, 9, 1)
	c.resistor(5, 0, 1)
	c.diode(3, 6, 0.7, 0.1)
	_, bridge := c.contact(0, 1, 1)
	s := c.solve(t)
	require.Equal(t, 4, s.Pieces())
	require.Equal(t, []dc.Node{5, 3, 1, 6}, []dc.Node{s.Reference(0), s.Reference(1), s.Reference(2), s.Reference(3)})
	require.Equal(t, 0, s.Piece(0))
	require.Equal(t, 1, s.Piece(2))
	require.False(t, s.Floating(2))
	require.True(t, s.Floating(4))
	require.True(t, s.Floating(6), "no current, so the diode joins nothing")
	near(t, -12, s.Potential(2), 1e-12, "against 3, the more wanted")
	near(t, -9, s.Potential(4), 1e-12, "against the lowest of its piece")
	volts, ok := s.Between(1, 4)
	require.True(t, ok)
	near(t, 9, volts, 1e-12, "cell")

	s = c.solve(t, bridge)
	require.Equal(t, 0, s.Piece(4))
	near(t, -9, s.Potential(4), 1e-12, "against 5 now")
}

// A one-way source without load still holds its terminals apart; of two in parallel the
// lower one blocks.
func TestOneWayWithoutLoad(t *testing.T) {
	c := newCircuit(2)
	low := c.add(dc.Branch{Kind: dc.Source, A: 0, B: 1, Volt: 12, Ohm: 0.1, OneWay: true, Switch: -1})
	s := c.solve(t)
	require.True(t, s.Conducting(low))
	near(t, 12, s.Potential(1), 1e-12, "open terminals")
	high := c.add(dc.Branch{Kind: dc.Source, A: 0, B: 1, Volt: 14, Ohm: 0.1, OneWay: true, Switch: -1})
	s = c.solve(t)
	require.False(t, s.Conducting(low))
	require.True(t, s.Conducting(high))
	near(t, 14, s.Potential(1), 1e-12, "open terminals")
}

// A rectifier bridge gives the load the same polarity for both polarities of the feed,
// two drops below it: (12 - 2*0.7) / (10 + 3*0.01) A.
func TestRectifierBridge(t *testing.T) {
	for _, swap := range []bool{false, true} {
		c := newCircuit(4)
		minus, plus := dc.Node(0), dc.Node(1)
		if swap {
			minus, plus = plus, minus
		}
		c.source(minus, plus, 12, 0.01)
		for _, feed := range []dc.Node{0, 1} {
			c.diode(feed, 2, 0.7, 0.01)
			c.diode(3, feed, 0.7, 0.01)
		}
		load := c.resistor(2, 3, 10)
		near(t, 10.6/10.03, c.solve(t).Current(load), 1e-12, "load")
	}
}

// A microampere through a tenth of a milliohm beside a short circuit of 120 kA.
func TestSmallCurrentBesideShort(t *testing.T) {
	c := newCircuit(5)
	c.source(0, 1, 12, 1e-4)
	c.resistor(1, 2, 1e-4)
	sense := c.resistor(2, 3, 1e7)
	c.resistor(3, 0, 1e-4)
	d := c.diode(2, 4, 0.7, 1e-4)
	far := c.resistor(4, 0, 1e7)
	_, short := c.contact(1, 0, 1e-9)
	s := c.solve(t)
	near(t, 1.2e-6, s.Current(sense), 1e-16, "sense wire")
	near(t, 1.13e-6, s.Current(d), 1e-16, "diode")
	near(t, s.Current(d), s.Current(far), 1e-20, "in series")

	s = c.solve(t, short)
	near(t, 120e3, s.Current(0), 2, "short")
	require.InEpsilon(t, s.Potential(2)/1e7, s.Current(sense), 1e-9)
	require.False(t, s.Conducting(d))
}

func TestTable(t *testing.T) {
	c := newCircuit(2)
	c.Switches = 70
	c.source(0, 1, 12, 1)
	load := c.add(dc.Branch{A: 1, B: 0, Ohm: 5, Switch: 69})
	k, err := dc.Compile(c.Network)
	require.NoError(t, err)
	ctx := t.Context()
	get := func(closed dc.Bits, opts ...dc.Option) *dc.Solution {
		s, err := k.Solve(ctx, closed, opts...)
		require.NoError(t, err)
		return s
	}
	open, shut := get(nil), get(dc.BitsOf(69))
	require.Zero(t, open.Current(load))
	near(t, 2, shut.Current(load), 1e-12, "load")
	require.Same(t, open, get(dc.Bits{0, 0, 0}), "the same set, written longer")
	require.NotSame(t, open, get(dc.BitsOf(3)), "another set, though no branch asks for it")

	hot, err := k.Values([]float64{1, 11}, []float64{24, 0})
	require.NoError(t, err)
	near(t, 2, get(dc.BitsOf(69), dc.WithValues(hot)).Current(load), 1e-12, "24 V over 12 ohm")
	cold, err := k.Values([]float64{1, 2}, nil)
	require.NoError(t, err)
	near(t, 4, get(dc.BitsOf(69), dc.WithValues(cold)).Current(load), 1e-12, "12 V over 3 ohm")
	require.Same(t, shut, get(dc.BitsOf(69)), "other values do not disturb")
	require.NotSame(t, shut, get(dc.BitsOf(69), dc.Fresh()))

	require.Equal(t, dc.Stats{Solves: 6, Pivots: 6, Hits: 2, Known: 5}, k.Stats())
	k.Forget()
	require.Zero(t, k.Stats().Known)
	near(t, 2, shut.Current(load), 1e-12, "what was handed out stays")
	require.NotSame(t, shut, get(dc.BitsOf(69)))

	_, err = k.Solve(ctx, dc.BitsOf(70))
	require.ErrorIs(t, err, dc.ErrSwitch)
	_, err = k.Values([]float64{1}, nil)
	require.ErrorIs(t, err, dc.ErrValues)
	_, err = k.Values([]float64{1, -1}, nil)
	require.ErrorIs(t, err, dc.ErrValues)
	other, err := dc.Compile(c.Network)
	require.NoError(t, err)
	_, err = other.Solve(ctx, nil, dc.WithValues(hot))
	require.ErrorIs(t, err, dc.ErrValues)
	ended, cancel := context.WithCancel(ctx)
	cancel()
	_, err = k.Solve(ended, nil)
	require.ErrorIs(t, err, context.Canceled)
}

// All goroutines that ask for a state get one and the same solution.
func TestConcurrent(t *testing.T) {
	k := compile(t, wiring(60, 6, 5))
	const workers = 8
	got := make([][64]*dc.Solution, workers)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for i := range uint64(64) {
				state := (i*29 + uint64(w)*11) % 64
				s, err := k.Solve(t.Context(), dc.Bits{state})
				if err == nil {
					got[w][state] = s
				}
			}
		})
	}
	wg.Wait()
	for state := range 64 {
		for w := range workers {
			require.NotNil(t, got[w][state])
			require.Same(t, got[0][state], got[w][state])
		}
		checkLaws(t, k.Network(), dc.Bits{uint64(state)}, got[0][state])
	}
	require.Equal(t, 64, k.Stats().Known)
}

func TestBits(t *testing.T) {
	b := dc.BitsOf(1, 64, 130, -5)
	require.Equal(t, dc.Bits{2, 1, 4}, b)
	require.True(t, b.Has(130))
	require.False(t, b.Has(131))
	require.False(t, b.Has(-1))
	require.False(t, b.Has(1000))
	require.Equal(t, dc.Bits{2, 0, 4}, b.Without(64))
	require.True(t, b.Has(64), "the set itself does not change")
	require.Equal(t, b, b.Without(-1).Without(999).With(-1))
}

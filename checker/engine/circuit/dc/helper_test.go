package dc_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/circuit/dc"
)

// ideal is the inside resistance, in ohms, of a source that a source text draws
// without any.
const ideal = 1e-9

// circuit collects branches; its methods return the number of the new branch.
type circuit struct{ dc.Network }

func newCircuit(nodes int) *circuit {
	return &circuit{dc.Network{Nodes: nodes, References: []dc.Node{0}}}
}

func (c *circuit) add(b dc.Branch) int {
	c.Branches = append(c.Branches, b)
	return len(c.Branches) - 1
}

func (c *circuit) resistor(a, b dc.Node, ohm float64) int {
	return c.add(dc.Branch{Kind: dc.Resistor, A: a, B: b, Ohm: ohm, Switch: -1})
}

func (c *circuit) source(minus, plus dc.Node, volt, ohm float64) int {
	return c.add(dc.Branch{Kind: dc.Source, A: minus, B: plus, Volt: volt, Ohm: ohm, Switch: -1})
}

func (c *circuit) diode(anode, cathode dc.Node, drop, ohm float64) int {
	return c.add(dc.Branch{Kind: dc.Diode, A: anode, B: cathode, Volt: drop, Ohm: ohm, Switch: -1})
}

// contact is a switch with a resistance of its own when closed.
func (c *circuit) contact(a, b dc.Node, ohm float64) (branch, sw int) {
	c.Switches++
	return c.add(dc.Branch{Kind: dc.Resistor, A: a, B: b, Ohm: ohm, Switch: c.Switches - 1}), c.Switches - 1
}

func (c *circuit) solve(tb require.TestingT, closed ...int) *dc.Solution {
	k, err := dc.Compile(c.Network)
	require.NoError(tb, err)
	s, err := k.Solve(context.Background(), dc.BitsOf(closed...))
	require.NoError(tb, err)
	return s
}

func solve(tb require.TestingT, n dc.Network, closed dc.Bits, opts ...dc.Option) *dc.Solution {
	c := &circuit{n}
	k, err := dc.Compile(c.Network)
	require.NoError(tb, err)
	s, err := k.Solve(context.Background(), closed, opts...)
	require.NoError(tb, err)
	return s
}

// near checks a value against a published one to the digits given there.
func near(t *testing.T, want, got, within float64, what string) {
	t.Helper()
	require.InDelta(t, want, got, within, what)
}

// shape bounds a generated network.
type shape struct {
	nodes, branches, switches int
	diodes                    bool
	lowest, decades           int // resistances from 10^lowest/4 on, over so many decades
}

// all is the range from 25 microohm to 10 megohm.
func all(s shape) shape { s.lowest, s.decades = -4, 11; return s }

// generate draws a network. pick(n) is a number below n. All values are short decimals,
// so that ties and knees occur.
func generate(pick func(n int) int, s shape) dc.Network {
	n := dc.Network{Nodes: s.nodes, Switches: s.switches, References: []dc.Node{0}}
	ohm := func() float64 {
		return float64(1+pick(40)) / 4 * math.Pow(10, float64(s.lowest+pick(s.decades)))
	}
	for i := range s.branches {
		b := dc.Branch{
			Kind: dc.Resistor, Ohm: ohm(), Switch: -1,
			A: dc.Node(pick(s.nodes)), B: dc.Node(pick(s.nodes)),
		}
		if 0 < i && i < s.nodes && pick(8) > 0 {
			b.A, b.B = dc.Node(pick(i)), dc.Node(i) // mostly one tree
		}
		if pick(2) == 0 {
			b.A, b.B = b.B, b.A
		}
		if s.switches > 0 && pick(3) == 0 {
			b.Switch = pick(s.switches)
		}
		switch pick(6) {
		case 0:
			b.Kind, b.Volt, b.Ohm = dc.Source, float64(1+pick(48))/2, float64(1+pick(20))/100
			b.OneWay = s.diodes && pick(3) == 0
		case 1, 2:
			if s.diodes {
				b.Kind, b.Volt, b.Ohm = dc.Diode, float64(pick(8))/10, float64(1+pick(20))/100
			}
		}
		n.Branches = append(n.Branches, b)
	}
	return n
}

func fromRapid(t *rapid.T) func(int) int {
	return func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "pick") }
}

func fromRand(r *rand.Rand) func(int) int { return r.IntN }

func drawNetwork(t *rapid.T, maxNodes int, diodes bool) (dc.Network, dc.Bits) {
	nodes := rapid.IntRange(1, maxNodes).Draw(t, "nodes")
	switches := rapid.IntRange(0, 4).Draw(t, "switches")
	n := generate(fromRapid(t), all(shape{
		nodes: nodes, branches: rapid.IntRange(0, 2*nodes).Draw(t, "branches"),
		switches: switches, diodes: diodes,
	}))
	closed := dc.Bits{rapid.Uint64Range(0, 1<<switches-1).Draw(t, "closed")}
	return n, closed
}

// largestCurrent is the scale of a solution, in amperes.
func largestCurrent(n dc.Network, s *dc.Solution) float64 {
	m := 0.0
	for b := range n.Branches {
		m = max(m, math.Abs(s.Current(b)))
	}
	return m
}

func present(b dc.Branch, closed dc.Bits) bool { return b.Switch < 0 || closed.Has(b.Switch) }

// emf drives current from A to B.
func emf(b dc.Branch) float64 {
	if b.Kind == dc.Diode {
		return -b.Volt
	}
	return b.Volt
}

func isValve(b dc.Branch) bool { return b.Kind == dc.Diode || b.OneWay }

// rounded bounds the amperes by which branch k changes if every EMF changes by a
// rounding of the voltages at hand. A volt in one branch drives at most the smaller
// conductance of the two through another, since neither voltage nor current ratios
// of resistive networks exceed one.
func rounded(n dc.Network, k int) float64 {
	volts, siemens := 0.0, 0.0
	for _, b := range n.Branches {
		volts += b.Volt
		siemens += min(1/b.Ohm, 1/n.Branches[k].Ohm)
	}
	return 2e-16*volts*siemens + 1e-25
}

package extremes_test

import (
	"math"
	"math/rand/v2"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/soak"
	"pintle/checker/engine/circuit/dc"
	"pintle/checker/engine/circuit/extremes"
)

// TestRangeAgainstSolutions holds ranges of networks at random, with diodes and one-way
// sources, against whole solutions (package dc) at points of their boxes at random: no
// reading is outside of its range.
func TestRangeAgainstSolutions(t *testing.T) {
	ranged, wide, reached := 0, 0.0, 0.0
	for n := range soak.Times(400) {
		rng := rand.New(rand.NewPCG(uint64(soak.Seed()+n), 5))
		x := draw(rng)
		var solved atomic.Uint64
		p, err := extremes.New(x.net, 0, x.ends, x.r, 10e6, &solved)
		require.NoError(t, err)
		for range 2 {
			bits := rng.Uint64()
			closed := func(s int) bool { return bits>>s&1 > 0 }
			got, ok, err := p.Range(t.Context(), closed, x.at, x.ohm, x.volt, x.r)
			require.NoError(t, err)
			if !ok {
				continue
			}
			ranged++
			require.LessOrEqual(t, got.Lo, got.Hi)
			seen := extremes.Interval{Lo: math.Inf(1), Hi: math.Inf(-1)}
			for i := range 40 {
				v, sag := x.solve(t, rng, closed, i < 25)
				seen = seen.Or(extremes.Point(v))
				slack := 2e-5 + 1e-6*math.Abs(v) + 4*sag // of the padding of terminals
				require.GreaterOrEqual(t, v, got.Lo-slack, "network %d", n)
				require.LessOrEqual(t, v, got.Hi+slack, "network %d", n)
			}
			wide += got.Hi - got.Lo
			reached += seen.Hi - seen.Lo
		}
	}
	t.Logf("%d ranges, %.0f %% of their width seen", ranged, 100*reached/wide)
	require.Greater(t, ranged, 300)
	require.Greater(t, reached, 0.6*wide, "the ranges are far from exact")
}

type drawn struct {
	net       dc.Network
	ends      []dc.Node
	at        []extremes.Terminal
	ohm, volt []extremes.Interval
	r         extremes.Reading
}

func draw(rng *rand.Rand) *drawn {
	x := &drawn{net: dc.Network{Nodes: 4 + rng.IntN(4)}}
	node := func() dc.Node { return dc.Node(rng.IntN(x.net.Nodes)) }
	spread := func(v, part float64) extremes.Interval {
		if rng.IntN(3) > 0 {
			return extremes.Point(v)
		}
		return extremes.Interval{Lo: v * (1 - part), Hi: v * (1 + part)}
	}
	open := 0
	for range 5 + rng.IntN(7) {
		b := dc.Branch{Kind: dc.Resistor, A: node(), B: node(), Switch: -1}
		if b.A == b.B {
			continue
		}
		ohm := extremes.Point(math.Pow(10, rng.Float64()*4-2))
		if open < 4 && rng.IntN(5) == 0 {
			open++
			ohm.Lo, ohm.Hi = ohm.Lo*0.8, ohm.Hi*1.3
		}
		volt := extremes.Point(0)
		switch rng.IntN(6) {
		case 0, 1:
			b.Kind = dc.Diode
			volt = extremes.Point([...]float64{0, 0.7}[rng.IntN(2)])
		case 2:
			b.Kind, b.OneWay = dc.Source, rng.IntN(2) == 0
			volt = spread(6+8*rng.Float64(), 0.1)
		}
		b.Ohm, b.Volt = ohm.Lo, volt.Lo
		if rng.IntN(4) == 0 {
			b.Switch = x.net.Switches
			x.net.Switches++
		}
		x.net.Branches = append(x.net.Branches, b)
		x.ohm, x.volt = append(x.ohm, ohm), append(x.volt, volt)
	}
	for v := 1; v <= 1+rng.IntN(3); v++ {
		t := extremes.Terminal{Against: -1, Interval: spread(-2+16*rng.Float64(), 0.1)}
		if t.Lo > t.Hi {
			t.Lo, t.Hi = t.Hi, t.Lo
		}
		if v > 1 && rng.IntN(3) == 0 {
			t = extremes.Terminal{Against: rng.IntN(v - 1), Interval: extremes.Interval{Lo: -rng.Float64(), Hi: rng.Float64()}}
		}
		x.ends, x.at = append(x.ends, dc.Node(v)), append(x.at, t)
	}
	if x.r.Plus, x.r.Minus = node(), node(); x.r.Plus == x.r.Minus || rng.IntN(2) == 0 && len(x.net.Branches) > 0 {
		x.r = extremes.Reading{Terms: []extremes.Term{{Branch: rng.IntN(len(x.net.Branches)), Times: 1}}}
	}
	return x
}

// solve reads at a point of the box, a vertex or any. sag is by how many volts the sources that
// hold the terminals give way.
func (x *drawn) solve(t *testing.T, rng *rand.Rand, closed func(int) bool, vertex bool) (v, sag float64) {
	in := func(i extremes.Interval) float64 {
		part := rng.Float64()
		if vertex {
			part = math.Round(part)
		}
		return i.Lo + part*(i.Hi-i.Lo)
	}
	net := dc.Network{Nodes: x.net.Nodes, References: []dc.Node{0}}
	at := make([]int, len(x.net.Branches)) // by branch: one more than its number, 0 where it is out
	for i, b := range x.net.Branches {
		ohm, volt := in(x.ohm[i]), in(x.volt[i])
		if b.Switch >= 0 && !closed(b.Switch) {
			continue
		}
		b.Ohm, b.Volt, b.Switch = ohm, volt, -1
		net.Branches = append(net.Branches, b)
		at[i] = len(net.Branches)
	}
	held := make([]float64, len(x.ends))
	for i, end := range x.ends {
		held[i] = in(x.at[i].Interval)
		if from := x.at[i].Against; from >= 0 {
			held[i] += held[from]
		}
		b := dc.Branch{Kind: dc.Source, A: 0, B: end, Ohm: dc.MinOhm, Volt: held[i], Switch: -1}
		if held[i] < 0 {
			b.A, b.B, b.Volt = end, 0, -held[i]
		}
		net.Branches = append(net.Branches, b)
	}
	solve := func() *dc.Solution {
		c, err := dc.Compile(net)
		require.NoError(t, err)
		s, err := c.Solve(t.Context(), nil)
		require.NoError(t, err)
		return s
	}
	s := solve()
	for i := range x.ends {
		sag = max(sag, math.Abs(s.Current(len(net.Branches)-1-i))*dc.MinOhm)
	}
	if x.r.Terms != nil {
		if i := at[x.r.Terms[0].Branch]; i > 0 {
			return s.Current(i - 1), sag
		}
		return 0, sag
	}
	v, ok := s.Between(x.r.Plus, x.r.Minus)
	if !ok {
		net.Branches = append(net.Branches, dc.Branch{A: x.r.Plus, B: x.r.Minus, Ohm: 10e6, Switch: -1})
		v, _ = solve().Between(x.r.Plus, x.r.Minus)
	}
	return v, sag
}

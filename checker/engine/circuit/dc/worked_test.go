package dc_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit/dc"
)

// The circuits of this file are published exercises, with their source beside them,
// or are computed by Kirchhoff's laws in the comment. A tolerance is half a unit of
// the last digit that the source gives.

// Three branches of 50, 25 and 100 ohm on 100 V: 2, 4 and 1 A.
// Source: US Army medical equipment course MD0903, armymedical.tpub.com.
func TestParallelThree(t *testing.T) {
	c := newCircuit(2)
	e := c.source(0, 1, 100, ideal)
	r := []int{c.resistor(1, 0, 50), c.resistor(1, 0, 25), c.resistor(1, 0, 100)}
	s := c.solve(t)
	near(t, 2, s.Current(r[0]), 1e-6, "50 ohm")
	near(t, 4, s.Current(r[1]), 1e-6, "25 ohm")
	near(t, 1, s.Current(r[2]), 1e-6, "100 ohm")
	near(t, 7, s.Current(e), 1e-6, "source")
}

// 20 and 5 ohm on 10 V: 0.5 and 2 A. Source: the same.
func TestParallelTwo(t *testing.T) {
	c := newCircuit(2)
	c.source(0, 1, 10, ideal)
	a, b := c.resistor(1, 0, 20), c.resistor(1, 0, 5)
	s := c.solve(t)
	near(t, 0.5, s.Current(a), 1e-6, "20 ohm")
	near(t, 2, s.Current(b), 1e-6, "5 ohm")
}

// ((5 + 15) parallel 30) + 8 on 120 V: 20 ohm, 6 A. Source: studylib.net 8908505.
func TestSeriesParallel(t *testing.T) {
	c := newCircuit(4)
	e := c.source(0, 1, 120, ideal)
	c.resistor(1, 2, 5)
	c.resistor(2, 3, 15)
	c.resistor(1, 3, 30)
	c.resistor(3, 0, 8)
	near(t, 6, c.solve(t).Current(e), 1e-6, "source")
}

// 100 + (200, 300 and 400 in parallel) on 10 V: 52 mA; 24, 16 and 12 mA.
// Source: techworkzone.blogspot.com, March 2023.
func TestSeriesThenThreeParallel(t *testing.T) {
	c := newCircuit(3)
	e := c.source(0, 1, 10, ideal)
	c.resistor(1, 2, 100)
	r := []int{c.resistor(2, 0, 200), c.resistor(2, 0, 300), c.resistor(2, 0, 400)}
	s := c.solve(t)
	near(t, 0.052, s.Current(e), 1e-6, "source")
	near(t, 0.024, s.Current(r[0]), 1e-6, "200 ohm")
	near(t, 0.016, s.Current(r[1]), 1e-6, "300 ohm")
	near(t, 0.012, s.Current(r[2]), 1e-6, "400 ohm")
}

// 28 V behind 4 ohm and 7 V behind 1 ohm on a common 2 ohm: 8 V, so that 5 A leave the
// first and 1 A charges the second. Source: Kuphaldt, Lessons in Electric Circuits,
// vol. I, network analysis (from memory).
func TestTwoSources(t *testing.T) {
	c := newCircuit(2)
	strong, weak := c.source(0, 1, 28, 4), c.source(0, 1, 7, 1)
	load := c.resistor(1, 0, 2)
	s := c.solve(t)
	near(t, 8, s.Potential(1), 1e-12, "node")
	near(t, 5, s.Current(strong), 1e-12, "28 V source")
	near(t, -1, s.Current(weak), 1e-12, "7 V source")
	near(t, 4, s.Current(load), 1e-12, "2 ohm")

	// A one-way 7 V source stays out of it: 28 V / 6 ohm.
	c.Branches[weak].OneWay = true
	s = c.solve(t)
	require.False(t, s.Conducting(weak))
	require.Zero(t, s.Current(weak))
	near(t, 28.0/6, s.Current(load), 1e-12, "2 ohm with a one-way second source")
}

// (100 parallel 250) + (350 parallel 200) on 24 V. Source: Kuphaldt, series-parallel
// circuits: 120.78 mA, 8.6275 V and 15.373 V, 86.275, 34.510, 43.922 and 76.863 mA.
func TestSeriesParallelKuphaldt(t *testing.T) {
	c := newCircuit(3)
	e := c.source(0, 1, 24, ideal)
	r := []int{c.resistor(1, 2, 100), c.resistor(1, 2, 250), c.resistor(2, 0, 350), c.resistor(2, 0, 200)}
	s := c.solve(t)
	near(t, 0.12078, s.Current(e), 5e-6, "source")
	near(t, 15.373, s.Potential(2), 5e-4, "lower pair")
	for i, want := range []float64{0.086275, 0.034510, 0.043922, 0.076863} {
		near(t, want, s.Current(r[i]), 5e-7, "branch")
	}
}

// Bridge on 10 V: 100 over 100 ohm on the left, 100 over 110 on the right, 50 across.
// With x left and y right of the bridge:
//
//	(10-x)/100 = x/100 + (x-y)/50   ->  4x - 2y = 10
//	(10-y)/100 + (x-y)/50 = y/110   ->  -22x + 43y = 110
//
// x = 325/64 = 5.078125 V, y = 330/64 = 5.15625 V, bridge (y-x)/50 = 1.5625 mA,
// source (10-x + 10-y)/100 = 97.65625 mA.
func TestBridge(t *testing.T) {
	c := newCircuit(4)
	e := c.source(0, 1, 10, ideal)
	c.resistor(1, 2, 100)
	c.resistor(2, 0, 100)
	c.resistor(1, 3, 100)
	low := c.resistor(3, 0, 110)
	across := c.resistor(3, 2, 50)
	s := c.solve(t)
	near(t, 5.078125, s.Potential(2), 1e-8, "left")
	near(t, 5.15625, s.Potential(3), 1e-8, "right")
	near(t, 1.5625e-3, s.Current(across), 1e-10, "bridge")
	near(t, 97.65625e-3, s.Current(e), 1e-9, "source")

	c.Branches[low].Ohm = 100
	require.False(t, c.solve(t).Carries(across), "balanced bridge")
}

// Ladder on 12 V of 1 ohm in series and 2 ohm to ground, three times, the last to
// ground 1 ohm: seen from each node the rest is 2 parallel (1+1) = 1 ohm, so that each
// section halves the voltage: 6, 3, 1.5 V, and the source sees 2 ohm, 6 A.
func TestLadder(t *testing.T) {
	c := newCircuit(5)
	e := c.source(0, 1, 12, ideal)
	for v := dc.Node(2); v <= 4; v++ {
		c.resistor(v-1, v, 1)
	}
	c.resistor(2, 0, 2)
	c.resistor(3, 0, 2)
	c.resistor(4, 0, 1)
	s := c.solve(t)
	near(t, 6, s.Potential(2), 1e-7, "first")
	near(t, 3, s.Potential(3), 1e-7, "second")
	near(t, 1.5, s.Potential(4), 1e-7, "third")
	near(t, 6, s.Current(e), 1e-7, "source")
}

// R-2R ladder of n bits as a converter: rungs of 2R to a bit's source or ground, R
// between neighbours, 2R at the low end. By superposition bit k of n adds
// V * 2^k / 2^n to the open end (each node halves, seen from either side).
func TestConverterLadder(t *testing.T) {
	const bits, volt, r = 6, 10.0, 1000.0
	c := newCircuit(1 + 2*bits)
	node := func(k int) dc.Node { return dc.Node(1 + k) }
	feed := func(k int) dc.Node { return dc.Node(1 + bits + k) }
	sources := make([]int, bits)
	c.resistor(node(0), 0, 2*r)
	for k := range bits {
		c.resistor(feed(k), node(k), 2*r)
		sources[k] = c.source(0, feed(k), 0, ideal)
		if k > 0 {
			c.resistor(node(k-1), node(k), r)
		}
	}
	for code := range 1 << bits {
		for k, b := range sources {
			c.Branches[b].Volt = volt * float64(code>>k&1)
		}
		near(t, volt*float64(code)/(1<<bits), c.solve(t).Potential(node(bits-1)), 1e-9, "open end")
	}
}

// Drop along a conductor, I*R: 200 A over 0.01 ohm is 2 V (source: studylib.net
// 18668575); 10 A over 3 m of 2.5 mm2 at 7.60 mohm/m 0.228 V; 20 A over 5 m of 4 mm2 at
// 4.71 mohm/m 0.471 V (resistances of ISO 6722-1, from memory). The current is set by
// 1 MV behind a resistance so large that the conductor does not matter.
func TestConductorDrop(t *testing.T) {
	for _, x := range []struct{ amps, ohm, drop float64 }{
		{200, 0.01, 2.0}, {10, 3 * 7.60e-3, 0.228}, {20, 5 * 4.71e-3, 0.471},
	} {
		c := newCircuit(2)
		c.source(0, 1, 1e6, 1e6/x.amps-x.ohm)
		c.resistor(1, 0, x.ohm)
		near(t, x.drop, c.solve(t).Potential(1), 1e-9, "drop")
	}
}

// Charge lamp of 2 W at 12 V (72 ohm) from 12 V into a field winding of 4 ohm:
// V(D+) = 12*4/76 = 0.6316 V, 157.9 mA, lamp 1.795 W. It is out when D+ is at the
// battery's voltage. The circuit is common practice; the values are computed.
func TestChargeLamp(t *testing.T) {
	c := newCircuit(3)
	c.source(0, 1, 12, ideal)
	lamp := c.resistor(1, 2, 72)
	c.resistor(2, 0, 4)
	alternator := c.add(dc.Branch{Kind: dc.Source, A: 0, B: 2, Volt: 0, Ohm: ideal, OneWay: true, Switch: -1})
	s := c.solve(t)
	near(t, 12*4/76.0, s.Potential(2), 1e-9, "D+ at rest")
	near(t, 12/76.0, s.Current(lamp), 1e-9, "lamp at rest")
	near(t, 1.795, s.Current(lamp)*s.Current(lamp)*72, 5e-4, "lamp power")
	require.False(t, s.Conducting(alternator))

	c.Branches[alternator].Volt = 12
	s = c.solve(t)
	require.True(t, s.Conducting(alternator))
	near(t, 0, s.Current(lamp), 1e-9, "lamp while charging")
}

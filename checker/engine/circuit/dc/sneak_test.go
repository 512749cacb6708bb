package dc_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit/dc"
)

// Sneak circuits: current on a way that nobody drew. Lamps are resistors of their
// rated power at 12 V.

// Two headlamps with a fuse each; the low filaments share one switched ground, the high
// ones another. Low on, high off, left fuse blown: the left lamp glows through the
// other's high filament. Topology: the sneak-circuit page of a car maker's diagnostic
// training; values computed: filaments 2.618 ohm (55 W), contacts 1 mohm.
//
// The sneak branch is three filaments in series: 12 / (3*2.618) = 1.528 A, less the
// little that the contact takes; high common 8.002 V, left lamp's node 4.004 V.
func TestSneakHeadlamps(t *testing.T) {
	const filament, contact = 2.618, 1e-3
	c := newCircuit(6)
	const battery, left, right, low, high = 1, 2, 3, 4, 5
	c.source(0, battery, 12, ideal)
	feedL, goodL := c.contact(battery, left, ideal)
	feedR, goodR := c.contact(battery, right, ideal)
	lhi := c.resistor(left, high, filament)
	llo := c.resistor(left, low, filament)
	rhi := c.resistor(right, high, filament)
	rlo := c.resistor(right, low, filament)
	dip, dipped := c.contact(low, 0, contact)
	_, main := c.contact(high, 0, contact)

	s := c.solve(t, goodR, dipped)
	near(t, 4.581, s.Current(rlo), 5e-4, "right low beam")
	near(t, 54.9, s.Current(rlo)*s.Current(rlo)*filament, 0.05, "right low beam, W")
	near(t, 1.527, s.Current(llo), 5e-4, "sneak current")
	near(t, 6.1, s.Current(llo)*s.Current(llo)*filament, 0.05, "sneak power")
	near(t, 8.002, s.Potential(high), 5e-4, "high common")
	near(t, 4.004, s.Potential(left), 5e-4, "left lamp")
	require.Negative(t, s.Current(lhi), "the left high filament runs backwards")

	way, err := s.Path(llo)
	require.NoError(t, err)
	require.Equal(t, dc.Route{Source: 0, Branches: []int{feedR, rhi, lhi, llo, dip}}, way)

	s = c.solve(t, goodL, goodR, dipped)
	require.False(t, s.Carries(lhi), "with both fuses good there is no sneak")
	require.Positive(t, s.Current(feedL))
	require.Greater(t, c.solve(t, goodL, goodR, dipped, main).Current(lhi), 4.0)
}

// Hazard flasher and brake switch feed the same lamps; the brake switch is connected to the
// ignition bus, and so does the radio. Ignition off, brake and hazard on: the radio is
// fed backwards. Topology: an owners' club page; computed with two 21 W lamps (6.857
// ohm), a radio of 12 ohm, contacts of 10 mohm: lamps 11.955 V, bus 11.945 V, 0.995 A.
func TestSneakRadio(t *testing.T) {
	const lamp, contact = 144.0 / 21, 0.01
	const battery, bus, lamps = 1, 2, 3
	build := func(remedy bool) (c *circuit, radio, brake, hazard int) {
		c = newCircuit(5)
		c.source(0, battery, 12, ideal)
		c.contact(battery, bus, contact) // ignition
		radio = c.resistor(bus, 0, 12)
		to := dc.Node(lamps)
		if remedy {
			to = 4
			c.diode(to, lamps, 0.7, 0.01)
		}
		_, brake = c.contact(bus, to, contact)
		_, hazard = c.contact(battery, lamps, contact)
		c.resistor(lamps, 0, lamp)
		c.resistor(lamps, 0, lamp)
		return c, radio, brake, hazard
	}
	c, radio, brake, hazard := build(false)
	s := c.solve(t, brake, hazard)
	near(t, 11.955, s.Potential(lamps), 5e-4, "lamps")
	near(t, 11.945, s.Potential(bus), 5e-4, "ignition bus")
	near(t, 0.995, s.Current(radio), 5e-4, "radio")
	require.False(t, c.solve(t, brake).Carries(radio), "radio without hazard")
	require.False(t, c.solve(t, hazard).Carries(radio), "radio without brake")

	c, radio, brake, hazard = build(true)
	s = c.solve(t, brake, hazard)
	require.False(t, s.Carries(radio), "a diode is the remedy")
	require.False(t, s.Floating(bus), "the radio still ties the bus to ground")
}

// A stop lamp of 21 W and a tail lamp of 5 W whose common ground is lost; the tail line
// also feeds the other side's 5 W, well grounded. The stop lamp then finds ground
// backwards through both tail lamps. Topology and values of our own, checked with
// ngspice: lost ground 10.723 V, tail line 5.362 V, 0.186 A; with 2 W more on the tail
// line 10.537 V, 4.390 V, 0.213 A.
func TestSneakLostGround(t *testing.T) {
	const w5, w2, w21 = 28.8, 72, 144.0 / 21
	const battery, g, tail = 1, 2, 3
	c := newCircuit(4)
	c.source(0, battery, 12, ideal)
	stop := c.resistor(battery, g, w21)
	back := c.resistor(tail, g, w5)
	other := c.resistor(tail, 0, w5)
	s := c.solve(t)
	near(t, 10.723, s.Potential(g), 5e-4, "lost ground")
	near(t, 5.362, s.Potential(tail), 5e-4, "tail line")
	near(t, 0.186, s.Current(stop), 5e-4, "stop lamp")
	require.Negative(t, s.Current(back))
	way, err := s.Path(other)
	require.NoError(t, err)
	require.Equal(t, []int{stop, back, other}, way.Branches)

	c.resistor(tail, 0, w2)
	s = c.solve(t)
	near(t, 10.537, s.Potential(g), 5e-4, "lost ground")
	near(t, 4.390, s.Potential(tail), 5e-4, "tail line")
	near(t, 0.213, s.Current(stop), 5e-4, "stop lamp")
}

// A launch was cut off because two umbilical connectors parted in the wrong order: with
// the ground tie gone first, the return current of a lamp on the pad went through a
// suppression diode and the cut-off coil (Mercury-Redstone 1, 21 November 1960; the
// order of parting is published, the values here are not). 28 V, lamp 200 ohm, diode,
// coil 300 ohm; the diode drops 0.7 V and 10 mohm instead of the 0.76 V of a junction:
// (28 - 0.7) / 500.01 = 54.6 mA and 16.38 V on the coil; 0 with the tie in place.
func TestSneakUmbilical(t *testing.T) {
	const supply, pad, coil = 1, 2, 3
	c := newCircuit(4)
	c.source(0, supply, 28, ideal)
	c.resistor(supply, pad, 200)
	d := c.diode(pad, coil, 0.7, 0.01)
	winding := c.resistor(coil, 0, 300)
	_, tie := c.contact(pad, 0, 1e-3)

	s := c.solve(t)
	near(t, 27.3/500.01, s.Current(winding), 1e-9, "coil with the tie open")
	near(t, 16.38, s.Potential(coil), 5e-3, "coil with the tie open")
	way, err := s.Path(winding)
	require.NoError(t, err)
	require.Equal(t, []int{1, d, winding}, way.Branches)

	s = c.solve(t, tie)
	require.False(t, s.Carries(winding), "coil with the tie closed")
	require.False(t, s.Conducting(d))
}

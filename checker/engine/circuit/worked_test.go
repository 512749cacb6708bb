package circuit_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/circuit/circuittest"
	"pintle/lang/model"
)

func solved(t *testing.T, b *circuittest.Builder, closed ...circuit.Switch) *circuit.Solution {
	t.Helper()
	return overlaid(t, b, nil, closed...)
}

func overlaid(t *testing.T, b *circuittest.Builder, faults circuit.Overlay, closed ...circuit.Switch) *circuit.Solution {
	t.Helper()
	c, err := circuit.New(b.Design, faults)
	require.NoError(t, err)
	s, err := c.Solve(context.Background(), func(w circuit.Switch) bool {
		for _, x := range closed {
			if x == w {
				return true
			}
		}
		return false
	}, circuit.Nominal)
	require.NoError(t, err)
	return s
}

// nothing is an inside resistance that does not show in four digits, in ohm.
const nothing = 1e-6

// Parallel resistors on 100 V: 2, 4 and 1 A; on 10 V: 0.5 and 2 A. From a course for
// medical equipment repairers, seen as a web copy.
func TestParallelResistors(t *testing.T) {
	b := circuittest.New()
	b.Supply("U", "gnd", "a", 100, nothing)
	r50, r25, r100 := b.Resistor("R1", "a", "gnd", 50), b.Resistor("R2", "a", "gnd", 25), b.Resistor("R3", "a", "gnd", 100)
	s := solved(t, b)
	require.InDelta(t, 2, s.Amps(r50), 1e-5)
	require.InDelta(t, 4, s.Amps(r25), 1e-5)
	require.InDelta(t, 1, s.Amps(r100), 1e-5)

	b = circuittest.New()
	b.Supply("U", "gnd", "a", 10, nothing)
	r20, r5 := b.Resistor("R1", "a", "gnd", 20), b.Resistor("R2", "a", "gnd", 5)
	s = solved(t, b)
	require.InDelta(t, 0.5, s.Amps(r20), 1e-5)
	require.InDelta(t, 2, s.Amps(r5), 1e-5)
}

// ((5 + 15) parallel to 30) + 8 ohm on 120 V: 6 A. From a school's worksheet, seen as
// a web copy.
func TestSeriesParallel(t *testing.T) {
	b := circuittest.New()
	u := b.Supply("U", "gnd", "a", 120, nothing)
	b.Resistor("R8", "a", "b", 8)
	b.Resistor("R5", "b", "c", 5)
	b.Resistor("R15", "c", "gnd", 15)
	b.Resistor("R30", "b", "gnd", 30)
	require.InDelta(t, 6, solved(t, b).Amps(u), 1e-4)
}

// 10 V on 100 + (200 | 300 | 400) ohm: 52 mA, of which 24, 16 and 12 mA. From a web
// page with worked examples.
func TestThreeBranches(t *testing.T) {
	b := circuittest.New()
	u := b.Supply("U", "gnd", "a", 10, nothing)
	b.Resistor("R", "a", "b", 100)
	var branch []model.ElementID
	for _, ohm := range []float64{200, 300, 400} {
		branch = append(branch, b.Resistor("R", "b", "gnd", ohm))
	}
	s := solved(t, b)
	require.InDelta(t, 0.052, s.Amps(u), 1e-6)
	for i, want := range []float64{0.024, 0.016, 0.012} {
		require.InDelta(t, want, s.Amps(branch[i]), 1e-6)
	}
}

// 28 V behind 4 ohm and 7 V behind 1 ohm on 2 ohm: 8 V; the 7 V source is charged
// with 1 A. From a textbook (Kuphaldt, Lessons in Electric Circuits), from memory;
// ngspice agrees.
func TestTwoSources(t *testing.T) {
	b := circuittest.New()
	u28, u7 := b.Supply("U28", "gnd", "a", 28, 4), b.Supply("U7", "gnd", "a", 7, 1)
	r := b.Resistor("R", "a", "gnd", 2)
	s := solved(t, b)
	require.InDelta(t, 8, s.Volts(b.Node("a")), 1e-12)
	require.InDelta(t, 5, s.Amps(u28), 1e-12)
	require.InDelta(t, -1, s.Amps(u7), 1e-12)
	require.InDelta(t, 4, s.Amps(r), 1e-12)
}

// A bridge of 100, 100, 100 and 110 ohm with 50 ohm across, on 10 V: 5.0781 and
// 5.1562 V, 1.5625 mA across, 97.656 mA in all. Computed with ngspice.
func TestBridge(t *testing.T) {
	b := circuittest.New()
	u := b.Supply("U", "gnd", "a", 10, nothing)
	b.Resistor("R1", "a", "left", 100)
	b.Resistor("R2", "left", "gnd", 100)
	b.Resistor("R3", "a", "right", 100)
	b.Resistor("R4", "right", "gnd", 110)
	across := b.Resistor("R5", "right", "left", 50)
	s := solved(t, b)
	require.InDelta(t, 5.0781, s.Volts(b.Node("left")), 1e-4)
	require.InDelta(t, 5.1562, s.Volts(b.Node("right")), 1e-4)
	require.InDelta(t, 1.5625e-3, s.Amps(across), 1e-7)
	require.InDelta(t, 97.656e-3, s.Amps(u), 1e-6)
}

// A relay's coil of 85 ohm fed with 9 V through two wires of 3 m of 0.5 mm2 (0.1113
// ohm each): 8.976 V and 105.6 mA. Computed with ngspice.
func TestCoilFeed(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 9, nothing)
	b.Wire("W1", "stud", "86", 0.1113)
	coil := b.Coil("K1", "86", "85", 85)
	b.Wire("W2", "85", "gnd", 0.1113)
	s := solved(t, b)
	v, err := s.Measure(context.Background(), model.Measure{Kind: model.AbsVolts, A: b.Node("86"), B: b.Node("85")})
	require.NoError(t, err)
	require.InDelta(t, 8.976, v, 5e-4)
	require.InDelta(t, 0.1056, s.Amps(coil), 5e-5)
}

// A charge lamp of 72 ohm from 12 V into a field of 4 ohm: 0.632 V, 158 mA. Computed
// with ngspice.
func TestChargeLamp(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, nothing)
	lamp := b.Load("lamp", "stud", "D+", 72)
	b.Coil("field", "D+", "gnd", 4)
	s := solved(t, b)
	require.InDelta(t, 0.632, s.Volts(b.Node("D+")), 5e-4)
	require.InDelta(t, 0.158, s.Amps(lamp), 5e-4)
}

// headlamps: fuse L feeds lamps L-hi and L-lo, fuse R feeds R-hi and R-lo; the
// returns of the low ones meet at the dip switch (switch 0), those of the high ones at
// the main switch (switch 1). The circuit stands in a workshop's notes on sneak
// circuits; 55 W at 12 V are 2.618 ohm.
func headlamps(opts ...circuittest.Option) (b *circuittest.Builder, fuseL model.ElementID, lamps map[string]model.ElementID) {
	b = circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, nothing)
	fuseL = b.Fuse("FL", "stud", "L", nothing, 15)
	b.Fuse("FR", "stud", "R", nothing, 15)
	lamps = map[string]model.ElementID{}
	for _, l := range []struct{ name, from, to string }{
		{"L-hi", "L", "hi"}, {"L-lo", "L", "lo"}, {"R-hi", "R", "hi"}, {"R-lo", "R", "lo"},
	} {
		lamps[l.name] = b.Load(l.name, l.from, l.to, 144.0/55, opts...)
	}
	b.Element("dip", model.ElemContact, "lo", "gnd", 0.001, circuittest.When(circuittest.Free(0)))
	b.Element("main", model.ElemContact, "hi", "gnd", 0.001, circuittest.When(circuittest.Free(1)))
	return b, fuseL, lamps
}

func blown(e model.ElementID) circuit.Overlay { return circuit.Overlay{fault(e, model.FaultBlown)} }

func fault(e model.ElementID, mode model.FaultMode) model.FaultAction {
	return model.FaultAction{Thing: model.Thing{Kind: model.ThingElement, Index: int(e), Path: "thing"}, Mode: mode}
}

// With fuse L blown and the low beam on, the left lamps glow through R-hi, backwards
// through L-hi. R-lo 4.581 A; the sneak 1.527 A; 8.002 V at the high returns, 4.004 V
// at the left lamps. Computed with ngspice.
func TestSneakThroughHeadlamps(t *testing.T) {
	b, fuseL, lamps := headlamps()
	s := overlaid(t, b, blown(fuseL), 0)
	require.InDelta(t, 4.581, s.Amps(lamps["R-lo"]), 1e-3)
	require.InDelta(t, 1.527, s.Amps(lamps["R-hi"]), 1e-3)
	require.InDelta(t, -1.527, s.Amps(lamps["L-hi"]), 1e-3)
	require.InDelta(t, 1.527, s.Amps(lamps["L-lo"]), 1e-3)
	require.InDelta(t, 8.002, s.Volts(b.Node("hi")), 1e-3)
	require.InDelta(t, 4.004, s.Volts(b.Node("L")), 1e-3)

	path, ok := s.PathThrough(lamps["L-lo"])
	require.True(t, ok)
	var names []string
	for _, step := range path {
		names = append(names, s.Circuit().Element(step.Element).Path)
		require.Equal(t, s.Circuit().Element(step.Element).Path == "L-hi", step.Reverse)
	}
	require.Equal(t, []string{"battery", "FR", "R-hi", "L-hi", "L-lo", "dip"}, names)
	require.False(t, s.Live(b.Node("L")))
	require.True(t, s.Live(b.Node("R")))
	require.True(t, s.Grounded(b.Node("lo")))
	require.True(t, s.Floating(b.Node("hi")))
}

// Brake and hazard: the lamps' node feeds back through the brake switch into the dead
// ignition bus; the radio runs. 11.955 V at the lamps, 11.945 V at the bus, 0.995 A.
// Computed with ngspice; the circuit is the classic example of sneak analysis and
// stands on an owners' club page. Two lamps of 21 W at 12 V, radio 12 ohm, contacts
// of 10 milliohm.
func TestSneakIntoIgnitionBus(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, nothing)
	contact := func(name, from, to string, n int) {
		b.Element(name, model.ElemContact, from, to, 0.01, circuittest.When(circuittest.Free(n)))
	}
	contact("ignition", "stud", "bus", 0)
	contact("hazard", "stud", "lamps", 1)
	contact("brake", "bus", "lamps", 2)
	radio := b.Load("radio", "bus", "gnd", 12)
	b.Load("left", "lamps", "gnd", 144.0/21)
	b.Load("right", "lamps", "gnd", 144.0/21)
	s := solved(t, b, 1, 2)
	require.InDelta(t, 11.955, s.Volts(b.Node("lamps")), 1e-3)
	require.InDelta(t, 11.945, s.Volts(b.Node("bus")), 1e-3)
	require.InDelta(t, 0.995, s.Amps(radio), 1e-3)
	require.True(t, s.Live(b.Node("bus")))
}

// Stop and tail lamp of one housing with a lost earth: 10.723 V at the housing,
// 5.362 V on the tail line, 0.186 A; with a lamp of 2 W on the tail line too: 10.537
// and 4.390 V, 0.213 A. Computed with ngspice (21 W 6.857, 5 W 28.8, 2 W 72 ohm).
func TestSneakThroughLostEarth(t *testing.T) {
	for _, extra := range []bool{false, true} {
		b := circuittest.New()
		b.Supply("battery", "gnd", "stop", 12, nothing)
		stop := b.Load("stop", "stop", "housing", 144.0/21)
		b.Load("tail", "tail", "housing", 144.0/5)
		b.Load("other tail", "tail", "gnd", 144.0/5)
		want := []float64{10.723, 5.362, 0.186}
		if extra {
			b.Load("number plate", "tail", "gnd", 144.0/2)
			want = []float64{10.537, 4.390, 0.213}
		}
		s := solved(t, b)
		require.InDelta(t, want[0], s.Volts(b.Node("housing")), 1e-3)
		require.InDelta(t, want[1], s.Volts(b.Node("tail")), 1e-3)
		require.InDelta(t, want[2], s.Amps(stop), 1e-3)
	}
}

// The order in which two grounds part: 28 V through a lamp of 200 ohm onto a node that
// a diode and a coil of 300 ohm lead away from. Tie open: 16.34 V and 54.5 mA in the
// coil; tie closed: none. Values of our own, computed with ngspice, which takes a diode
// by its exponential law: here its drop is 0.76 V at that current.
func TestGroundThatPartsFirst(t *testing.T) {
	b := circuittest.New()
	b.Supply("pack", "gnd", "plus", 28, nothing)
	b.Load("lamp", "plus", "pad", 200)
	d := b.Diode("V", "pad", "coil")
	b.Design.Elements[d].Volts = model.Exactly(0.76)
	coil := b.Coil("Y", "coil", "gnd", 300)
	b.Wire("tie", "pad", "gnd", 0.001, circuittest.When(circuittest.Free(0)))
	open := solved(t, b)
	require.InDelta(t, 16.34, open.Volts(b.Node("coil")), 0.01)
	require.InDelta(t, 0.0545, open.Amps(coil), 1e-4)
	require.Zero(t, solved(t, b, 0).Amps(coil))
}

// A lamp cold has a tenth of its resistance: the sneak through two cold and one warm
// lamps differs, so that "does L-lo reach 60 %" may depend on warmth. Here L-lo and
// L-hi and R-hi are in series from 12 V: all alike it is a third of 12 V, 4 V, hot or
// cold; with L-lo warm and the two others cold, 10 V.
func TestHeadlampWarmth(t *testing.T) {
	b, fuseL, lamps := headlamps(circuittest.Cold(0.2618))
	c, err := circuit.New(b.Design, blown(fuseL))
	require.NoError(t, err)
	q, ok := c.Register(model.Atom{
		Kind: model.AtomMeasure, Cmp: model.AtLeast, Level: model.Exactly(7.2),
		Measure: model.Measure{Kind: model.AbsVolts, Element: model.None, A: b.Node("L"), B: b.Node("lo")},
	})
	require.True(t, ok)
	ctx := context.Background()
	dipOnly := func(w circuit.Switch) bool { return w == 0 }
	for _, cold := range []bool{false, true} {
		d, err := c.Decide(ctx, q, circuit.Nominal.WithCold(cold))
		require.NoError(t, err)
		require.Equal(t, circuit.No, d.At(dipOnly).Answer, "all alike share alike")
	}
	d, err := c.WorstCase(ctx, q, circuit.Nominal, circuit.OverWarmth)
	require.NoError(t, err)
	leaf := d.At(dipOnly)
	require.Equal(t, circuit.Depends, leaf.Answer)
	require.Equal(t, circuit.No, leaf.Nominal)
	require.Equal(t, circuit.OverWarmth, leaf.On)
	s, err := c.Solve(ctx, dipOnly, leaf.Yes)
	require.NoError(t, err)
	v, _ := s.Between(b.Node("L"), b.Node("lo"))
	require.GreaterOrEqual(t, v, 7.2)
	require.Contains(t, []model.ElementID{lamps["R-hi"], lamps["L-hi"], lamps["L-lo"]}, c.Params()[leaf.Param].Element)
}

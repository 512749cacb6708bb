package circuit_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/circuit/circuittest"
	"pintle/lang/model"
)

func TestElementFaults(t *testing.T) {
	for _, c := range []struct {
		thing string
		mode  model.FaultMode
		live  bool // the motor's feed
		amps  float64
	}{
		{"W3", model.FaultOpen, false, 0},
		{"F", model.FaultBlown, false, 0},
		{"M", model.FaultOpen, true, 0},
		{"M", model.FaultShorted, true, 12 / (0.085 + 0.001)},
		{"W4", model.FaultToGround, true, 12 / (0.055 + 1 + 0.03*0.001/0.031)},
		{"W3", model.FaultToFeed, true, 0}, // its amps are asked for below
	} {
		t.Run(c.thing+" "+string(c.mode), func(t *testing.T) {
			b, id := fan()
			s := overlaid(t, b, circuit.Overlay{fault(id[c.thing], c.mode)}, 0)
			require.Equal(t, c.live, s.Live(b.Node("M.1")))
			if c.mode != model.FaultToFeed {
				require.InDelta(t, c.amps, s.Amps(id["M"]), 0.01)
			}
		})
	}
}

func TestToFeedRunsAMotorThatIsSwitchedOff(t *testing.T) {
	b, id := fan()
	require.Zero(t, solved(t, b).Amps(id["M"]))
	s := overlaid(t, b, circuit.Overlay{fault(id["W3"], model.FaultToFeed)})
	require.Greater(t, s.Amps(id["M"]), 10.0)
	short := s.Circuit().Element(model.ElementID(s.Circuit().Elements() - 1))
	require.Equal(t, "W3 to feed", short.Path)
}

// The short bites at the end that is not on that side already.
func TestToGroundTakesTheFedEnd(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	load := b.Load("L", "earth", "stud", 6) // A on the earth side
	b.Wire("W", "earth", "gnd", 0.01)
	s := overlaid(t, b, circuit.Overlay{fault(load, model.FaultToGround)})
	require.True(t, s.Grounded(b.Node("stud")))
	require.Len(t, s.Shorts(), 1)
}

func thing(kind model.ThingKind, index int, mode model.FaultMode) model.FaultAction {
	return model.FaultAction{Thing: model.Thing{Kind: kind, Index: index, Path: "thing"}, Mode: mode}
}

func TestMended(t *testing.T) {
	b, id := fan()
	faults := circuit.Overlay{fault(id["W3"], model.FaultOpen), fault(id["W5"], model.FaultOpen), {
		Thing: model.Thing{Kind: model.ThingElement, Index: int(id["W3"])}, Mend: true,
	}}
	require.Len(t, faults.Standing(), 1)
	require.Greater(t, overlaid(t, b, faults, 0).Amps(id["M"]), 10.0)
}

// The metal in place of a shorted winding carries a current and moves nothing.
func TestShortedWindingHasNoTurns(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Resistor("R", "stud", "x", 90)
	id := b.Coil("W", "x", "gnd", 90)
	sum := model.Measure{Kind: model.AmpereTurns, Element: model.None, Windings: []model.ElementTurns{{Element: id, Turns: 1000}}}
	for mode, want := range map[model.FaultMode]float64{"": 1000 * 12 / 180.01, model.FaultShorted: 0, model.FaultOpen: 0} {
		var faults circuit.Overlay
		if mode != "" {
			faults = circuit.Overlay{fault(id, mode)}
		}
		s := overlaid(t, b, faults)
		got, err := s.Measure(context.Background(), sum)
		require.NoError(t, err)
		require.InDelta(t, want, got, 1e-6, mode)
		if mode == model.FaultShorted {
			require.InDelta(t, 12.0/90, s.Amps(id), 1e-3)
		}
		q, ok := s.Circuit().Register(model.Atom{Kind: model.AtomMeasure, Measure: sum, Cmp: model.AtLeast, Level: model.Exactly(50)})
		require.True(t, ok)
		yes, err := s.Answer(context.Background(), q)
		require.NoError(t, err)
		require.Equal(t, mode == "", yes)
		d, err := s.Circuit().Decide(context.Background(), q, circuit.Nominal)
		require.NoError(t, err)
		require.Equal(t, mode == "", d.At(s.Closed).Answer == circuit.Yes)
	}
}

func TestStuckContacts(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	in, out := b.Relay("K", "stud", "gnd")
	work := b.Contact("87", "stud", "87", in)
	rest := b.Contact("87a", "stud", "87a", out)
	b.Design.Contacts = []model.Contact{
		{Form: model.Changeover, WorkElem: work, RestElem: rest},
		{Form: model.Make, WorkElem: work, RestElem: model.None},
		{Form: model.Break, WorkElem: model.None, RestElem: rest},
	}
	c, err := circuit.New(b.Design, nil)
	require.NoError(t, err)
	require.Len(t, c.Switches(), 2)
	for _, k := range []struct {
		name               string
		contact            int
		mode               model.FaultMode
		working, resting   bool // with the relay let go: switch of 87a closed
		pulledIn, switches int
	}{
		{"changeover made", 0, model.FaultStuckMade, true, false, 0, 0},
		{"changeover broken", 0, model.FaultStuckOpen, false, true, 0, 0},
		{"make made", 1, model.FaultStuckMade, true, true, 0, 1},
		{"make broken", 1, model.FaultStuckOpen, false, true, 0, 1},
		{"break made: it stays closed", 2, model.FaultStuckMade, false, true, 0, 1},
		{"break broken", 2, model.FaultStuckOpen, false, false, 0, 1},
	} {
		t.Run(k.name, func(t *testing.T) {
			c, err := circuit.New(b.Design, circuit.Overlay{thing(model.ThingContact, k.contact, k.mode)})
			require.NoError(t, err)
			require.Len(t, c.Switches(), k.switches)
			s, err := c.Solve(context.Background(), func(w circuit.Switch) bool {
				return c.Switches()[w].Cond == out
			}, circuit.Nominal)
			require.NoError(t, err)
			require.Equal(t, k.working, s.Live(b.Node("87")))
			require.Equal(t, k.resting, s.Live(b.Node("87a")))
		})
	}
}

func TestStuckDriver(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	coil := b.Coil("Y", "stud", "3", 85)
	driver := b.Element("D", model.ElemDriver, "3", "gnd", 0.05, circuittest.When(circuittest.Free(0)))
	b.Design.Drivers = []model.Driver{{Element: driver}}
	require.Greater(t, overlaid(t, b, circuit.Overlay{thing(model.ThingDriver, 0, model.FaultStuckOn)}).Amps(coil), 0.1)
	s := overlaid(t, b, circuit.Overlay{thing(model.ThingDriver, 0, model.FaultStuckOff)}, 0)
	require.Zero(t, s.Amps(coil))
	require.Empty(t, s.Circuit().Switches())
}

func TestConnectors(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.001)
	c1, c2 := b.Connector("C1", 2), b.Connector("C2", 3)
	var lamps [5]model.ElementID
	for i, way := range []string{"C1.1", "C1.2", "C2.1", "C2.2", "C2.3"} {
		if i == 0 || i == 2 { // the first way of each is fed
			b.Wire("W", "stud", way, 0.01)
		} else {
			b.Wire("W", "stud", way, 10)
		}
		lamps[i] = b.Load("lamp "+way, way+"'", "gnd", []float64{1, 2, 4, 8, 16}[i])
	}
	whole := solved(t, b)
	require.InDelta(t, 12, whole.Amps(lamps[0]), 0.3)

	off := overlaid(t, b, circuit.Overlay{thing(model.ThingConnector, int(c1), model.FaultOff)})
	require.Zero(t, off.Amps(lamps[0]))
	require.Zero(t, off.Amps(lamps[1]))
	require.InDelta(t, 3, off.Amps(lamps[2]), 0.1)

	swapped := overlaid(t, b, circuit.Overlay{{
		Thing: model.Thing{Kind: model.ThingConnector, Index: int(c1)},
		Other: model.Thing{Kind: model.ThingConnector, Index: int(c2)}, Mode: model.FaultSwapped,
	}})
	require.True(t, swapped.Joined(b.Node("C1.1"), b.Node("C2.1'")))
	require.True(t, swapped.Joined(b.Node("C2.2"), b.Node("C1.2'")))
	require.True(t, whole.Joined(b.Node("C1.1"), b.Node("C1.1'")))
	require.Zero(t, swapped.Amps(lamps[4]), "C2.3 has no partner in C1")
	for i := range 2 {
		require.Positive(t, swapped.Amps(lamps[i]))
		require.Positive(t, swapped.Amps(lamps[2+i]))
	}
}

func TestFaultsThatCannotBe(t *testing.T) {
	b, id := fan()
	for name, a := range map[string]model.FaultAction{
		"mode":         fault(id["M"], model.FaultSilent),
		"no element":   thing(model.ThingElement, 1000, model.FaultOpen),
		"no connector": thing(model.ThingConnector, 0, model.FaultOff),
		"no contact":   thing(model.ThingContact, -1, model.FaultStuckMade),
	} {
		t.Run(name, func(t *testing.T) {
			_, err := circuit.New(b.Design, circuit.Overlay{a})
			require.ErrorIs(t, err, circuit.ErrFault)
		})
	}
	f := circuittest.Floating()
	f.Supply("pack", "minus", "plus", 300, 0.1)
	load := f.Load("L", "plus", "minus", 10)
	_, err := circuit.New(f.Design, circuit.Overlay{fault(load, model.FaultToGround)})
	require.ErrorIs(t, err, circuit.ErrFault)
	_, err = circuit.New(b.Design, circuit.Overlay{thing(model.ThingSender, 0, model.FaultSilent)})
	require.NoError(t, err, "senders are no business of the circuit")
}

func TestNumbersThatCannotBe(t *testing.T) {
	for name, spoil := range map[string]func(*model.Element){
		"negative resistance": func(e *model.Element) { e.Ohm = model.Exactly(-1) },
		"no number":           func(e *model.Element) { e.Ohm.Nominal = nan() },
		"inverted tolerance":  func(e *model.Element) { e.Ohm.Min, e.Ohm.Max = 2, 0.5 },
		"no such node":        func(e *model.Element) { e.B = 1000 },
	} {
		t.Run(name, func(t *testing.T) {
			b, id := fan()
			spoil(&b.Design.Elements[id["M"]])
			_, err := circuit.New(b.Design, nil)
			require.ErrorIs(t, err, circuit.ErrDesign)
		})
	}
}

func nan() float64 { var zero float64; return zero / zero }

// Parameters keep their numbers whatever faults there are, so that a corner found in
// one circuit means the same in another.
func TestCornersCarryOverToFaults(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01, circuittest.Between(9, 15))
	first := b.Coil("Y1", "stud", "gnd", 85, circuittest.Within(0.1))
	b.Coil("Y2", "stud", "gnd", 40, circuittest.Within(0.1))
	whole, err := circuit.New(b.Design, nil)
	require.NoError(t, err)
	faulty, err := circuit.New(b.Design, circuit.Overlay{fault(first, model.FaultShorted)})
	require.NoError(t, err)
	require.Equal(t, whole.Params(), faulty.Params())
	k := whole.WithSupply(circuit.Nominal, 0, 9)
	require.Equal(t, "battery at 9 V", faulty.Describe(k))
	s, err := faulty.Solve(context.Background(), nil, k.With(1, 76.5))
	require.NoError(t, err)
	require.InDelta(t, 9/(0.01+0.001*40/40.001), s.Amps(0), 1e-3, "a short has no tolerance")
}

// A winding that is broken open does nothing, although the whole feed stands across
// its terminals.
func TestBrokenWindingHasNoVoltsOfItsOwn(t *testing.T) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	coil := b.Coil("K", "stud", "gnd", 85)
	own := model.Measure{Kind: model.AbsVolts, A: b.Node("stud"), B: b.Node("gnd"), Element: coil}
	meter := model.Measure{Kind: model.AbsVolts, A: b.Node("stud"), B: b.Node("gnd"), Element: model.None}
	for _, c := range []struct {
		faults circuit.Overlay
		want   [2]float64
	}{
		{nil, [2]float64{12, 12}},
		{circuit.Overlay{fault(coil, model.FaultOpen)}, [2]float64{0, 12}},
	} {
		s := overlaid(t, b, c.faults)
		for i, m := range []model.Measure{own, meter} {
			v, err := s.Measure(context.Background(), m)
			require.NoError(t, err)
			require.InDelta(t, c.want[i], v, 0.01)
		}
	}
}

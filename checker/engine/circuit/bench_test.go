package circuit_test

import (
	"context"
	"fmt"
	"testing"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/circuit/circuittest"
	"pintle/lang/model"
)

// mesh is an island that nothing can be cut from: a ladder of contacts and loads, in
// which every load's volts depend on every contact. It asks one question a contact.
func mesh(contacts int) (*model.Design, []model.Atom) {
	b := circuittest.New()
	b.Supply("battery", "gnd", "n0", 12, 0.5, circuittest.Between(9, 15))
	var ask []model.Atom
	for i := range contacts {
		from, to := fmt.Sprint("n", i), fmt.Sprint("n", i+1)
		b.Resistor(fmt.Sprint("R", i), from, to, 3)
		b.Contact(fmt.Sprint("K", i), from, to, circuittest.Free(i))
		b.Load(fmt.Sprint("L", i), to, "gnd", 24, circuittest.Cold(3))
		ask = append(ask, volts(b, to, 6))
	}
	return b.Design, ask
}

func volts(b *circuittest.Builder, node string, level float64) model.Atom {
	return model.Atom{
		Kind: model.AtomMeasure, Cmp: model.AtLeast, Level: model.Exactly(level),
		Measure: model.Measure{Kind: model.AbsVolts, Element: model.None, A: b.Node(node), B: b.Node("gnd")},
	}
}

// harness is a vehicle of so many relays on one battery: a quarter of them behind the
// ignition switch, each with a fuse, a coil earthed by a driver, and a lamp or motor
// behind its contact. It asks whether each coil pulls in and holds, and whether each
// load is lit.
func harness(relays int) (*model.Design, []model.Atom) {
	b := circuittest.New()
	b.Supply("battery", "block", "stud", 12.6, 0.008, circuittest.Between(9, 15))
	b.Wire("earth strap", "block", "gnd", 0.0005)
	b.Wire("W1", "stud", "bus", 0.001)
	b.Contact("ignition", "bus", "15", circuittest.Free(-1))
	b.Contact("starter relay", "stud", "starter", circuittest.Free(-2))
	b.Load("starter", "starter", "block", 0.05)
	var ask []model.Atom
	for i := range relays {
		name := func(s string) string { return fmt.Sprint("K", i, ".", s) }
		from := "bus"
		if i%4 == 0 {
			from = "15"
		}
		b.Fuse(name("F"), from, name("fused"), 0.006, 15)
		b.Coil(name("coil"), name("fused"), name("85"), 85, circuittest.Within(0.1))
		b.Diode(name("clamp"), name("85"), name("fused"))
		b.Contact(name("driver"), name("85"), "gnd", circuittest.Free(2*i))
		b.Contact(name("main"), name("fused"), name("87"), circuittest.Free(2*i+1))
		b.Wire(name("W"), name("87"), name("lamp"), 0.02)
		b.Load(name("load"), name("lamp"), name("earth"), []float64{6.9, 2.6, 28.8, 1.2}[i%4], circuittest.Cold(0.3))
		b.Wire(name("We"), name("earth"), "gnd", 0.02)
		coil := model.Measure{Kind: model.AbsVolts, Element: model.None, A: b.Node(name("fused")), B: b.Node(name("85"))}
		lamp := model.Measure{Kind: model.AbsVolts, Element: model.None, A: b.Node(name("lamp")), B: b.Node(name("earth"))}
		ask = append(ask,
			model.Atom{Kind: model.AtomMeasure, Measure: coil, Cmp: model.AtLeast, Level: model.Exactly(6.5)},
			model.Atom{Kind: model.AtomMeasure, Measure: coil, Cmp: model.Below, Level: model.Exactly(1.5)},
			model.Atom{Kind: model.AtomMeasure, Measure: lamp, Cmp: model.AtLeast, Level: model.Exactly(5)},
		)
	}
	return b.Design, ask
}

func decideAll(b *testing.B, d *model.Design, ask []model.Atom, over circuit.Freedom) {
	b.Helper()
	ctx := context.Background()
	var undecided, depends, leaves int
	var stats circuit.Stats
	for b.Loop() {
		undecided, depends, leaves = 0, 0, 0
		c, err := circuit.New(d, nil)
		if err != nil {
			b.Fatal(err)
		}
		for _, a := range ask {
			q, ok := c.Register(a)
			if !ok {
				b.Fatal("no such question")
			}
			dec, err := c.WorstCase(ctx, q, circuit.Nominal, over)
			if err != nil {
				b.Fatal(err)
			}
			for _, l := range dec.Leaves() {
				leaves++
				switch l.Answer {
				case circuit.Undecided:
					undecided++
				case circuit.Depends:
					depends++
				}
			}
		}
		stats = c.Stats()
	}
	b.ReportMetric(float64(stats.Solves), "solves")
	b.ReportMetric(float64(stats.Bounds), "bounds")
	b.ReportMetric(float64(undecided), "undecided")
	b.ReportMetric(float64(depends), "depends")
	b.ReportMetric(float64(leaves), "leaves")
}

// BenchmarkMesh shows how an island of which nothing can be cut off grows.
func BenchmarkMesh(b *testing.B) {
	for _, n := range []int{4, 6, 8, 10, 12, 14, 16} {
		d, ask := mesh(n)
		b.Run(fmt.Sprintf("contacts=%d", n), func(b *testing.B) { decideAll(b, d, ask, 0) })
	}
}

// BenchmarkTable fills in the table of one island: all questions in all states.
func BenchmarkTable(b *testing.B) {
	for _, n := range []int{4, 6, 8, 10, 12} {
		d, ask := mesh(n)
		b.Run(fmt.Sprintf("contacts=%d", n), func(b *testing.B) {
			ctx := context.Background()
			for b.Loop() {
				c, err := circuit.New(d, nil)
				if err != nil {
					b.Fatal(err)
				}
				for _, a := range ask {
					c.Register(a)
				}
				for state := range 1 << n {
					s, err := c.Solve(ctx, func(w circuit.Switch) bool { return state>>w&1 == 1 }, circuit.Nominal)
					if err != nil {
						b.Fatal(err)
					}
					for q := range ask {
						if _, err := s.Answer(ctx, circuit.QuestionID(q)); err != nil {
							b.Fatal(err)
						}
					}
				}
			}
		})
	}
}

// BenchmarkHarness shows what rails are for: two switches a relay on one battery.
func BenchmarkHarness(b *testing.B) {
	for _, n := range []int{5, 10, 20, 40} {
		d, ask := harness(n)
		b.Run(fmt.Sprintf("relays=%d/nominal", n), func(b *testing.B) { decideAll(b, d, ask, 0) })
		b.Run(fmt.Sprintf("relays=%d/all", n), func(b *testing.B) { decideAll(b, d, ask, circuit.OverAll) })
	}
}

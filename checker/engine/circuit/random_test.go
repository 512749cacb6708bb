package circuit_test

import (
	"fmt"

	"pgregory.net/rapid"

	"pintle/checker/engine/circuit/circuittest"
	"pintle/lang/model"
)

// vehicle draws a design of the kind that vehicles have: a battery, perhaps an
// alternator and a second earth, fused feeds and switched ones, relays whose contacts
// feed loads, loads earthed by drivers, diodes, pulled-up inputs, and a few joins
// that nobody would make on purpose. Every switch is free unless two exclude one
// another.
func vehicle(t *rapid.T, switches int) *circuittest.Builder {
	b := circuittest.New()
	number := func(name string, lo, hi int) int { return rapid.IntRange(lo, hi).Draw(t, name) }
	ohm := func(name string) float64 {
		return rapid.SampledFrom([]float64{0.002, 0.01, 0.5, 3, 6, 40, 85, 1000}).Draw(t, name)
	}
	used := 0
	key := b.Setting("key", "off", "run", "crank")
	cond := func() *model.Cond {
		used++
		switch number("condition", 0, 5) {
		case 0:
			return key(number("position", 0, 2))
		case 1:
			return key(1, 2)
		case 2:
			return model.Not(circuittest.Free(number("again", 0, used)))
		}
		return circuittest.Free(used)
	}
	b.Supply("battery", "gnd", "stud", 12, rapid.SampledFrom([]float64{0.005, 0.05, 0.5}).Draw(t, "inside"), circuittest.Between(9, 15))
	nodes := []string{"gnd", "stud"}
	if number("alternator", 0, 3) == 0 {
		b.Supply("alternator", "gnd", "stud", 14, 0.05, circuittest.OneWay(), circuittest.When(circuittest.Free(-1)))
	}
	if number("earth strap", 0, 1) == 0 {
		b.Wire("strap", "block", "gnd", 0.02)
		nodes = append(nodes, "block")
	}
	low := func() string {
		if len(nodes) > 2 && nodes[2] == "block" && number("earth", 0, 1) == 0 {
			return "block"
		}
		return "gnd"
	}
	feeds := []string{"stud"}
	for i := range number("feeds", 1, 4) {
		from := rapid.SampledFrom(feeds).Draw(t, "from")
		to := fmt.Sprint("feed", i)
		if used < switches && number("switched", 0, 2) == 0 {
			b.Contact(fmt.Sprint("S", i), from, to, cond())
		} else {
			b.Fuse(fmt.Sprint("F", i), from, to, 0.01, 10)
		}
		feeds, nodes = append(feeds, to), append(nodes, to)
	}
	for i := 0; used < switches; i++ {
		feed, x := rapid.SampledFrom(feeds).Draw(t, "feed"), fmt.Sprint("x", i)
		switch number("consumer", 0, 5) {
		case 0: // earthed by a driver
			b.Coil(fmt.Sprint("Y", i), feed, x, 85, circuittest.Within(0.1))
			b.Contact(fmt.Sprint("D", i), x, low(), cond())
			if number("clamped", 0, 1) == 0 {
				b.Diode(fmt.Sprint("V", i), x, feed)
			}
		case 1, 2: // fed by a contact
			b.Contact(fmt.Sprint("K", i), feed, x, cond())
			b.Load(fmt.Sprint("L", i), x, low(), ohm("load"), circuittest.Cold(0.4))
		case 3: // an input, pulled up
			b.Design.Elements[b.Element(fmt.Sprint("P", i), model.ElemPull, "gnd", x, 1e4)].Volts = model.Exactly(5)
			b.Contact(fmt.Sprint("B", i), x, low(), cond())
		case 4: // a contact between any two nodes
			b.Contact(fmt.Sprint("J", i), rapid.SampledFrom(nodes).Draw(t, "J a"), rapid.SampledFrom(nodes).Draw(t, "J b"), cond())
			continue
		default: // a diode into a node of its own, and a load behind it
			b.Diode(fmt.Sprint("V", i), rapid.SampledFrom(nodes).Draw(t, "V a"), x)
			b.Contact(fmt.Sprint("K", i), feed, x, cond())
			b.Resistor(fmt.Sprint("R", i), x, low(), ohm("resistor"))
		}
		nodes = append(nodes, x)
	}
	for i := range number("cross loads", 0, 3) {
		b.Load(fmt.Sprint("C", i), rapid.SampledFrom(nodes).Draw(t, "C a"), rapid.SampledFrom(nodes).Draw(t, "C b"), ohm("cross"))
	}
	return b
}

// asked draws a few questions about a design.
func asked(t *rapid.T, d *model.Design, n int) []model.Atom {
	var out []model.Atom
	node := func() int { return rapid.IntRange(0, len(d.Nodes)-1).Draw(t, "node") }
	element := func() model.ElementID {
		return model.ElementID(rapid.IntRange(0, len(d.Elements)-1).Draw(t, "element"))
	}
	cmp := func() model.Cmp {
		return rapid.SampledFrom([]model.Cmp{model.Below, model.AtMost, model.Above, model.AtLeast}).Draw(t, "cmp")
	}
	level := func() model.Param {
		return model.Exactly(rapid.SampledFrom([]float64{0, 0.05, 1.5, 4.8, 8, 11, 11.9}).Draw(t, "level"))
	}
	for range n {
		a := model.Atom{Index: node()}
		switch rapid.IntRange(0, 7).Draw(t, "question") {
		case 0:
			a.Kind = model.AtomLive
		case 1:
			a.Kind = model.AtomGrounded
		case 2:
			a.Kind = model.AtomFloating
		case 3:
			a.Kind, a.Other = model.AtomJoined, node()
		case 4:
			e := d.Elements[element()]
			a = model.Atom{Kind: model.AtomMeasure, Measure: model.Measure{Kind: model.AbsVolts, Element: model.None, A: e.A, B: e.B}, Cmp: cmp(), Level: level()}
		case 5:
			a = model.Atom{Kind: model.AtomMeasure, Measure: model.Measure{Kind: model.Volts, A: model.NodeID(node()), B: model.NodeID(node())}, Cmp: cmp(), Level: level()}
		case 6:
			a = model.Atom{Kind: model.AtomMeasure, Measure: model.Measure{Kind: model.Amps, Element: element()}, Cmp: cmp(), Level: level()}
		default:
			a = model.Atom{Kind: model.AtomMeasure, Measure: model.Measure{Kind: model.AmpereTurns, Windings: []model.ElementTurns{{Element: element(), Turns: 100}, {Element: element(), Turns: -100}}}, Cmp: cmp(), Level: level()}
		}
		out = append(out, a)
	}
	return out
}

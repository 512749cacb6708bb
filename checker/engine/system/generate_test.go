package system_test

import (
	"fmt"

	"pgregory.net/rapid"

	"pintle/checker/engine/circuit/circuittest"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// generator draws flat designs that use everything that the system translates. They mean
// nothing; what matters is that every kind of thing may depend on every other.
type generator struct {
	t *rapid.T
	b *circuittest.Builder
	d *model.Design
	// depth of named conditions, so that they form no ring
	conditions int
	edges      bool // conditions may speak of edges
	flat       bool // conditions may not speak of circuits or fluids
	inputs     bool // conditions may speak of inputs only
	plain      bool // no time
	beatless   bool // conditions may not speak of beats
}

func (g *generator) pick(name string, lo, hi int) int { return rapid.IntRange(lo, hi).Draw(g.t, name) }

func (g *generator) coin(name string) bool { return rapid.Bool().Draw(g.t, name) }

func info(name, kind string) model.Info {
	return model.Info{Path: name, Name: name, Kind: kind, Fit: model.None}
}

var levels = []int64{0, 2, 5, 7, 10}

func at(n int64) unit.Value { return unit.New(unit.Int(n), unit.Voltage.Base()) }

// design draws a design. plain leaves out whatever takes time.
func design(t *rapid.T, plain bool) *model.Design {
	b := circuittest.New()
	g := &generator{t: t, b: b, d: b.Design, plain: plain}
	d := g.d
	for i := range g.pick("settings", 1, 2) {
		s := model.Setting{Info: info(fmt.Sprintf("s%d", i), "setting"), Positions: []string{"a", "b", "c"}[:g.pick("positions", 2, 3)], InOrder: g.coin("in order")}
		s.Start = g.pick("start", 0, len(s.Positions)-1)
		if g.coin("springs") {
			s.Springs = []model.Spring{{From: len(s.Positions) - 1, To: 0}}
		}
		d.Settings = append(d.Settings, s)
	}
	for i := range g.pick("quantities", 0, 1) {
		d.Quantities = append(d.Quantities, model.Quantity{Info: info(fmt.Sprintf("q%d", i), "quantity"), Lo: at(0), Hi: at(10), Start: at(levels[g.pick("start", 0, 4)])})
	}
	memories := g.pick("memories", 1, 3)
	for i := range memories {
		kind := []model.MemoryKind{model.MemThreshold, model.MemCoil, model.MemLevel}[i%3]
		d.Memories = append(d.Memories, model.Memory{Info: info(fmt.Sprintf("m%d", i), "threshold"), MemKind: kind, States: []string{"clear", "set"}, Start: g.pick("start", 0, 1)})
	}
	for i := range g.pick("machines", 0, 2) {
		m := model.Machine{Info: info(fmt.Sprintf("w%d", i), "modes"), Controller: model.None}
		for k := range g.pick("modes", 2, 3) {
			m.Modes = append(m.Modes, model.Mode{Info: info(fmt.Sprintf("w%d.%d", i, k), "mode")})
		}
		m.Start = g.pick("start", 0, len(m.Modes)-1)
		d.Machines = append(d.Machines, m)
	}
	if !plain {
		for i := range g.pick("timers", 0, 2) {
			t := model.Timer{Info: info(fmt.Sprintf("t%d", i), "timer"), Controller: model.None, Starts: g.coin("starts")}
			t.InLast = !t.Starts && g.coin("in last")
			t.Cases = []model.TimerCase{{Min: 1, Max: 1}}
			d.Timers = append(d.Timers, t)
		}
		for i := range g.pick("beats", 0, 1) {
			d.Beats = append(d.Beats, model.Beat{Info: info(fmt.Sprintf("b%d", i), "beat"), Controller: model.None, On: 1, Off: float64(g.pick("off", 1, 2))})
		}
	}
	g.circuits()
	g.fluids()
	for i := range g.pick("conditions", 0, 2) {
		d.Conditions = append(d.Conditions, model.Named{Info: info(fmt.Sprintf("c%d", i), "condition"), Controller: model.None, Cond: g.cond(2)})
		g.conditions++
	}
	for range g.pick("edges", 0, 2) {
		d.Edges = append(d.Edges, model.Edge{Of: g.cond(1)})
	}
	g.rules()
	g.assumptions()
	return d
}

func (g *generator) circuits() {
	g.flat = true
	defer func() { g.flat = false }()
	b := g.b
	b.Supply("battery", "gnd", "stud", 12, 0.01)
	b.Contact("k1", "stud", "x", g.cond(1))
	b.Load("lamp", "x", "y", 6)
	if g.coin("second contact") {
		b.Contact("k2", "y", "gnd", g.cond(1))
	} else {
		b.Wire("w", "y", "gnd", 0.01)
	}
	if g.coin("bypass") {
		b.Contact("k3", "x", "z", g.cond(1))
		b.Resistor("r", "z", "gnd", 30)
	}
	if g.coin("sometimes") {
		id := b.Contact("k4", "stud", "y", circuittest.Free(len(b.Design.Elements)))
		b.Design.Elements[id].Sometimes = true
	}
	if len(g.d.Quantities) > 0 {
		pin, told := b.Node("box.in"), b.Node("sender.out")
		b.Contact("plug", "sender.out", "box.in", g.cond(1))
		g.d.Senders = append(g.d.Senders, model.Sender{Info: info("sender", "sender"), Pin: told, Quantity: 0})
		g.d.Readings = append(g.d.Readings, model.Reading{Info: info("reading", "input"), Controller: model.None, Pin: pin, Sender: true,
			CountsAs: at(levels[g.pick("counts as", 0, 4)]), HasCountsAs: true, Quantity: 0, Senders: []model.SenderID{0}, Level: model.None, Pull: model.None})
	}
}

func (g *generator) fluids() {
	g.flat = true
	defer func() { g.flat = false }()
	n := g.pick("ports", 0, 4)
	for i := range n {
		g.d.Ports = append(g.d.Ports, model.Port{Info: info(fmt.Sprintf("p%d", i), "port"), Origin: model.None, OpenToAir: i == 1})
	}
	if n == 0 {
		return
	}
	o := model.Origin{Info: info("pump", "origin"), Port: 0}
	if g.coin("present") {
		o.Present = g.cond(1)
	}
	g.d.Origins = append(g.d.Origins, o)
	for i := range g.pick("passages", 0, 4) {
		p := model.Passage{Info: info(fmt.Sprintf("h%d", i), "passage"), A: model.PortID(g.pick("a", 0, n-1)), B: model.PortID(g.pick("b", 0, n-1)), OneWay: g.coin("one way")}
		if g.coin("valve") {
			p.Open = g.cond(1)
		}
		g.d.Passages = append(g.d.Passages, p)
	}
}

func (g *generator) rules() {
	d := g.d
	for i := range d.Memories {
		m := &d.Memories[i]
		m.Rules = []model.Rule{{From: []int{0}, To: 1, When: g.cond(2)}, {From: []int{1}, To: 0, When: g.cond(2)}}
		if g.coin("clears anyway") {
			m.Rules = append([]model.Rule{{To: 0, When: g.cond(1)}}, m.Rules...)
		}
	}
	for i := range d.Machines {
		m := &d.Machines[i]
		if g.coin("reset") {
			m.Reset = g.cond(1)
		}
		g.edges = true
		for range g.pick("transitions", 1, 4) {
			t := model.Transition{To: g.pick("to", 0, len(m.Modes)-1), When: g.cond(2)}
			if t.Any = g.coin("from any"); !t.Any {
				t.From = []int{g.pick("from", 0, len(m.Modes)-1)}
			}
			m.Transitions = append(m.Transitions, t)
		}
		g.edges = false
	}
	for i := range d.Timers {
		d.Timers[i].Run = g.cond(1)
		if g.coin("stops") {
			d.Timers[i].Stop = g.cond(1)
		}
	}
	for i := range d.Beats {
		if g.coin("while") {
			g.flat, g.beatless = true, true // a beat is no memory: it may not ask for itself
			d.Beats[i].While = g.cond(1)
			g.flat, g.beatless = false, false
		}
	}
}

func (g *generator) assumptions() {
	add := func(a model.Assumption) {
		a.Info = info(fmt.Sprintf("a%d", len(g.d.Assumptions)), "assume")
		g.d.Assumptions = append(g.d.Assumptions, a)
	}
	if len(g.d.Quantities) > 0 && g.coin("falls") {
		add(model.Assumption{Form: model.AssumeFalls, Setting: model.None, Cond: g.cond(1)})
	}
	if g.coin("moves") {
		add(model.Assumption{Form: model.AssumeMoves, Quantity: model.None, Setting: 0, Position: 1, Cond: g.cond(1)})
	}
	if g.coin("never") {
		g.inputs = true
		add(model.Assumption{Form: model.AssumeNever, Quantity: model.None, Setting: model.None, Cond: model.And(g.cond(1), g.cond(1))})
		g.inputs = false
	}
}

// cond draws a condition of at most so many operators above one another.
func (g *generator) cond(depth int) *model.Cond {
	if depth > 0 {
		switch g.pick("op", 0, 4) {
		case 0:
			return model.And(g.cond(depth-1), g.cond(depth-1))
		case 1:
			return model.Or(g.cond(depth-1), g.cond(depth-1))
		case 2:
			return model.Not(g.cond(depth - 1))
		}
	}
	return circuittest.Atom(g.atom())
}

func (g *generator) subset(n int) []int {
	var in []int
	for i := range n {
		if g.coin("in") {
			in = append(in, i)
		}
	}
	if in == nil {
		in = []int{g.pick("just", 0, n-1)}
	}
	return in
}

func (g *generator) atom() model.Atom {
	d := g.d
	var kinds []model.AtomKind
	can := func(yes bool, k model.AtomKind) {
		if yes {
			kinds = append(kinds, k)
		}
	}
	can(true, model.AtomSetting)
	can(len(d.Quantities) > 0, model.AtomQuantity)
	if !g.inputs {
		can(true, model.AtomMemory)
		can(len(d.Machines) > 0, model.AtomMachine)
		can(len(d.Timers) > 0, model.AtomTimer)
		can(len(d.Beats) > 0 && !g.beatless, model.AtomBeat)
		if !g.flat {
			can(len(d.Readings) > 0, model.AtomReading)
			can(true, model.AtomLive)
			can(true, model.AtomMeasure)
			can(len(d.Ports) > 0, model.AtomFed)
			can(len(d.Ports) > 0, model.AtomVented)
			can(g.conditions > 0, model.AtomCondition)
		}
		can(g.edges && len(d.Edges) > 0, model.AtomEdge)
	}
	a := model.Atom{Kind: kinds[g.pick("atom", 0, len(kinds)-1)]}
	switch a.Kind {
	case model.AtomSetting:
		a.Index = g.pick("setting", 0, len(d.Settings)-1)
		a.In = g.subset(len(d.Settings[a.Index].Positions))
	case model.AtomQuantity, model.AtomReading:
		a.Cmp, a.Value = model.Cmp(g.pick("cmp", 0, 3)), at(levels[g.pick("level", 0, 4)])
	case model.AtomMemory:
		a.Index, a.In = g.pick("memory", 0, len(d.Memories)-1), []int{g.pick("state", 0, 1)}
	case model.AtomMachine:
		a.Index = g.pick("machine", 0, len(d.Machines)-1)
		a.In = g.subset(len(d.Machines[a.Index].Modes))
	case model.AtomTimer:
		a.Index, a.In = g.pick("timer", 0, len(d.Timers)-1), g.subset(3)
	case model.AtomBeat:
		a.In = []int{g.pick("on", 0, 1)}
	case model.AtomLive:
		a.Index = g.pick("node", 0, len(d.Nodes)-1)
	case model.AtomMeasure:
		a.Measure = model.Measure{Kind: model.AbsVolts, A: g.b.Node("x"), B: g.b.Node("y")}
		a.Cmp, a.Level = model.AtLeast, model.Exactly([]float64{1, 6, 11.5}[g.pick("volts", 0, 2)])
	case model.AtomFed, model.AtomVented:
		a.Index = g.pick("port", 0, len(d.Ports)-1)
	case model.AtomCondition:
		a.Index = g.pick("condition", 0, g.conditions-1)
	case model.AtomEdge:
		a.Index, a.Edge = g.pick("edge", 0, len(d.Edges)-1), model.EdgeKind(g.pick("edge kind", 0, 2))
	}
	return a
}

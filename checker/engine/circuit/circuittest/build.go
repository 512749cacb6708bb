// Package circuittest builds small flat designs by hand, for tests of what works on
// circuits. It stands between no text and a model: nothing is checked.
package circuittest

import (
	"strings"

	"pintle/lang/model"
	"pintle/lang/unit"
)

// Builder collects a design. Nodes come into being when they are first named; "gnd"
// is ground.
type Builder struct {
	Design *model.Design
	nodes  map[string]model.NodeID
}

// New starts a design that has a ground.
func New() *Builder {
	b := Floating()
	b.Design.Ground = b.Node("gnd")
	return b
}

// Floating starts a design without a ground.
func Floating() *Builder {
	return &Builder{Design: &model.Design{Ground: model.None}, nodes: map[string]model.NodeID{}}
}

// Node returns the node of a name.
func (b *Builder) Node(name string) model.NodeID {
	n, ok := b.nodes[name]
	if !ok {
		n = model.NodeID(len(b.Design.Nodes))
		b.nodes[name] = n
		b.Design.Nodes = append(b.Design.Nodes, model.Node{Info: info(name, "node"), Connector: model.None})
	}
	return n
}

func info(name, kind string) model.Info {
	return model.Info{Path: name, Name: name[strings.LastIndex(name, ".")+1:], Kind: kind, Fit: model.None}
}

// Option changes an element as it is made.
type Option func(*model.Element)

// When makes it conduct only under a condition.
func When(c *model.Cond) Option { return func(e *model.Element) { e.Closed = c } }

// Within gives its resistance a tolerance of a share: 0.1 for 10 %.
func Within(share float64) Option {
	return func(e *model.Element) {
		e.Ohm.Min, e.Ohm.Max = e.Ohm.Nominal*(1-share), e.Ohm.Nominal*(1+share)
	}
}

// Cold gives it a resistance when cold, in ohm.
func Cold(ohm float64) Option {
	return func(e *model.Element) { e.ColdOhm = model.Exactly(ohm) }
}

// Between lets a supply be anywhere from lo to hi volts.
func Between(lo, hi float64) Option {
	return func(e *model.Element) { e.Volts.Min, e.Volts.Max = lo, hi }
}

// OneWay lets a supply give only.
func OneWay() Option { return func(e *model.Element) { e.OneWay = true } }

// Element adds an element of a type between two named nodes.
func (b *Builder) Element(name string, t model.ElementType, from, to string, ohm float64, opts ...Option) model.ElementID {
	e := model.Element{
		Info: info(name, t.String()), Type: t, A: b.Node(from), B: b.Node(to),
		Ohm: model.Exactly(ohm), Of: model.None,
	}
	switch t {
	case model.ElemWire, model.ElemContact, model.ElemChart, model.ElemFuse, model.ElemDriver, model.ElemConnector:
		e.Metal = true
	}
	for _, o := range opts {
		o(&e)
	}
	b.Design.Elements = append(b.Design.Elements, e)
	return model.ElementID(len(b.Design.Elements) - 1)
}

// Wire adds a wire.
func (b *Builder) Wire(name, from, to string, ohm float64, opts ...Option) model.ElementID {
	return b.Element(name, model.ElemWire, from, to, ohm, opts...)
}

// Contact adds a contact of 5 milliohm that is closed under a condition.
func (b *Builder) Contact(name, from, to string, closed *model.Cond, opts ...Option) model.ElementID {
	return b.Element(name, model.ElemContact, from, to, 0.005, append([]Option{When(closed)}, opts...)...)
}

// Load adds a load.
func (b *Builder) Load(name, from, to string, ohm float64, opts ...Option) model.ElementID {
	id := b.Element(name, model.ElemLoad, from, to, ohm, opts...)
	e := &b.Design.Elements[id]
	e.Of = len(b.Design.Loads)
	b.Design.Loads = append(b.Design.Loads, model.Load{Info: e.Info, Element: id, A: e.A, B: e.B, Rated: 12, Cold: e.ColdOhm.Nominal > 0})
	return id
}

// Coil adds a winding.
func (b *Builder) Coil(name, from, to string, ohm float64, opts ...Option) model.ElementID {
	return b.Element(name, model.ElemCoil, from, to, ohm, opts...)
}

// Resistor adds a resistor.
func (b *Builder) Resistor(name, from, to string, ohm float64, opts ...Option) model.ElementID {
	return b.Element(name, model.ElemResistor, from, to, ohm, opts...)
}

// Fuse adds a fuse with its rating in A.
func (b *Builder) Fuse(name, from, to string, ohm, amps float64, opts ...Option) model.ElementID {
	id := b.Element(name, model.ElemFuse, from, to, ohm, opts...)
	b.Design.Elements[id].Of = len(b.Design.Fuses)
	b.Design.Fuses = append(b.Design.Fuses, model.Fuse{Info: b.Design.Elements[id].Info, Element: id, Rating: amps})
	return id
}

// Diode adds a diode of 0.7 V and 10 milliohm from anode to cathode.
func (b *Builder) Diode(name, anode, cathode string, opts ...Option) model.ElementID {
	id := b.Element(name, model.ElemDiode, anode, cathode, 0.01)
	b.Design.Elements[id].Volts = model.Exactly(0.7)
	for _, o := range opts {
		o(&b.Design.Elements[id])
	}
	return id
}

// Supply adds a supply of so many volts behind an inside resistance.
func (b *Builder) Supply(name, minus, plus string, volts, inside float64, opts ...Option) model.ElementID {
	id := b.Element(name, model.ElemSupply, minus, plus, inside)
	e := &b.Design.Elements[id]
	e.Volts, e.Of = model.Exactly(volts), len(b.Design.Supplies)
	for _, o := range opts {
		o(e)
	}
	b.Design.Supplies = append(b.Design.Supplies, model.Supply{
		Info: e.Info, Element: id, Minus: e.A, Plus: e.B, While: e.Closed, HasRange: e.Volts.Varies(),
		Nominal: volt(e.Volts.Nominal), Lo: volt(e.Volts.Min), Hi: volt(e.Volts.Max),
	})
	return id
}

func volt(x float64) unit.Value {
	n, err := unit.ParseNum(formatted(x))
	if err != nil {
		panic(err)
	}
	return unit.FromBase(n, unit.Voltage.Base())
}

// Connector adds a connector whose ways join name.1 to name.1', name.2 to name.2' …
func (b *Builder) Connector(name string, ways int) model.ConnectorID {
	k := model.Connector{Info: info(name, "connector"), Ways: ways}
	for _, w := range numbered(name, ways) {
		k.WayElem = append(k.WayElem, b.Element(w, model.ElemConnector, w, w+"'", 0.005))
	}
	b.Design.Connectors = append(b.Design.Connectors, k)
	return model.ConnectorID(len(b.Design.Connectors) - 1)
}

// Relay adds a coil of 85 ohm with its memory, and returns the conditions under
// which its armature is pulled in and let go. It pulls in at 8 V and drops out below
// 1.5 V.
func (b *Builder) Relay(name, plus, minus string) (in, out *model.Cond) {
	id := b.Coil(name, plus, minus, 85)
	e := b.Design.Elements[id]
	memory := model.MemoryID(len(b.Design.Memories))
	volts := model.Measure{Kind: model.AbsVolts, A: e.A, B: e.B, Element: model.None}
	b.Design.Memories = append(b.Design.Memories, model.Memory{
		Info: e.Info, MemKind: model.MemCoil, States: []string{"released", "energised"}, Of: len(b.Design.Coils),
		Rules: []model.Rule{
			{From: []int{0}, To: 1, When: Measure(volts, model.AtLeast, 8)},
			{From: []int{1}, To: 0, When: Measure(volts, model.Below, 1.5)},
		},
	})
	b.Design.Coils = append(b.Design.Coils, model.Coil{Info: e.Info, Element: id, A: e.A, B: e.B, Turns: 1, Memory: memory, Armature: model.None})
	b.Design.Elements[id].Of = len(b.Design.Coils) - 1
	return Memory(memory, 1), Memory(memory, 0)
}

// Setting adds a setting and returns what makes the condition that it stands in one
// of some positions.
func (b *Builder) Setting(name string, positions ...string) func(in ...int) *model.Cond {
	id := len(b.Design.Settings)
	b.Design.Settings = append(b.Design.Settings, model.Setting{Info: info(name, "setting"), Positions: positions})
	return func(in ...int) *model.Cond {
		return Atom(model.Atom{Kind: model.AtomSetting, Index: id, In: in})
	}
}

// Free is a condition that nothing decides.
func Free(n int) *model.Cond { return Atom(model.Atom{Kind: model.AtomFree, Index: n}) }

// Memory is the condition that a memory is in one of some states.
func Memory(m model.MemoryID, in ...int) *model.Cond {
	return Atom(model.Atom{Kind: model.AtomMemory, Index: int(m), In: in})
}

// Measure is the condition that a measure compares with a level.
func Measure(m model.Measure, c model.Cmp, level float64) *model.Cond {
	return Atom(model.Atom{Kind: model.AtomMeasure, Measure: m, Cmp: c, Level: model.Exactly(level)})
}

// Atom is a condition of one atom.
func Atom(a model.Atom) *model.Cond { return &model.Cond{Op: model.CondAtom, Atom: a} }

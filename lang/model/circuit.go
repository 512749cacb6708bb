package model

import (
	"pintle/lang/diag"
	"pintle/lang/unit"
)

// Node is an electrical point.
type Node struct {
	Info
	IsPin bool
	// Way is set for the two halves of a connector way.
	Connector ConnectorID
	Way       int // from 1
	Half      int // 0: the half that wires arrive at, 1: the other
}

// ElementType says what a two-terminal piece is.
type ElementType uint8

// The element types. Current is positive from A to B.
const (
	ElemWire      ElementType = iota
	ElemContact               // a throw of a contact
	ElemChart                 // a join of a chart
	ElemCoil                  // a winding
	ElemLoad                  //
	ElemResistor              //
	ElemDiode                 // A anode, B cathode
	ElemFuse                  //
	ElemSupply                // A minus, B plus
	ElemDriver                // output of a controller
	ElemPull                  // pull-up or pull-down of an input (a source with Volts when pulled up)
	ElemDraw                  // what a controller draws
	ElemConnector             // one way of a connector, A the arriving half
)

// Element is a two-terminal piece of a circuit.
type Element struct {
	Info
	Type ElementType
	A, B NodeID
	// Ohm is the resistance (on-resistance of a diode, inside resistance of a supply).
	Ohm Param
	// ColdOhm is the resistance of a cold filament; zero Param when there is none.
	ColdOhm Param
	// Volts is the EMF of a supply, pull-up, or the drop of a diode.
	Volts  Param
	OneWay bool
	// Closed is when it conducts; nil means always.
	Closed *Cond
	// Sometimes marks a contact of which nobody knows when it is made.
	Sometimes bool
	// Limit is the most current it may carry, in A; zero: not stated.
	Limit      Param
	LimitPlace diag.Place
	// Metal means that it joins without resistance worth speaking of: wires, closed
	// contacts, fuses, drivers, connector ways. `live` and `grounded` go through metal.
	Metal bool
	// Of indexes the table of the thing that the element belongs to (Wires, Contacts,
	// Charts, Coils, Loads, Resistors, Diodes, Fuses, Supplies, Drivers, Readings,
	// Controllers, Connectors), by Type.
	Of int
}

// Supply is a two-ended source.
type Supply struct {
	Info
	Element     ElementID
	Minus, Plus NodeID
	Nominal     unit.Value
	Lo, Hi      unit.Value // equal to Nominal when no range is stated
	HasRange    bool
	While       *Cond // nil: always
}

// Load is a consumer with named levels.
type Load struct {
	Info
	Element ElementID
	A, B    NodeID
	Rated   float64 // volts
	Watts   float64 // at rated volts, nominal
	Cold    bool
	Levels  []Level
	// Bounds is set where the load is known only between two values.
	Bounds bool
}

// Level is a named level of a load: at or above Percent of the rated volts.
type Level struct {
	Name    string
	Percent float64
	Place   diag.Place
}

// Coil is a winding; Memory is its own armature, None when it only serves an Armature.
type Coil struct {
	Info
	Element  ElementID
	A, B     NodeID
	PullIn   unit.Value
	DropOut  unit.Value
	HasPull  bool
	HasDrop  bool
	Turns    float64
	Memory   MemoryID
	Armature ArmatureID // that it serves, or None
}

// Armature is moved by several coils together, or latches.
type Armature struct {
	Info
	Moved    []Winding
	Set      CoilID // latching: None otherwise
	Release  CoilID
	PullIn   float64 // ampere-turns
	DropOut  float64
	Memory   MemoryID
	Latching bool
}

// Winding is the part that a coil plays in an armature.
type Winding struct {
	Coil  CoilID
	Turns float64 // signed: negative when wound against
}

// ContactForm is what a contact does when moved.
type ContactForm uint8

// Contact forms.
const (
	Make ContactForm = iota
	Break
	Changeover
)

// Contact is a switch moved by iron, by a hand, or by something outside.
type Contact struct {
	Info
	Form       ContactForm
	Common     NodeID
	Rest       NodeID // None for Make
	Work       NodeID // None for Break
	RestElem   ElementID
	WorkElem   ElementID
	By         MemoryID // the coil's or armature's memory; None when moved by When
	When       *Cond
	Sometimes  bool
	MakesFirst bool
	Limit      float64 // A, 0: not stated
	// Made is the condition under which it is closed; of a changeover, under which it is
	// on its working throw.
	Made *Cond
}

// Chart is a switch of several positions.
type Chart struct {
	Info
	Setting SettingID
	Rows    []ChartRow
	Limit   float64
}

// ChartRow joins pins in some positions.
type ChartRow struct {
	Positions []int
	Elements  []ElementID
	Place     diag.Place
}

// Wire is a conductor.
type Wire struct {
	Info
	Element ElementID
	A, B    NodeID
	Colour  string  // as written, base first; "" when not stated
	Area    float64 // mm2
	AreaSet bool
	Length  float64 // m
	LenSet  bool
	Celsius float64
	Rated   float64 // A, 0: by table
}

// Connector joins two halves.
type Connector struct {
	Info
	Ways    int
	Colour  string
	Key     string
	Plugs   []NodeID // pins that the other half is on, or empty
	Reach   []ConnectorID
	WayElem []ElementID
}

// Plain is a thing with just its element.
type Plain struct {
	Info
	Element ElementID
}

// Fuse protects what follows.
type Fuse struct {
	Info
	Element ElementID
	Rating  float64 // A
}

// Package model is the flat description that everything after the language works on:
// one Design for each combination of options (and one for each bench of a part),
// without parts, repetition or options left in it.
//
// A Design is immutable once elaborated and may be read by many goroutines. All
// tables are slices indexed by typed integers; order is the order of declaration, so
// that everything derived from a Design is the same from run to run.
//
// # What is left to decide
//
// A Design says nothing about what happens: which way a current runs, what is
// reached. It carries what the checker needs to work that out:
//
//   - inputs: Quantities and Settings, moved from outside;
//   - Elements: the two-terminal pieces of the circuits, each with the condition
//     under which it conducts;
//   - Passages: the same for fluids;
//   - Memories: everything of hardware that keeps a state and changes by rules (coils,
//     armatures, thresholds, read levels, powered controllers, bands that keep);
//   - Machines, Timers, Beats, Edges;
//   - Results, Bands, Conditions: derived;
//   - claims: Requirements, Drives, Symptoms, Assumptions, Faults.
//
// # No loops but through memory
//
// The Closed condition of an Element, the Open condition of a Passage and the While
// of a Supply never speak of the circuit's solution directly: the elaborator puts a
// Memory of kind Follow between. So everything electrical is a function of inputs
// and memory, and every feedback of a circuit on itself is a step of settling.
package model

import (
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/unit"
)

// Typed indices into the tables of a Design. None (-1) means absent.
type (
	NodeID       int
	ElementID    int
	PortID       int
	PassageID    int
	QuantityID   int
	SettingID    int
	MemoryID     int
	MachineID    int
	TimerID      int
	BeatID       int
	EdgeID       int
	ConditionID  int
	ResultID     int
	BandsID      int
	FitID        int
	ConnectorID  int
	SupplyID     int
	ControllerID int
	ReadingID    int
	SenderID     int
	ThresholdID  int
	ContactID    int
	CoilID       int
	ArmatureID   int
	DriverID     int
	LoadID       int
	OriginID     int
)

// None is the absent index of any table.
const None = -1

// Info is what every named thing carries.
type Info struct {
	// Path is the full instance path as people write it: "K1.winding", "plug.3.tip".
	Path string
	// Name is the last part of Path.
	Name string
	// Kind is the kind word it was declared with.
	Kind string
	// Place is the declaring statement's head (kind word to name).
	Place diag.Place
	// Name's own place, for renaming and short findings.
	NamePlace diag.Place
	// Fit is the fit or bench that it belongs to, None at the top level.
	Fit FitID
	// Doc is the text of the `##` lines above it.
	Doc string
	// Broken means that its statement could not be read in full: nothing is to be
	// concluded from what it seems to say.
	Broken bool
	// Used counts the places that name it from outside its own statement.
	Used int
}

// Choice is one option put in one of its positions.
type Choice struct {
	Option, Position string
}

// Design is one flat design.
type Design struct {
	// Name tells designs of one file apart: "" for the plain one, "steering left",
	// "bench Relay.pulls_in".
	Name    string
	Title   string
	File    *source.File // the root file
	Choices []Choice
	Bench   bool

	Ground NodeID // None when there is none
	Nodes  []Node

	Fits        []Fit
	Elements    []Element
	Supplies    []Supply
	Loads       []Load
	Coils       []Coil
	Armatures   []Armature
	Contacts    []Contact
	Charts      []Chart
	Wires       []Wire
	Connectors  []Connector
	Controllers []Controller
	Readings    []Reading // controller inputs
	Drivers     []Driver
	Senders     []Sender
	Thresholds  []Threshold
	Resistors   []Plain
	Diodes      []Plain
	Fuses       []Fuse

	Ports    []Port
	Origins  []Origin
	Passages []Passage // hoses too

	Quantities []Quantity
	Settings   []Setting
	Options    []Option

	Memories   []Memory
	Machines   []Machine
	Timers     []Timer
	Beats      []Beat
	Edges      []Edge
	Conditions []Named
	Results    []Result
	Bands      []Bands

	Assumptions  []Assumption
	Requirements []Requirement
	Drives       []Drive
	Symptoms     []Symptom
	Notices      []Notice
	Faults       []Fault
	Acceptances  []Acceptance

	// Incomplete lists what is left out of the tables because its statement could not be
	// understood, and the statements of which a number can't be. A rule that concludes
	// from something being absent (no feed, a node that nothing joins) has to be
	// silent about what such a thing might supply.
	Incomplete []Info

	// Assumed lists every default that was taken where the design says nothing.
	Assumed []AssumedValue
}

// AssumedValue is a default that was taken.
type AssumedValue struct {
	What  string // "cross-section of W3"
	Value string // "1 mm2"
	Place diag.Place
	Path  string
}

// Param is a number that a solution depends on, in SI units or the base unit named
// where it is used, with the ends of its tolerance. Min == Max == Nominal when it is
// exact.
type Param struct {
	Nominal, Min, Max float64
	Assumed           bool
	Place             diag.Place
}

// Exactly makes a Param without tolerance.
func Exactly(v float64) Param { return Param{Nominal: v, Min: v, Max: v} }

// Varies tells whether the parameter has a tolerance.
func (p Param) Varies() bool { return p.Min != p.Max }

// Node is an electrical point.
type Node struct {
	Info
	IsPin bool
	// Way is set for the two halves of a connector way.
	Connector ConnectorID
	Way       int // from 1
	Half      int // 0: the half that wires arrive at, 1: the other
}

// Fit is a part put in place, a one-off body, or the surrounding made by a bench.
type Fit struct {
	Info
	Parent     FitID
	Part       string // name of the part, "" for a one-off
	PartPlace  diag.Place
	Elsewhere  bool
	Controller ControllerID
	Group      string // path of the repeated fit that it is one of, or ""
	Index      int    // from 1 in its group
	Args       []Arg
}

// Arg is an argument as it came to stand, for signature help and the sheet.
type Arg struct {
	Name, Value string
	Default     bool
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

// Controller is a fit that acts only on what it reads and only while powered. One that
// is Broken may have any node for a pin that could not be understood.
type Controller struct {
	Info
	Plus, Minus NodeID
	WorksFrom   unit.Value
	Draws       float64
	Powered     MemoryID
	Draw        ElementID // None when it draws nothing
}

// Reading is a controller's input.
type Reading struct {
	Info
	Controller  ControllerID
	Pin         NodeID
	Sender      bool       // reads a sender; otherwise volts
	CountsAs    unit.Value // sender: while disconnected
	HasCountsAs bool
	CountsHigh  int // volts: +1 high, 0 low, -1 not said
	Pull        ElementID
	LowBelow    unit.Value
	HighAbove   unit.Value
	Level       MemoryID   // volts: 0 low, 1 high
	Quantity    QuantityID // sender: the one quantity that wired senders tell; None if none or several kinds
	Senders     []SenderID // that can ever be joined to it in the whole design
}

// Driver is a controller's output.
type Driver struct {
	Info
	Controller ControllerID
	Element    ElementID
	Pin, From  NodeID // the switched pin, and the ground or feed pin behind it
	Feeds      bool   // feeds; otherwise earths
	When       *Cond
	On         *Cond // When and powered
	Limit      float64
	Clamped    bool
}

// Sender puts a quantity on a pin.
type Sender struct {
	Info
	Pin         NodeID
	Quantity    QuantityID
	Accuracy    unit.Value
	HasAccuracy bool
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

// Port is an end of a fluid path.
type Port struct {
	Info
	Medium    string
	OpenToAir bool
	Origin    OriginID // the port that an origin itself is, or None
}

// Origin is a source of a fluid.
type Origin struct {
	Info
	Port    PortID
	Medium  string
	Present *Cond // nil: always
}

// Passage joins two ports: inside a part, or a hose.
type Passage struct {
	Info
	A, B    PortID
	Open    *Cond // nil: always
	OneWay  bool  // from A to B only
	Hose    bool
	Clamped bool
}

// Quantity moves continuously.
type Quantity struct {
	Info
	Lo, Hi   unit.Value
	Start    unit.Value
	Rate     float64 // base units per second, 0: no limit
	StartSet bool
}

// Setting is put in a position from outside.
type Setting struct {
	Info
	Positions []string
	PosPlaces []diag.Place
	InOrder   bool
	Springs   []Spring
	Start     int
}

// Spring says where a position returns to when it is let go.
type Spring struct{ From, To int }

// Option is a variant.
type Option struct {
	Info
	Positions []string
	Chosen    int
}

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

// Base is what every named thing carries, whatever else is in it.
func (i *Info) Base() *Info { return i }

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

// Varies reports whether the parameter has a tolerance.
func (p Param) Varies() bool { return p.Min != p.Max }

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

// Elsewhere reports whether a thing lies in a body that describes something outside of the
// description, within bounds only.
func (d *Design) Elsewhere(i *Info) bool {
	for f := i.Fit; f != None; f = d.Fits[f].Parent {
		if d.Fits[f].Elsewhere {
			return true
		}
	}
	return false
}

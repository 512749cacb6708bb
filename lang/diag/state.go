package diag

// What evidence says is said of a state of a design. The types of this file hold that state,
// and what is said of it, as plain data, so that it can be worked out again and compared.
// Indices are those of the tables of the design that the finding names; -1 is none.

// State is a state of a design: the moves that lead to it, what is not at its nominal value
// in it, and how its switches stand.
type State struct {
	// Moves lead to the state from rest, as a drive makes them. They are empty for the state
	// at rest, and nil where it is not said how the state is come to.
	Moves []Move
	// Order lists the changes of hardware on the way that are reported, in the order in which they
	// follow: where several are due at once a drive of the moves may take another one.
	Order []Event
	// Passing is set where the state lasts no time: the moves lead on beyond it at once.
	Passing bool
	// Near lists what of the moves a drive can't do exactly as the trace does. Where it is
	// not empty, the moves as they stand here need not lead to the state.
	Near []string
	// Corner lists what is not at its nominal value; Cold is set where filaments are cold.
	Corner []Open
	Cold   bool
	// Senders lists the senders that do not tell the truth.
	Senders []Inexact
	// Faults are there all the time.
	Faults []Fault
	// Blown lists the fuses, by their index, that have opened on the way.
	Blown []int
	// Switches tells of elements with a switch of their own how they stand, ascending; those
	// that are not told of have nothing to do with what is said of the state. It is nil where
	// only the moves are known.
	Switches []Event
}

// MoveKind says what a move does.
type MoveKind string

// The kinds of moves.
const (
	MoveSetting  MoveKind = "set"   // the setting Index to position To
	MoveQuantity MoveKind = "level" // the quantity Index to Level, at once
	MoveRamp     MoveKind = "ramp"  // the quantity Index to Level, in Seconds
	MoveWait     MoveKind = "wait"  // Seconds pass
	MoveFault    MoveKind = "fail"  // Fault comes
)

// Move is one move of a drive.
type Move struct {
	Kind    MoveKind
	Index   int
	To      int
	Level   string  // exact, in the base unit, as big.Rat writes it
	Seconds float64 // s
	Fault   Fault
	Step    int // moves with one number are made in one step of the drive
}

// Open is something that a design leaves open within bounds, at a value.
type Open struct {
	Param int     // of those of the circuit
	Value float64 // ohm or V
}

// Inexact is a sender with by how much it is off.
type Inexact struct {
	Sender int
	By     string // in the base unit of its quantity, as big.Rat writes it
}

// Fault is a fault of a thing, in the numbers of package model.
type Fault struct {
	Kind, Index         int
	Mode                string
	OtherKind, OtherIdx int
}

// NumberKind says what a number is of.
type NumberKind string

// The kinds of numbers.
const (
	OfVolts NumberKind = "volts"        // V, of the node A over the node B, without its sign
	OfAmps  NumberKind = "amps"         // A, through Element, without its sign
	OfTurns NumberKind = "ampere-turns" // At, of Windings, without its sign
)

// Number is one solved number of a text.
type Number struct {
	Kind     NumberKind
	A, B     int // nodes
	Element  int
	Windings []Winding
	Value    float64 // in V, A or At
	Text     string  // as it is written: "12.6 V"
	State    *State
}

// Winding is a winding with its turns; negative where it works against the others.
type Winding struct {
	Element int
	Turns   float64
}

// String is the number as it is written, so that a format takes it.
func (n Number) String() string { return n.Text }

// ThingKind says which table an event speaks of.
type ThingKind string

// The tables.
const (
	OfSetting ThingKind = "setting"
	OfMemory  ThingKind = "memory"
	OfMachine ThingKind = "machine"
	OfTimer   ThingKind = "timer"
	OfDriver  ThingKind = "driver"    // To: 1 on, 0 off
	OfPassage ThingKind = "passage"   // To: 1 open, 0 shut
	OfResult  ThingKind = "result"    // To: a row
	OfElement ThingKind = "element"   // To: 1 conducts, 0 is open
	OfCond    ThingKind = "condition" // To: 1 true, 0 false
	OfFuse    ThingKind = "fuse"      // To: 1 blown
)

// Event says that a thing comes to a state, or is in it.
type Event struct {
	Kind  ThingKind
	Index int
	To    int
}

package model

import (
	"pintle/lang/diag"
	"pintle/lang/unit"
)

// CondOp is the shape of a condition.
type CondOp uint8

// Operators. After elaboration nothing else occurs: durations have become Timers,
// `begins`/`ends`/`stays` Edges, named things atoms.
const (
	CondTrue CondOp = iota
	CondFalse
	CondUnknown // stands for text that could not be understood: neither true nor false is to be concluded
	CondAnd
	CondOr
	CondNot
	CondAtom
)

// Cond is a condition. Conditions are immutable and may be shared.
type Cond struct {
	Op    CondOp
	Kids  []*Cond
	Atom  Atom
	Place diag.Place
	// Said is how the design says it, where that is not how the condition reads by
	// itself: `K1.main is broken` has become a question about the winding.
	Said *Said
}

// Said is a condition and its opposite in the words of a design, with full paths. Both are
// single terms.
type Said struct {
	Yes, No string
	// Of is the contact or driver that the condition says stands made or on (Made), or broken
	// or off; of ThingNone it says nothing such. The condition is what moves the thing: with a
	// fault by which the thing is stuck it is as that has it.
	Of   Thing
	Made bool
}

// Standing is the contact or driver of which the condition says how it stands, and what it
// says: made or on. It is false for any other condition.
func (c *Cond) Standing() (of Thing, made, ok bool) {
	if c == nil || c.Said == nil || c.Said.Of.Kind == ThingNone {
		return Thing{}, false, false
	}
	return c.Said.Of, c.Said.Made, true
}

// Walk calls f for the condition and all its parts, each before its own parts.
func (c *Cond) Walk(f func(*Cond)) {
	if c == nil {
		return
	}
	f(c)
	for _, k := range c.Kids {
		k.Walk(f)
	}
}

// Cmp compares.
type Cmp uint8

// Comparisons, spelled below, at most, above, at least, at.
const (
	Below Cmp = iota
	AtMost
	Above
	AtLeast
)

// Holds reports whether a comparison is true of two values, given how far the first one lies above
// the second: only the sign counts.
func (c Cmp) Holds(above float64) bool {
	switch c {
	case Below:
		return above < 0
	case AtMost:
		return above <= 0
	case Above:
		return above > 0
	}
	return above >= 0
}

// Negate returns the comparison that is true exactly when c is false.
func (c Cmp) Negate() Cmp {
	return [...]Cmp{Below: AtLeast, AtMost: Above, Above: AtMost, AtLeast: Below}[c]
}

func (c Cmp) String() string {
	return [...]string{Below: "below", AtMost: "at most", Above: "above", AtLeast: "at least"}[c]
}

// AtomKind says what an atom asks.
type AtomKind uint8

// The atoms and the fields of Atom they use.
const (
	AtomSetting   AtomKind = iota // Index: SettingID; In: positions
	AtomQuantity                  // Index: QuantityID; Cmp, Value
	AtomReading                   // Index: ReadingID (reads a sender); Cmp, Value
	AtomMemory                    // Index: MemoryID; In: states
	AtomMachine                   // Index: MachineID; In: modes
	AtomTimer                     // Index: TimerID; In: TimerIdle, TimerRunning, TimerDone
	AtomBeat                      // Index: BeatID; In: 0 off, 1 on
	AtomEdge                      // Index: EdgeID; Edge
	AtomCondition                 // Index: ConditionID
	AtomResult                    // Index: ResultID; In: rows
	AtomBands                     // Index: BandsID; In: bands
	AtomLive                      // Index: NodeID
	AtomGrounded                  // Index: NodeID
	AtomFloating                  // Index: NodeID
	AtomMeasure                   // Measure, Cmp, Level
	AtomFed                       // Index: PortID
	AtomVented                    // Index: PortID
	AtomNeither                   // Index: PortID
	AtomJoined                    // Index, Other: NodeIDs, joined by metal
	AtomFree                      // Index: ElementID: a contact made `sometimes`
	AtomBlown                     // Index: of Design.Fuses: it has blown and not been mended
)

// States of a timer.
const (
	TimerIdle = iota
	TimerRunning
	TimerDone
)

// EdgeKind is begins, ends or stays.
type EdgeKind uint8

// The edges.
const (
	Begins EdgeKind = iota
	Ends
	Stays
)

// Atom is one question about the state.
type Atom struct {
	Kind    AtomKind
	Index   int
	Other   int
	In      []int // states or positions, ascending
	Cmp     Cmp
	Value   unit.Value // AtomQuantity, AtomReading
	Measure Measure
	Level   Param // AtomMeasure: what it is compared with (base units)
	Edge    EdgeKind
}

// MeasureKind is what is measured in a solved circuit.
type MeasureKind uint8

// The measures.
const (
	Volts       MeasureKind = iota // V(A) - V(B), signed
	AbsVolts                       // |V(A) - V(B)|
	Amps                           // |current| through Element
	AmpereTurns                    // |sum of turns × current| over Windings
)

// Measure is a number read off a solved circuit.
type Measure struct {
	Kind MeasureKind
	A, B NodeID
	// Element carries the Amps. For AbsVolts it is the winding or load whose own volts
	// are meant, which are zero when it is broken open; None between bare nodes.
	Element  ElementID
	Windings []ElementTurns
	// Percent of the rated volts of Load, for levels; for words only.
	Load      LoadID
	LevelName string
}

// ElementTurns is a winding's share.
type ElementTurns struct {
	Element ElementID
	Turns   float64
}

// True, False and Unknown are conditions without a place.
var (
	True    = &Cond{Op: CondTrue}
	False   = &Cond{Op: CondFalse}
	Unknown = &Cond{Op: CondUnknown}
)

// Not negates. What is said in other words is denied in other words.
func Not(c *Cond) *Cond {
	n := not(c)
	if c.Said == nil {
		return n
	}
	d := *n
	d.Said = &Said{Yes: c.Said.No, No: c.Said.Yes, Of: c.Said.Of, Made: !c.Said.Made}
	return &d
}

func not(c *Cond) *Cond {
	switch c.Op {
	case CondTrue:
		return False
	case CondFalse:
		return True
	case CondUnknown:
		return c
	case CondNot:
		return c.Kids[0]
	}
	return &Cond{Op: CondNot, Kids: []*Cond{c}, Place: c.Place}
}

// And is true when all are; nil stands for always.
func And(cs ...*Cond) *Cond { return join(CondAnd, CondTrue, CondFalse, cs) }

// Or is true when one is.
func Or(cs ...*Cond) *Cond { return join(CondOr, CondFalse, CondTrue, cs) }

func join(op, neutral, absorbing CondOp, cs []*Cond) *Cond {
	var kids []*Cond
	for _, c := range cs {
		if c == nil {
			c = True
		}
		_, _, standing := c.Standing() // what is always so as built may be otherwise with a fault
		switch {
		case c.Op == neutral && !standing:
		case c.Op == absorbing && !standing:
			return c
		case c.Op == op && c.Said == nil:
			kids = append(kids, c.Kids...)
		default:
			kids = append(kids, c)
		}
	}
	switch len(kids) {
	case 0:
		return &Cond{Op: neutral}
	case 1:
		return kids[0]
	}
	return &Cond{Op: op, Kids: kids, Place: kids[0].Place}
}

// Known reports whether nothing in the condition is Unknown, looking through named
// conditions, results and bands is the caller's affair.
func (c *Cond) Known() bool {
	if c == nil {
		return true
	}
	for _, k := range c.Kids {
		if !k.Known() {
			return false
		}
	}
	return c.Op != CondUnknown
}

// Atoms calls f for each atom of the condition, in the order in which they are written.
func (c *Cond) Atoms(f func(*Cond)) {
	if c == nil {
		return
	}
	if c.Op == CondAtom {
		f(c)
	}
	for _, k := range c.Kids {
		k.Atoms(f)
	}
}

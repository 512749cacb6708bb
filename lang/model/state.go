package model

import (
	"pintle/lang/diag"
	"pintle/lang/unit"
)

// MemoryKind says what keeps the state.
type MemoryKind uint8

// The kinds of memory. State 0 is the state at rest: released, clear, low, unpowered; but
// for MemBand, whose states are its bands in their order and then none, the one that it
// starts in.
const (
	MemCoil      MemoryKind = iota // released, energised
	MemArmature                    // released, energised
	MemThreshold                   // clear, set
	MemLevel                       // low, high: an input that reads volts
	MemPowered                     // off, on: a controller
	MemFollow                      // no, yes: follows a condition on the circuit one step behind
	MemBand                        // the band that a partition with `keeps` is in
	MemFuse                        // whole, blown: added by package fault, not by elaboration
)

// Memory is a piece of hardware with a state. It is excited when a rule whose From
// holds the present state, and whose To is another one, has a true When; excited
// memories change one at a time, in any order, until none is (that is settling).
type Memory struct {
	Info
	MemKind MemoryKind
	States  []string
	Start   int
	Rules   []Rule // the first applicable one decides
	Of      int    // index of the coil, armature, threshold, reading, controller or bands
}

// Rule moves a memory.
type Rule struct {
	From []int // states, ascending; nil: any
	To   int
	When *Cond
	// AtRest makes it wait until nothing else that has to do with the memory would change, no
	// mode by a transition without edges either. Added by package fault, for fuses.
	AtRest bool
}

// Threshold is a yes/no with memory on something that varies.
type Threshold struct {
	Info
	Memory     MemoryID
	Controller ControllerID
	// On says what is watched: exactly one of them is set.
	Quantity               QuantityID // None
	Reading                ReadingID  // None
	Measure                *Measure
	Sets                   unit.Value
	SetsCmp                Cmp
	Clears                 unit.Value
	ClearsCmp              Cmp
	SetsPlace, ClearsPlace diag.Place
}

// Rising reports whether it sets on the way up.
func (t Threshold) Rising() bool { return t.SetsCmp == Above || t.SetsCmp == AtLeast }

// Overlaps reports whether there are values at which it both sets and clears.
func (t Threshold) Overlaps() bool {
	below := func(c Cmp) bool { return c == Below || c == AtMost }
	if below(t.SetsCmp) == below(t.ClearsCmp) {
		return true // both on the same side: far enough out it does both
	}
	up, down := t.Sets, t.Clears // what lies above up sets (or clears), below down the other
	if !t.Rising() {
		up, down = down, up
	}
	switch up.N.Cmp(down.N) {
	case -1:
		return true
	case 0:
		included := func(c Cmp) bool { return c == AtLeast || c == AtMost }
		return included(t.SetsCmp) && included(t.ClearsCmp)
	}
	return false
}

// Machine is a set of modes, one of which holds.
type Machine struct {
	Info
	Controller  ControllerID
	Modes       []Mode
	Start       int
	Transitions []Transition // first written wins
	// Reset sends it back to Start like hardware, when not nil (controller without power).
	Reset *Cond
}

// Mode of a machine.
type Mode struct {
	Info
}

// Transition of a machine.
type Transition struct {
	From []int // ascending as written; with Any all but To
	To   int
	// Any: `from any`. It goes before what is written later in To as well, where the
	// machine then stays.
	Any   bool
	When  *Cond
	Place diag.Place
}

// Timer counts time.
type Timer struct {
	Info
	Controller ControllerID
	// Starts: idle -> running when Run; runs on to its end whatever Run does.
	// Otherwise it runs while Run and falls back to idle with it.
	Starts bool
	// InLast: the lowered form of `C in the last T`: idle means that C was false for
	// T or longer, running that it was true less than T ago, done that it is true now.
	// Run is C.
	InLast bool
	Run    *Cond
	// Stop sends it to idle at once, of whichever form it is; nil: never. That of a
	// controller holds the loss of power too.
	Stop  *Cond
	Cases []TimerCase
	// Lowered is set when it stands for a `for` or `in the last` of a condition.
	Lowered bool
}

// TimerCase is a duration under a condition, fixed when the timer starts. The last
// case has When nil.
type TimerCase struct {
	Name     string
	Min, Max float64 // seconds
	When     *Cond
	Place    diag.Place
}

// Beat is an intended rhythm.
type Beat struct {
	Info
	Controller ControllerID
	On, Off    float64 // seconds
	While      *Cond   // nil: always
}

// Edge remembers a condition's value at the end of the move before.
type Edge struct {
	Of    *Cond
	Place diag.Place
}

// Named is a named condition.
type Named struct {
	Info
	Controller ControllerID
	Cond       *Cond
}

// Result is a decision table.
type Result struct {
	Info
	Rows []ResultRow
}

// ResultRow is a row; the `otherwise` row has Otherwise set and its When is the
// negation of all others.
type ResultRow struct {
	Info
	When      *Cond
	Otherwise bool
}

// Bands partition a quantity under a condition.
type Bands struct {
	Info
	Quantity QuantityID
	Reading  ReadingID // None when over a quantity
	While    *Cond     // nil: always
	Bands    []Band
	Memory   MemoryID // None when no band keeps
}

// Band is a stretch [Lo, Hi) of a partition; the last one includes the range's end.
type Band struct {
	Info
	Lo, Hi   unit.Value
	LoPlace  diag.Place
	HiPlace  diag.Place
	Claim    *Cond // nil: none
	Keeps    bool
	EntersAs int // band, or None
	// In is when the quantity lies in the stretch (not regarding While).
	In *Cond
}

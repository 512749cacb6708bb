package reach

import (
	"pintle/checker/engine/logic"
)

// VarKind says what moves a variable.
type VarKind uint8

const (
	// Fixed never changes during a run; it is chosen anywhere in Initial.
	Fixed VarKind = iota
	// Input is moved from outside: a setting, or the region of a quantity.
	Input
	// Hardware follows its rules and settles: armatures, thresholds, the
	// memory of bands.
	Hardware
	// Machine holds the mode of a modes machine.
	Machine
	// Timing holds the phase of a clock (size 3).
	Timing
	// Beating holds the phase of a beat, 0 or 1.
	Beating
	// Edge remembers whether an expression was true at the end of the previous
	// move (size 2).
	Edge
)

func (k VarKind) String() string {
	names := [...]string{"fixed", "input", "hardware", "machine", "timing", "beating", "edge"}
	if int(k) < len(names) {
		return names[k]
	}
	return "unknown"
}

// Phases of a clock, the values of a Timing variable.
const (
	ClockIdle    = 0
	ClockRunning = 1 // the time is being measured
	ClockDone    = 2 // OnDelay: the time has passed; OffDelay: held by its condition
)

// Var describes one variable of the Space.
type Var struct {
	Kind VarKind
	// Initial holds the values it may start with. Empty means just 0; for an
	// Edge it is ignored.
	Initial logic.Set
}

// Guard is a condition on a move, read in the state before the move.
type Guard struct {
	When *logic.Expr
	// Assumption names the assumption that the guard states; empty if the
	// guard is part of how the thing is made.
	Assumption string
}

// Move lets an input go from one value to another. All guards must hold in
// the settled state before it.
type Move struct {
	From, To int
	Guards   []Guard
	// Least is the shortest time in nanoseconds that crossing From can take
	// when it was entered from another side than it is left by: the width of
	// the region over the quantity's fastest rate. 0 if it can jump.
	Least int64
}

// InputMoves lists the moves of one input in a fixed order, which decides
// between traces of one length.
type InputMoves struct {
	Var   logic.Var
	Moves []Move
}

// Invariant is an assumption about inputs that always holds: a move after
// which it would not is not made, nor does a run start so. It may mention
// Input and Fixed variables only.
type Invariant struct {
	Assumption string
	Holds      *logic.Expr
}

// Rule lets a hardware element change: the element is excited when its value
// lies in From, differs from To, and When holds. The first rule that excites
// it decides where it goes.
type Rule struct {
	From logic.Set
	To   int
	When *logic.Expr
	// AtRest makes the rule wait until nothing else that has to do with the element would
	// change: no other rule, clock or beat, and no machine by a transition that reads no
	// edge. What has to do with it is what it depends on, what depends on it, and what that
	// depends on.
	AtRest bool
	own    *logic.Expr // When without the waiting, once that is part of When
}

// Element is a hardware variable with its rules in order.
type Element struct {
	Var   logic.Var
	Rules []Rule
	// After are elements that change first: as long as a rule of one of them is due, none of this
	// one is.
	After []logic.Var
}

// Transition of a machine. A transition to the mode that the machine is in
// counts as taken and changes nothing.
type Transition struct {
	From logic.Set
	To   int
	When *logic.Expr
}

// ModeMachine is a Machine variable with its transitions; the first written
// that can fire wins.
type ModeMachine struct {
	Var         logic.Var
	Transitions []Transition
}

// ClockKind says how a clock answers to its condition.
type ClockKind uint8

const (
	// OnDelay is "COND for 200 ms": idle while Run is false, running from when
	// it becomes true, done when the time has passed, until Run is false.
	OnDelay ClockKind = iota
	// OffDelay is "COND in the last 5 s": held (ClockDone) while Run is true,
	// running from when it becomes false, idle when the time has passed. It
	// reads as true unless idle.
	OffDelay
)

// Span is how long something lasts, in nanoseconds: anything from Min to Max.
type Span struct{ Min, Max int64 }

// Timed is a Span that applies if When holds in the state in which the
// measuring starts. A nil When always applies.
type Timed struct {
	When *logic.Expr
	Span
}

// Clock measures time. Of Lasts the first that applies counts, fixed at the
// start; if none applies the clock takes any time at all.
type Clock struct {
	Var   logic.Var
	Kind  ClockKind
	Run   *logic.Expr
	Lasts []Timed
	After []logic.Var // as of an Element

	steady *logic.Expr // that nothing in After is due; nil: nothing is to come first
}

// Beat toggles between 0 and 1 while Enable holds and falls back to 0 when it
// does not. Half is the time between two toggles, and before the first; a zero
// Span means any time.
type Beat struct {
	Var    logic.Var
	Enable *logic.Expr
	Half   Span
}

// EdgeMemory keeps the value that Of had at the end of the previous move, so
// that "becomes true" is And(Of, Is(Var, 0)). Of mentions no Edge variable.
// Edge variables may occur in guards and transitions only: an edge lasts no
// longer than the one step of the machines.
type EdgeMemory struct {
	Var logic.Var
	Of  *logic.Expr
}

// System is a switching system: plain data, checked by New. Every nil Expr
// counts as true. Vars has one entry for each variable of Space.
type System struct {
	Space      *logic.Space
	Vars       []Var
	Inputs     []InputMoves
	Invariants []Invariant
	Elements   []Element
	Machines   []ModeMachine
	Clocks     []Clock
	Beats      []Beat
	Edges      []EdgeMemory
}

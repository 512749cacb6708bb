package reach

import (
	"math/big"

	"pintle/checker/engine/logic"
)

// Outcome of a question.
type Outcome uint8

const (
	Undecided Outcome = iota // Reason says why
	Holds
	Fails
)

func (o Outcome) String() string {
	switch o {
	case Holds:
		return "holds"
	case Fails:
		return "fails"
	}
	return "undecided"
}

// Verdict answers a question over all reachable states.
type Verdict struct {
	Outcome Outcome
	// Reason says in words why the question is undecided, or how it was
	// decided where that is worth knowing.
	Reason string
	// Trace leads to the state that decides it: the violation for Fails, the
	// example for a Holds of Possible. Nil where there is nothing to show.
	Trace *Trace
	// Schedule is when each step of Trace can happen; nil without Trace.
	Schedule *Schedule
	// Vacuous is set where the question holds only because its condition
	// never occurs.
	Vacuous bool
	// Hunt is what never settles, where that makes the question undecided; Livelock the
	// round of modes.
	Hunt     *Hunt
	Livelock *Livelock
	// Work that it took.
	Work Work
}

// Work counts what was done: the same question gives the same counts.
type Work struct {
	Variables int // variables of the slice that was looked at
	Images    int // moves applied to whole sets of states
	Zones     int // timed states visited, where time had to be followed
	Peak      int // most decision nodes alive at once
}

// MoveKind says what happened in the first part of a move.
type MoveKind uint8

const (
	MoveIdle MoveKind = iota
	MoveInput
	MoveElapse
	MoveToggle
)

func (k MoveKind) String() string {
	return [...]string{"idle", "input", "elapse", "toggle"}[k&3]
}

// Happening is what a move does first. For an idle move Var is -1.
type Happening struct {
	Kind     MoveKind
	Var      logic.Var
	From, To int
}

// Change of one variable.
type Change struct {
	Var      logic.Var
	From, To int
}

// Fired is a transition taken by a machine: indices into System.Machines and
// its Transitions.
type Fired struct{ Machine, Transition int }

// Step is one move with all that followed from it, in order.
type Step struct {
	Move    Happening
	Settled []Change // hardware, clocks and beats before the machines stepped
	Fired   []Fired
	Changed []Change // hardware, clocks and beats after the machines stepped
	Edges   []Change
	// Partial is set on the last step of a trace that leads into the middle
	// of settling: After is then not settled.
	Partial bool
	// Races is set where hardware can come to rest otherwise too, by another order of its
	// changes.
	Races bool
	After logic.Point
}

// Trace is a run from an initial state. Points give every variable of the
// Space a value, but only those in Vars mean anything: a verdict is reached on
// the part of the system that it depends on.
type Trace struct {
	Vars    []logic.Var // rising
	Start   logic.Point // before anything settled
	Settled []Change    // how the start settled
	Initial logic.Point // the first resting state
	Steps   []Step
	// Partial is set on a trace without steps that stops while the start is
	// still settling; Initial is then not settled.
	Partial bool
	// Detour is set on a trace that may not be a shortest one: finding that
	// would have taken too much work.
	Detour bool
	// Races is set where the start can settle otherwise too, by another order of changes.
	Races bool
}

// Last is the state that the trace ends in.
func (t *Trace) Last() logic.Point {
	if n := len(t.Steps); n > 0 {
		return t.Steps[n-1].After
	}
	return t.Initial
}

// Schedule gives a time in nanoseconds from the start for each step of a trace.
type Schedule struct{ At []int64 }

// Hunt is hardware that never settles.
type Hunt struct {
	// Trace leads to the first state of the cycle.
	Trace *Trace
	// Cycle is a list of element changes that leads back to that state.
	Cycle []Change
}

// Livelock is a run of idle moves that never ends: machines that go on
// stepping although nothing moves from outside.
type Livelock struct {
	Trace *Trace // to the first state of the cycle
	Cycle []Step // idle moves that lead back to it
}

// Race is a settling whose outcome depends on which of two elements changes
// first.
type Race struct {
	Trace *Trace // ends, Partial, in the state in which both are excited
	// First and Second are the changes that compete there.
	First, Second Change
	// AfterFirst is what follows if First wins, up to a settled state;
	// AfterSecond if Second does. The two end differently.
	AfterFirst, AfterSecond []Change
	OutcomeFirst            logic.Point
	OutcomeSecond           logic.Point
}

// Extent is the size of the reachable set.
type Extent struct {
	States *big.Int
	Work   Work
}

// Options bound the work.
type Options struct {
	// MaxNodes bounds decision nodes alive at once; 0: logic.DefaultMaxNodes.
	MaxNodes int
	// MaxWork bounds the decision nodes made for one question; 0: 100 million,
	// some twenty seconds' worth.
	MaxWork uint64
	// MaxZones bounds the timed states of an exact search in time; 0: 20000.
	MaxZones int
	// MaxTraces bounds the traces that are tried against time before that
	// search; 0: 32.
	MaxTraces int
	// Unsliced makes every question look at the whole system.
	Unsliced bool
}

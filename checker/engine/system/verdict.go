package system

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
)

// Outcome of a question.
type Outcome uint8

// The outcomes.
const (
	// Unknown: something that the question depends on could not be read. It has its own
	// finding; nothing more is to be said.
	Unknown Outcome = iota
	// Undecided: Why says what stood in the way.
	Undecided
	// Holds, whatever the tolerances; but see Verdict.NominalOnly.
	Holds
	// HoldsNominally: not in the corner that Verdict.Corner names.
	HoldsNominally
	// Fails at nominal values.
	Fails
)

func (o Outcome) String() string {
	return [...]string{Unknown: "unknown", Undecided: "undecided", Holds: "holds", HoldsNominally: "holds nominally", Fails: "fails"}[o]
}

// Verdict is the answer to a question over all reachable states.
type Verdict struct {
	Outcome Outcome
	// Why says in words what stood in the way of an Undecided, or how the question was
	// decided where that is worth knowing.
	Why string
	// Trace leads to the state that decides: the violation of a Fails or, in its corner,
	// of a HoldsNominally; the example of what is possible, at nominal values. Nil where
	// there is nothing to show.
	Trace *Trace
	// Assumptions are the paths of those without which the outcome would be another one.
	Assumptions []string
	// Vacuous is set where the question holds only because its condition never occurs.
	Vacuous bool
	// Corner is where a HoldsNominally fails, in words: "battery at 9 V"; Where is the
	// same as a value.
	Corner string
	Where  circuit.Corner
	// Offsets are by how much senders are off there.
	Offsets model.Offsets
	// DependsOn lists in words what of the design's open values a HoldsNominally turns
	// on, or what was left open by NominalOnly.
	DependsOn []string
	// NominalOnly is set on a Holds that is proved for nominal values, while what the
	// tolerances do could not be followed to the end: Why says what stood in the way.
	NominalOnly bool
	// Unsettled is what never settles, where that makes the question Undecided; Round the
	// modes that go round in no time.
	Unsettled *Hunt
	Round     *Livelock
	// Work that it took, in all corners together.
	Work Work
}

// Work counts what was done: the same question gives the same counts.
type Work struct {
	Variables int // of the largest slice that was looked at
	Images    int // moves applied to whole sets of states
	Zones     int // timed states
	Peak      int // most decision nodes alive at once
	Corners   int // in which the question was decided
}

func (w *Work) add(r reach.Work) {
	w.Variables = max(w.Variables, r.Variables)
	w.Peak = max(w.Peak, r.Peak)
	w.Images += r.Images
	w.Zones += r.Zones
	w.Corners++
}

// Trace is a list of moves with the system in which they happen: that of the corner.
type Trace struct {
	*reach.Trace
	// Schedule is when each move can happen; nil where time was left out of account.
	Schedule *reach.Schedule
	System   *System
	// Timed is set where times matter by something that the system itself does not have: by a
	// clock of another one that is followed at the same time.
	Timed bool
}

// Holds reports whether a condition, in terms of the variables, holds in the last state.
func (t *Trace) Holds(e *logic.Expr) bool { return e.Eval(t.Last()) }

// Is tells the value of a condition in the last state. It is not known where the question did
// not depend on the condition, or where that was never translated.
func (t *Trace) Is(c *model.Cond) (value, known bool) {
	m, ok := t.System.plain(c)
	if !ok || t.System.doubtful(m.expr) || !t.covers(m.expr) {
		return false, false
	}
	return t.Holds(m.expr), true
}

// Standing is how what a design remembers stands in some state, so far as that is known, by
// index in the design.
type Standing struct {
	Settings, Memories, Machines, Timers map[int]int
	Free                                 map[model.ElementID]bool
}

// Standing reports how what the trace tells of stands in its last state.
func (t *Trace) Standing() Standing {
	out := Standing{map[int]int{}, map[int]int{}, map[int]int{}, map[int]int{}, map[model.ElementID]bool{}}
	at := t.Last()
	for _, v := range t.Vars {
		switch r := t.System.role(v); r.Kind {
		case RoleSetting:
			out.Settings[r.Index] = int(at[v])
		case RoleMemory:
			out.Memories[r.Index] = int(at[v])
		case RoleTimer:
			out.Timers[r.Index] = int(at[v])
		case RoleFree:
			out.Free[model.ElementID(r.Index)] = at[v] == 1
		case RoleMachine:
			if owner, two := t.System.byRole[Role{Kind: RoleDisowner, Index: r.Index}]; !two || slices.Contains(t.Vars, owner) {
				out.Machines[r.Index] = t.System.ModeOf(at, model.MachineID(r.Index))
			}
		}
	}
	return out
}

// Stands tells in the design's words how what the trace tells of stands in its last state: first
// what is moved from outside, then what remembers, then iron and power. What the system has for
// its own use, and fuses that have not opened, are left out.
func (t *Trace) Stands() (out []string) {
	s, at := t.System, t.Last()
	for level := range levelsOfWords {
		for _, v := range t.Vars {
			r := s.role(v)
			if s.rank(v) != level || r.Kind == RoleDisowner {
				continue
			}
			if r.Kind == RoleMemory {
				if k := s.d.Memories[r.Index].MemKind; k == model.MemFollow || k == model.MemFuse && at[v] == 0 {
					continue
				}
			}
			if text := s.Value(at, v); text != "" {
				out = append(out, text)
			}
		}
	}
	return out
}

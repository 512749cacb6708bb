package scenario

import (
	"slices"

	"pintle/lang/model"
	"pintle/lang/unit"
)

// Level is where a quantity stands: on a number, or an infinitesimal step below or
// above it.
type Level struct {
	N     unit.Num // base unit
	Nudge int8     // -1 just below N, 0 on it, +1 just above
}

// Compare reports whether the level compares so with a number.
func (l Level) Compare(c model.Cmp, n unit.Num) bool {
	order := l.N.Cmp(n)
	if order == 0 {
		order = int(l.Nudge)
	}
	switch c {
	case model.Below:
		return order < 0
	case model.AtMost:
		return order <= 0
	case model.Above:
		return order > 0
	default:
		return order >= 0
	}
}

// UnknownState is where a memory, machine or timer stands of which that is not known,
// because it depends on something that could not be read.
const UnknownState = -1

// Clock is the state of a timer.
type Clock struct {
	Phase int // model.TimerIdle, TimerRunning, TimerDone or UnknownState
	Until int64
	Case  int
	Ran   bool  // it has run by now, Began tells since when at last
	Began int64 // ns from the start
}

// Rhythm is the state of a beat: whether it is in its second half, and when it turns.
type Rhythm struct {
	Unknown bool
	Running bool
	Second  bool
	Until   int64
}

// State is everything that a design remembers, at one moment.
type State struct {
	At         int64 // ns from the start
	Quantities []Level
	Settings   []int
	Memories   []int
	Machines   []int
	Clocks     []Clock
	Rhythms    []Rhythm
	Edges      []Truth // value at the end of the move before
	Free       map[model.ElementID]bool
}

// rest is the state in which the battery is connected.
func rest(d *model.Design) State {
	s := State{
		Quantities: make([]Level, len(d.Quantities)),
		Settings:   make([]int, len(d.Settings)),
		Memories:   make([]int, len(d.Memories)),
		Machines:   make([]int, len(d.Machines)),
		Clocks:     make([]Clock, len(d.Timers)),
		Rhythms:    make([]Rhythm, len(d.Beats)),
		Edges:      make([]Truth, len(d.Edges)),
	}
	for i := range d.Quantities {
		s.Quantities[i].N = d.Quantities[i].Start.N
	}
	for i := range d.Settings {
		s.Settings[i] = d.Settings[i].Start
	}
	for i := range d.Memories {
		s.Memories[i] = d.Memories[i].Start
		if d.Memories[i].Broken {
			s.Memories[i] = UnknownState
		}
	}
	for i := range d.Machines {
		s.Machines[i] = d.Machines[i].Start
		if d.Machines[i].Broken {
			s.Machines[i] = UnknownState
		}
	}
	for i := range d.Timers {
		if d.Timers[i].Broken {
			s.Clocks[i].Phase = UnknownState
		}
	}
	for i := range d.Beats {
		s.Rhythms[i].Unknown = d.Beats[i].Broken
	}
	return s
}

// Clone copies the state.
func (s State) Clone() State {
	s.Quantities = slices.Clone(s.Quantities)
	s.Settings = slices.Clone(s.Settings)
	s.Memories = slices.Clone(s.Memories)
	s.Machines = slices.Clone(s.Machines)
	s.Clocks = slices.Clone(s.Clocks)
	s.Rhythms = slices.Clone(s.Rhythms)
	s.Edges = slices.Clone(s.Edges)
	if s.Free != nil {
		free := make(map[model.ElementID]bool, len(s.Free))
		for k, v := range s.Free {
			free[k] = v
		}
		s.Free = free
	}
	return s
}

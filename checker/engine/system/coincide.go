package system

import (
	"fmt"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
)

// coincidences names what is due at the very time of a step of the trace and has not happened
// when the trace goes on, or ends: of several things that are due at once a trace takes any
// first, and a drive takes ramps, then timers, then beats, and what is set last of all.
func (t *Trace) coincidences() (out []string) {
	if t.Schedule == nil {
		return nil
	}
	s := t.System
	since := map[logic.Var]int64{} // when a clock began to run, or a beat turned last
	begin := func(v logic.Var, at int64, after logic.Point, again bool) {
		if r := s.role(v); r.Kind != RoleBeat && int(after[v]) != reach.ClockRunning {
			delete(since, v)
			return
		}
		if _, runs := since[v]; !runs || again {
			since[v] = at
		}
	}
	var timed []logic.Var
	for _, v := range t.Vars {
		switch r := s.role(v); {
		case r.Kind == RoleTimer && !phased(&s.d.Timers[r.Index]), r.Kind == RoleTimerHelp, r.Kind == RoleBeat, r.Kind == RoleBeatHalf:
			timed = append(timed, v)
			begin(v, 0, t.Initial, true)
		}
	}
	for i := range t.Steps {
		if i >= len(t.Schedule.At) {
			break
		}
		st, at := &t.Steps[i], t.Schedule.At[i]
		for _, v := range timed {
			again := st.Move.Var == v
			for _, cs := range [2][]reach.Change{st.Settled, st.Changed} {
				for _, c := range cs {
					again = again || c.Var == v
				}
			}
			begin(v, at, st.After, again)
			if from, runs := since[v]; runs && s.dueBy(v, at-from) {
				out = append(out, fmt.Sprintf("%s is due at the same time as what is done; a drive has an order of its own", s.timedName(v)))
			}
		}
	}
	return out
}

// dueBy reports whether what is timed can be over after so many nanoseconds.
func (s *System) dueBy(v logic.Var, ns int64) bool {
	for _, c := range s.reach.Clocks {
		if c.Var == v {
			for _, l := range c.Lasts {
				if l.Min <= ns {
					return true
				}
			}
		}
	}
	for _, b := range s.reach.Beats {
		if b.Var == v {
			return b.Half.Min <= ns && b.Half.Max > 0
		}
	}
	return false
}

// timedName is the path of the timer or beat that a variable stands for.
func (s *System) timedName(v logic.Var) string {
	switch r := s.role(v); r.Kind {
	case RoleTimer, RoleTimerHelp:
		return s.d.Timers[r.Index].Path
	default:
		return s.d.Beats[r.Index].Path
	}
}

package system

import (
	"fmt"

	"pintle/checker/engine/reach"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// moveLine says what happens in a move.
func (t *Trace) moveLine(m move) diag.Line {
	s := t.System
	st := &t.Steps[m.first]
	if st.Move.Kind == reach.MoveIdle {
		return diag.Line{Text: "nothing moves from outside, the modes step again"}
	}
	r := s.role(st.Move.Var)
	switch r.Kind {
	case RoleSetting:
		k := &s.d.Settings[r.Index]
		step := fmt.Sprintf("set %s %s", k.Path, k.Positions[st.Move.To])
		text := step
		if s.springsPast(r.Index, st.Move.From, st.Move.To) {
			text = fmt.Sprintf("let %s spring back to %s", k.Path, k.Positions[st.Move.To])
		}
		return diag.Line{Text: text, Place: k.Place, Step: step,
			Events: []diag.Event{{Kind: diag.OfSetting, Index: r.Index, To: st.Move.To}}}
	case RoleQuantity:
		q := &s.d.Quantities[r.Index]
		from, to := st.Move.From, t.Steps[m.last].Move.To
		return diag.Line{
			Text: q.Path + " " + s.quantityMove(r.Index, from, to), Place: q.Place,
			Step: t.rampText(m),
		}
	case RoleFree:
		e := &s.d.Elements[r.Index]
		word := "is open"
		if st.Move.To == 1 {
			word = "is made"
		}
		return diag.Line{Text: e.Path + " " + word + ", as it may at any time", Place: e.Place}
	case RoleTimer, RoleTimerHelp:
		line := diag.Line{Text: s.elapse(r.Index, st.Move.To), Place: s.d.Timers[r.Index].Place, Step: t.waitText(m)}
		if to, ok := t.elapsed(st); ok && !s.d.Timers[r.Index].Lowered {
			line.Events = []diag.Event{{Kind: diag.OfTimer, Index: r.Index, To: to}}
		}
		return line
	case RoleBeat, RoleBeatHalf:
		b := &s.d.Beats[r.Index]
		word := "goes off"
		if r.Kind == RoleBeat && st.Move.To == 0 || r.Kind == RoleBeatHalf && r.Half == 1 {
			word = "comes on"
		}
		return diag.Line{Text: b.Path + " " + word, Place: b.Place, Step: t.waitText(m)}
	}
	return diag.Line{Text: s.space.Name(st.Move.Var) + " changes"}
}

// springsPast reports whether a setting goes by a move past positions between, as it can by
// its spring only.
func (s *System) springsPast(setting, from, to int) bool {
	return s.d.Settings[setting].InOrder && max(from-to, to-from) > 1
}

// quantityMove says how a quantity goes from one region to another: "rises past 4200
// rpm", "falls to 3900 rpm".
func (s *System) quantityMove(quantity, from, to int) string {
	a := s.axes[quantity]
	r := a.Region(to)
	switch {
	case to > from && r.IsPoint():
		return "rises to " + r.Lo.String()
	case to > from:
		return "rises past " + r.Lo.String()
	case r.IsPoint():
		return "falls to " + r.Lo.String()
	}
	return "falls below " + r.Hi.String()
}

func (s *System) elapse(timer, to int) string {
	t := &s.d.Timers[timer]
	lasts := ""
	if len(t.Cases) == 1 {
		lasts = unit.Format(t.Cases[0].Min, unit.Time)
		if t.Cases[0].Max != t.Cases[0].Min {
			lasts += " to " + unit.Format(t.Cases[0].Max, unit.Time)
		}
	}
	switch {
	case t.InLast && lasts != "":
		return fmt.Sprintf("%s have passed since (%s)", lasts, s.d.Words(t.Run))
	case t.Lowered && lasts != "":
		return fmt.Sprintf("(%s) has lasted %s", s.d.Words(t.Run), lasts)
	case lasts != "":
		return fmt.Sprintf("%s is done after %s", t.Path, lasts)
	}
	return t.Path + " is done"
}

// change reports what a piece of hardware or a timer does; false where that is of no
// interest by itself.
func (s *System) change(c reach.Change) (diag.Line, bool) {
	r := s.role(c.Var)
	switch r.Kind {
	case RoleMemory:
		m := &s.d.Memories[r.Index]
		if m.MemKind == model.MemFuse { // the design by itself does not have that memory
			return diag.Line{Text: s.memoryMove(m, c), Place: s.d.Fuses[m.Of].Place, Events: []diag.Event{{Kind: diag.OfFuse, Index: m.Of, To: c.To}}}, true
		}
		return diag.Line{Text: s.memoryMove(m, c), Place: m.Place, Events: []diag.Event{{Kind: diag.OfMemory, Index: r.Index, To: c.To}}}, true
	case RoleTimer:
		t := &s.d.Timers[r.Index]
		if t.Lowered { // a duration inside a condition; what it leads to is reported
			return diag.Line{}, false
		}
		word := map[int]string{model.TimerIdle: "is idle again", model.TimerRunning: "starts", model.TimerDone: "is done"}[c.To]
		return diag.Line{Text: t.Path + " " + word, Place: t.Place, Events: []diag.Event{{Kind: diag.OfTimer, Index: r.Index, To: c.To}}}, true
	case RoleDisowner:
		m := &s.d.Machines[r.Index]
		return diag.Line{Text: fmt.Sprintf("%s is back in %s", m.Path, m.Modes[m.Start].Name), Place: m.Place,
			Events: []diag.Event{{Kind: diag.OfMachine, Index: r.Index, To: m.Start}}}, true
	}
	return diag.Line{}, false
}

func (s *System) memoryMove(m *model.Memory, c reach.Change) string {
	state := func(x int) string {
		if x < len(m.States) {
			return m.States[x]
		}
		return "?"
	}
	on := c.To == 1
	word := func(yes, no string) string {
		if on {
			return m.Path + " " + yes
		}
		return m.Path + " " + no
	}
	switch m.MemKind {
	case model.MemCoil, model.MemArmature:
		return word("pulls in", "lets go")
	case model.MemThreshold:
		return word("sets", "clears")
	case model.MemLevel:
		return word("reads high", "reads low")
	case model.MemPowered:
		return word("has power", "loses power")
	case model.MemFuse:
		return word("blows", "is whole again")
	case model.MemFollow:
		if len(m.Rules) > 0 {
			if on {
				return fmt.Sprintf("%s follows: %s", m.Path, s.d.Words(m.Rules[0].When))
			}
			return fmt.Sprintf("%s follows: no longer %s", m.Path, s.d.Words(m.Rules[0].When))
		}
	}
	return m.Path + " goes from " + state(c.From) + " to " + state(c.To)
}

// transition is the number that a transition of the engine's machine has in the design:
// a machine with two copies of its modes has two of each.
func (s *System) transition(machine, engine int) int {
	if s.d.Machines[machine].Reset != nil {
		return engine / 2
	}
	return engine
}

package system

import (
	"fmt"
	"strings"

	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// Words writes a condition in terms of the variables in the design's own words, as a
// person would write it in the language: "key is run and fast".
func (s *System) Words(e *logic.Expr) string {
	text, _ := s.words(e, false)
	return text
}

// words also reports whether the text is a single term.
func (s *System) words(e *logic.Expr, inner bool) (string, bool) {
	switch e.Kind() {
	case logic.False:
		return "never", true
	case logic.True:
		return "always", true
	case logic.In:
		return s.literal(e.Var(), e.Set())
	case logic.Not:
		text, single := s.words(e.Kids()[0], false)
		if !single {
			text = "(" + text + ")"
		}
		return "not " + text, true
	}
	word := " and "
	if e.Kind() == logic.Or {
		word = " or "
	}
	parts := make([]string, len(e.Kids()))
	for i, k := range e.Kids() {
		text, single := s.words(k, true)
		if !single {
			text = "(" + text + ")"
		}
		parts[i] = text
	}
	return strings.Join(parts, word), false
}

// literal writes "v has one of these values"; single reports whether it is one term.
func (s *System) literal(v logic.Var, set logic.Set) (text string, single bool) {
	r, d := s.role(v), s.d
	switch r.Kind {
	case RoleSetting:
		t := &d.Settings[r.Index]
		return isOneOf(t.Path, t.Positions, set), true
	case RoleQuantity, RoleStuck:
		q := r.Index
		name := ""
		if r.Kind == RoleStuck {
			q = int(d.Senders[r.Index].Quantity)
			name = d.Senders[r.Index].Path + " telling "
		}
		return s.axes[q].Condition(name+d.Quantities[q].Path, members(set))
	case RoleShorted:
		return s.shortedText(r.Index, members(set))
	case RoleMemory:
		if m := &d.Memories[r.Index]; m.MemKind == model.MemBand {
			return isOneOf(m.Path, m.States, set), true
		}
		return d.Words(&model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMemory, Index: r.Index, In: members(set)}}), true
	case RoleMachine, RoleMode:
		m := &d.Machines[r.Index]
		modes := len(m.Modes)
		seen := make([]bool, modes)
		var in []int
		for x := range set.All() {
			if mode := x % modes; !seen[mode] {
				seen[mode] = true
				in = append(in, mode)
			}
		}
		return isOneOf(m.Path, s.modeNames(r.Index), logic.SetOf(in...)), true
	case RoleTimer:
		if t := &d.Timers[r.Index]; !t.Lowered {
			return isOneOf(t.Path, []string{"idle", "running", "done"}, set), true
		}
		return d.Words(&model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomTimer, Index: r.Index, In: members(set)}}), true
	case RoleTimerHelp:
		return isOneOf(d.Timers[r.Index].Path, []string{"not counting", "counting", "over"}, set), true
	case RoleBeat:
		return isOneOf(d.Beats[r.Index].Path, []string{"on", "off"}, set), true
	case RoleBeatHalf:
		return isOneOf(d.Beats[r.Index].Path, []string{"in its on half", "in its off half", "between halves"}, set), true
	case RoleEdge:
		before := "(" + d.Words(d.Edges[r.Index].Of) + ") before"
		if set.Has(1) {
			return before, true
		}
		return "not " + before, true
	case RoleFree:
		return isOneOf(d.Elements[r.Index].Path, []string{"open", "made"}, set), true
	case RoleDisowner:
		return isOneOf(d.Machines[r.Index].Path, []string{"in its first copy", "in its second copy"}, set), true
	}
	return "(unknown)", true
}

func (s *System) modeNames(machine int) []string {
	m := &s.d.Machines[machine]
	names := make([]string, len(m.Modes))
	for i := range m.Modes {
		names[i] = m.Modes[i].Name
	}
	return names
}

func members(set logic.Set) []int {
	var out []int
	for x := range set.All() {
		out = append(out, x)
	}
	return out
}

// isOneOf writes "key is run", or "key is not off" where just one value is left out of
// three or more.
func isOneOf(path string, names []string, set logic.Set) string {
	var in, out []string
	for i, n := range names {
		if set.Has(i) {
			in = append(in, n)
		} else {
			out = append(out, n)
		}
	}
	switch {
	case len(in) == 0:
		return path + " is nothing"
	case len(in) == 1:
		return path + " is " + in[0]
	case len(out) == 1:
		return path + " is not " + out[0]
	}
	return path + " is any of " + strings.Join(in, ", ")
}

// Value says in words what value a variable has: "key is off", "engine_speed at 0 rpm".
func (s *System) Value(p logic.Point, v logic.Var) string {
	r := s.role(v)
	switch r.Kind {
	case RoleQuantity:
		a := s.axes[r.Index]
		if a == nil {
			return ""
		}
		return fmt.Sprintf("%s %s", s.d.Quantities[r.Index].Path, a.Text([]int{int(p[v])}))
	case RoleMachine:
		return s.d.Machines[r.Index].Path + " is " + s.Mode(p, model.MachineID(r.Index))
	}
	text, _ := s.literal(v, logic.SetOf(int(p[v])))
	return text
}

// Mode is the name of the mode that a machine reads as in a state.
func (s *System) Mode(p logic.Point, machine model.MachineID) string {
	names := s.modeNames(int(machine))
	if i := s.ModeOf(p, machine); i < len(names) {
		return names[i]
	}
	return "?"
}

// ModeOf is the mode that a machine reads as in a state: its start mode where it stands
// in the copy that does not count.
func (s *System) ModeOf(p logic.Point, machine model.MachineID) int {
	m := &s.d.Machines[machine]
	v := s.must(Role{Kind: RoleMachine, Index: int(machine)})
	x, modes := int(p[v]), len(m.Modes)
	if m.Reset == nil || modes == 0 {
		return x
	}
	owner := s.must(Role{Kind: RoleDisowner, Index: int(machine)})
	if x/modes != int(p[owner]) {
		return m.Start
	}
	return x % modes
}

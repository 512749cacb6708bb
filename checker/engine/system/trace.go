package system

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// move is one numbered move of a trace as a person would tell it: neighbouring steps of
// one quantity in one direction, without consequences between them, are one.
type move struct {
	first, last int // steps of the trace, both included
}

// moves groups the steps of a trace.
func (t *Trace) moves() []move {
	var out []move
	for i := range t.Steps {
		if n := len(out); n > 0 && t.continues(i) {
			out[n-1].last = i
			continue
		}
		out = append(out, move{i, i})
	}
	return out
}

// continues reports whether step i goes on in the direction of the one before it, which
// had no consequences.
func (t *Trace) continues(i int) bool {
	if i == 0 {
		return false
	}
	a, b := &t.Steps[i-1], &t.Steps[i]
	s := t.System
	if a.Move.Kind != reach.MoveInput || b.Move.Kind != reach.MoveInput || a.Move.Var != b.Move.Var || s.role(a.Move.Var).Kind != RoleQuantity {
		return false
	}
	if (a.Move.To > a.Move.From) != (b.Move.To > b.Move.From) {
		return false
	}
	return len(t.consequences(i-1)) == 0
}

// Lines tells a trace in the design's words: where it starts, then numbered moves, each
// with its consequences indented below it, in the order in which they follow. Step of a
// line is the move as a clause of a drive.
func (t *Trace) Lines() []diag.Line {
	var out []diag.Line
	below := func(lines []diag.Line) {
		for _, c := range lines {
			c.Text = "   " + c.Text
			out = append(out, c)
		}
	}
	if start := t.startText(); start != "" {
		out = append(out, diag.Line{Text: "at first: " + start})
	}
	n := &narrator{t: t, at: t.Start}
	n.changes(t.Settled)
	below(n.lines)
	for k, m := range t.moves() {
		line := t.moveLine(m)
		line.Text = fmt.Sprintf("%d. %s", k+1, line.Text)
		out = append(out, line)
		for i := m.first; i <= m.last; i++ {
			below(t.consequences(i))
		}
	}
	return out
}

// consequences reports what follows from the first part of step i.
func (t *Trace) consequences(i int) []diag.Line {
	st := &t.Steps[i]
	n := &narrator{t: t, at: t.before(i)}
	if st.Move.Var >= 0 {
		n.become(reach.Change{Var: st.Move.Var, From: st.Move.From, To: st.Move.To})
	}
	for i, c := range st.Settled {
		if i == t.own(st) { // its own line says so
			n.become(c)
			continue
		}
		n.changes([]reach.Change{c})
	}
	n.fired(st)
	n.changes(st.Changed)
	return n.lines
}

// narrator tells changes one after another, and after each what is derived from it.
type narrator struct {
	t     *Trace
	at    logic.Point
	lines []diag.Line
}

// become brings the state forward and reports what is derived from that.
func (n *narrator) become(cs ...reach.Change) {
	next := n.at.Clone()
	for _, c := range cs {
		next[c.Var] = uint8(c.To)
	}
	for _, d := range n.t.System.derived() {
		if !n.t.covers(d.expr) {
			continue
		}
		if was, is := d.expr.Eval(n.at), d.expr.Eval(next); is && !was && d.yes != "" {
			n.lines = append(n.lines, diag.Line{Text: d.yes, Place: d.place, Events: []diag.Event{d.event(1)}})
		} else if was && !is && d.no != "" {
			n.lines = append(n.lines, diag.Line{Text: d.no, Place: d.place, Events: []diag.Event{d.event(0)}})
		}
	}
	n.at = next
}

// changes reports what hardware and timers do.
func (n *narrator) changes(cs []reach.Change) {
	for _, c := range cs {
		if line, ok := n.t.System.change(c); ok {
			n.lines = append(n.lines, line)
		}
		n.become(c)
	}
}

// fired reports which modes change, all of them in step.
func (n *narrator) fired(st *reach.Step) {
	s := n.t.System
	var cs []reach.Change
	for _, f := range st.Fired {
		v := s.reach.Machines[f.Machine].Var
		i := s.role(v).Index
		m := &s.d.Machines[i]
		tr := &m.Transitions[s.transition(i, f.Transition)]
		if from, to := s.Mode(n.at, model.MachineID(i)), m.Modes[tr.To].Name; from != to {
			n.lines = append(n.lines, diag.Line{Text: fmt.Sprintf("%s goes from %s to %s", m.Path, from, to), Place: tr.Place,
				Events: []diag.Event{{Kind: diag.OfMachine, Index: i, To: tr.To}}})
		}
		to := s.reach.Machines[f.Machine].Transitions[f.Transition].To
		cs = append(cs, reach.Change{Var: v, From: int(n.at[v]), To: to})
	}
	n.become(cs...)
}

// own is the change, among those of the first settling of a step in which the time of a timer
// passes, of the phase of that timer, which the line of the step tells; -1 where its phase is
// no piece of hardware.
func (t *Trace) own(st *reach.Step) int {
	s := t.System
	if st.Move.Kind != reach.MoveElapse || s.role(st.Move.Var).Kind != RoleTimerHelp {
		return -1
	}
	own := s.must(Role{Kind: RoleTimer, Index: s.role(st.Move.Var).Index})
	return slices.IndexFunc(st.Settled, func(c reach.Change) bool { return c.Var == own })
}

// elapsed is what a timer comes to by the passing of its time, in a step that is that.
func (t *Trace) elapsed(st *reach.Step) (to int, ok bool) {
	if st.Move.Kind != reach.MoveElapse {
		return 0, false
	}
	if t.System.role(st.Move.Var).Kind == RoleTimer {
		return st.Move.To, true
	}
	if i := t.own(st); i >= 0 {
		return st.Settled[i].To, true
	}
	return 0, false
}

// before is the state before step i.
func (t *Trace) before(i int) logic.Point {
	if i == 0 {
		return t.Initial
	}
	return t.Steps[i-1].After
}

// startText says where the inputs that matter stand at first.
func (t *Trace) startText() string {
	s := t.System
	var parts []string
	for _, v := range t.Vars {
		switch s.role(v).Kind {
		case RoleQuantity:
			q := &s.d.Quantities[s.role(v).Index]
			parts = append(parts, q.Path+" "+q.Start.String())
		case RoleSetting, RoleFree, RoleStuck, RoleShorted:
			parts = append(parts, s.Value(t.Start, v))
		}
	}
	return strings.Join(parts, ", ")
}

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

// covers reports whether the trace gives every variable of e a value that means something.
func (t *Trace) covers(e *logic.Expr) bool {
	for _, v := range e.Vars() {
		if _, ok := slices.BinarySearch(t.Vars, v); !ok {
			return false
		}
	}
	return true
}

// telling is something derived that is worth telling when it changes.
type derivedFact struct {
	expr    *logic.Expr
	yes, no string
	place   diag.Place
	of      diag.Event // To: what it is while expr is true
}

// event is what it comes to.
func (t *derivedFact) event(to int) diag.Event {
	e := t.of
	if e.Kind != diag.OfResult {
		e.To = to
	}
	return e
}

// told lists what is derived and known already: nothing is worked out for a story.
func (s *System) derived() []derivedFact {
	if s.derivedFacts != nil {
		return s.derivedFacts
	}
	d := s.d
	out := []derivedFact{}
	add := func(c *model.Cond, yes, no string, at diag.Place, of diag.Event) {
		if c == nil {
			return
		}
		if m, ok := s.meanings[c]; ok && !s.doubtful(m.expr) {
			out = append(out, derivedFact{m.expr, yes, no, at, of})
		}
	}
	for i := range d.Drivers {
		v := &d.Drivers[i]
		if v.Element == model.None {
			continue
		}
		add(d.Elements[v.Element].Closed, v.Path+" switches on", v.Path+" switches off", v.Place, diag.Event{Kind: diag.OfDriver, Index: i})
	}
	for i := range d.Passages {
		p := &d.Passages[i]
		add(p.Open, p.Path+" opens", p.Path+" closes", p.Place, diag.Event{Kind: diag.OfPassage, Index: i})
	}
	for i := range d.Results {
		r := &d.Results[i]
		for k, row := range r.Rows {
			add(row.When, r.Path+" becomes "+row.Name, "", row.Place, diag.Event{Kind: diag.OfResult, Index: i, To: k})
		}
	}
	s.derivedFacts = out
	return out
}

// openFuses lists the fuses, by index in Design.Fuses, that are among switches that are open.
func (s *System) openFuses(stands []diag.Event) (out []int) {
	for i := range s.d.Memories {
		m := &s.d.Memories[i]
		if m.MemKind == model.MemFuse && slices.Contains(stands, diag.Event{Kind: diag.OfElement, Index: int(s.d.Fuses[m.Of].Element)}) {
			out = append(out, m.Of)
		}
	}
	return out
}

// Blown lists the fuses, by index in Design.Fuses, that have blown when the trace has come to
// its end: in a system in which they do.
func (t *Trace) Blown() []int {
	var out []int
	for i := range t.System.d.Memories {
		m := &t.System.d.Memories[i]
		if m.MemKind != model.MemFuse {
			continue
		}
		if v, ok := t.System.byRole[Role{Kind: RoleMemory, Index: i}]; ok {
			if e := t.System.space.Is(v, 1); t.covers(e) && t.Holds(e) {
				out = append(out, m.Of)
			}
		}
	}
	return out
}

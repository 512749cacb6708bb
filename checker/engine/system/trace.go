package system

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/diag"
	"pintle/lang/model"
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

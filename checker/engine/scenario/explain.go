package scenario

import (
	"fmt"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Bounds on an explanation: how deep it goes and how many causes stand beside one
// another. More than that nobody reads.
const (
	mostDepth = 24
	mostWide  = 4
)

// explainer collects the lines of one explanation.
type explainer struct {
	*moment
	lines []diag.Line
	seen  map[string]bool
	facts []diag.Event // that the next line tells
}

// Explain tells why a condition is not what was wanted, as a chain of causes: each line
// because of the next, deeper ones indented by two spaces. It is empty where the
// condition is as wanted.
func (m *moment) Explain(c *model.Cond, want bool) []diag.Line {
	x := &explainer{moment: m, seen: map[string]bool{}}
	x.cond(c, want, 0)
	return x.lines
}

// say adds a line, once; it reports whether to go on with its causes.
func (x *explainer) say(depth int, at diag.Place, format string, args ...any) bool {
	text := fmt.Sprintf(format, args...)
	numbers, facts := x.read, x.facts
	x.read, x.facts = nil, nil
	if x.seen[text] {
		return false
	}
	x.seen[text] = true
	x.lines = append(x.lines, diag.Line{Text: strings.Repeat("  ", depth) + text, Place: at, Numbers: numbers, Facts: facts})
	return depth+1 < mostDepth
}

// is adds to the next line that something stands so.
func (x *explainer) is(kind diag.ThingKind, index, to int) {
	x.facts = append(x.facts, diag.Event{Kind: kind, Index: index, To: to})
}

func (x *explainer) cond(c *model.Cond, want bool, depth int) {
	if c == nil || depth >= mostDepth || x.eval(c) != truth(!want) {
		return
	}
	if _, stuck := x.holds.Of(c); stuck {
		x.say(depth, c.Place, "%s, whatever moves it: it is stuck", x.asItIs(c))
		return
	}
	switch c.Op {
	case model.CondNot:
		x.cond(c.Kids[0], !want, depth)
	case model.CondAnd, model.CondOr:
		// Of an `and` that is wanted each false part is a cause, and of an `or` all are;
		// either way those parts that are not as wanted.
		told, left := 0, 0
		for _, k := range c.Kids {
			switch {
			case x.eval(k) != truth(!want):
			case told < mostWide:
				x.cond(k, want, depth)
				told++
			default:
				left++
			}
		}
		if left > 0 {
			x.others(depth, left)
		}
	case model.CondAtom:
		x.atom(c, want, depth)
	}
}

func (x *explainer) atom(c *model.Cond, want bool, depth int) {
	d, s, a := x.design, x.s, &c.Atom
	switch a.Kind {
	case model.AtomSetting:
		set := &d.Settings[a.Index]
		x.is(diag.OfSetting, a.Index, s.Settings[a.Index])
		x.say(depth, set.NamePlace, "%s is %s", set.Path, set.Positions[s.Settings[a.Index]])
	case model.AtomQuantity:
		x.say(depth, d.Quantities[a.Index].NamePlace, "%s is %s", d.Quantities[a.Index].Path, x.level(a.Index))
	case model.AtomReading:
		x.readingCause(a, depth)
	case model.AtomMemory:
		x.memory(a, want, depth)
	case model.AtomMachine:
		mc := &d.Machines[a.Index]
		x.is(diag.OfMachine, a.Index, s.Machines[a.Index])
		if x.say(depth, mc.NamePlace, "%s stands in %s", mc.Path, mc.Modes[s.Machines[a.Index]].Name) {
			x.transition(a, want, depth+1)
		}
	case model.AtomTimer:
		x.timer(a, want, depth)
	case model.AtomBeat:
		b, r := &d.Beats[a.Index], s.Rhythms[a.Index]
		if x.say(depth, b.NamePlace, "%s is %s", b.Path, onOff(r.Running && !r.Second)) && !r.Running {
			x.cond(b.While, true, depth+1)
		}
	case model.AtomCondition:
		n := &d.Conditions[a.Index]
		if x.say(depth, n.NamePlace, "%s is %s", n.Path, trueFalse(!want)) {
			x.cond(n.Cond, want, depth+1)
		}
	case model.AtomResult:
		if x.say(depth, d.Results[a.Index].NamePlace, "%s", x.standing(c)) {
			x.rows(a, want, depth+1)
		}
	case model.AtomFed, model.AtomVented, model.AtomNeither:
		x.portCause(c, want, depth)
	default:
		if circuit.Electrical(a.Kind) {
			x.electricCause(c, want, depth)
			return
		}
		x.say(depth, c.Place, "%s", x.standing(c))
	}
}

// rows goes into the first row that would make a result what was wanted.
func (x *explainer) rows(a *model.Atom, want bool, depth int) {
	for _, r := range a.In {
		x.cond(x.design.Results[a.Index].Rows[r].When, want, depth)
		return
	}
}

func (x *explainer) level(q int) string {
	l := x.s.Quantities[q]
	v := unit.FromBase(l.N, x.design.Quantities[q].Lo.Unit).String()
	return [...]string{"just below " + v, v, "just above " + v}[l.Nudge+1]
}

func (x *explainer) readingCause(a *model.Atom, depth int) {
	r := &x.design.Readings[a.Index]
	if x.shorted(r) == True {
		x.say(depth, r.NamePlace, "%s reads anything: its wire is shorted", r.Path)
		return
	}
	for _, sid := range r.Senders {
		sn := &x.design.Senders[sid]
		if x.silent[sid] {
			x.say(depth, r.NamePlace, "%s reads nothing: %s is silent", r.Path, sn.Path)
			continue
		}
		if x.electrical(&model.Atom{Kind: model.AtomJoined, Index: int(r.Pin), Other: int(sn.Pin)}) == True {
			x.say(depth, sn.NamePlace, "%s reads %s from %s: %s", r.Path, x.design.Quantities[sn.Quantity].Path, sn.Path, x.level(int(sn.Quantity)))
			return
		}
	}
	x.say(depth, r.NamePlace, "%s is joined to no sender and counts as %s", r.Path, r.CountsAs)
}

// memory tells why a memory is in the state that it is in: because the rule that would
// take it to a wanted state does not apply.
func (x *explainer) memory(a *model.Atom, want bool, depth int) {
	mem := &x.design.Memories[a.Index]
	state := x.s.Memories[a.Index]
	if mem.MemKind == model.MemFollow && len(mem.Rules) > 0 {
		// A follower has no name of its own: what it follows is the cause.
		x.cond(mem.Rules[0].When, want == (len(a.In) != 1 || a.In[0] == 1), depth)
		return
	}
	x.is(diag.OfMemory, a.Index, state)
	if !x.say(depth, mem.NamePlace, "%s", memoryState(mem, state)) {
		return
	}
	wanted := func(to int) bool { return (among(a.In, to) == True) == want }
	for _, r := range mem.Rules {
		if wanted(r.To) && (r.From == nil || among(r.From, state) == True) {
			x.cond(r.When, true, depth+1)
			return
		}
	}
}

func (x *explainer) timer(a *model.Atom, want bool, depth int) {
	t, c := &x.design.Timers[a.Index], x.s.Clocks[a.Index]
	text := timerText(x.design, t, c.Phase)
	switch {
	case c.Phase == model.TimerRunning && c.Until == 0: // since when is not known
	case c.Phase == model.TimerRunning && t.InLast:
		text += ", until " + Clocktime(c.Until)
	case c.Phase == model.TimerRunning:
		text += fmt.Sprintf(", from %s until %s", Clocktime(c.Began), Clocktime(c.Until))
	case c.Phase == model.TimerDone && c.Ran && !t.Lowered:
		text += fmt.Sprintf(": it began at %s and was over at %s", Clocktime(c.Began), Clocktime(c.Until))
	}
	switch {
	case !x.say(depth, t.NamePlace, "%s", text):
	case want && c.Phase == model.TimerIdle:
		x.cond(t.Run, true, depth+1)
	case !want && !t.Starts && !t.InLast && c.Phase != model.TimerIdle, t.InLast && c.Phase == model.TimerDone: // it follows what runs it
		x.cond(t.Run, false, depth+1)
	}
}

// transition goes into the first transition that would take a machine from its mode to one
// that is wanted.
func (x *explainer) transition(a *model.Atom, want bool, depth int) {
	m := &x.design.Machines[a.Index]
	for i := range m.Transitions {
		t := &m.Transitions[i]
		if (among(a.In, t.To) == True) == want && among(t.From, x.s.Machines[a.Index]) == True {
			x.cond(t.When, true, depth)
			return
		}
	}
}

func trueFalse(b bool) string {
	if b {
		return "true"
	}
	return "false"
}

func memoryState(m *model.Memory, state int) string {
	switch m.MemKind {
	case model.MemThreshold:
		return m.Path + " is " + [...]string{"clear", "set"}[min(state, 1)]
	case model.MemPowered:
		return m.Path + " is " + [...]string{"without power", "powered"}[min(state, 1)]
	}
	return m.Path + " is " + m.States[state]
}

package states

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/reach"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func hunting() rule.Rule {
	return rule.Rule{
		Name:     "hunting",
		Severity: diag.Error,
		Summary:  "relays, thresholds or levels that go on switching and never settle",
		Why:      "it buzzes, burns its contacts, and what it feeds is neither on nor off",
		Doc:      pages.Of("hunting"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			hunts, err := p.System().Hunts(p.Ctx)
			p.StopOn(err)
			for _, h := range hunts {
				reportHunt(p, h)
			}
			loops, err := p.System().Livelocks(p.Ctx)
			p.StopOn(err)
			for _, l := range loops {
				reportLoop(p, l)
			}
		},
	}
}

// setsAndClears tells of a memory whether it is a threshold with values at which it does
// both: that is said of the threshold, and with it everything hunts that follows it.
func setsAndClears(d *model.Design) func(model.MemoryID) bool {
	return func(id model.MemoryID) bool {
		m := &d.Memories[id]
		return m.MemKind == model.MemThreshold && d.Thresholds[m.Of].Overlaps()
	}
}

func reportHunt(p *rule.Pass, h system.Hunt) {
	if slices.ContainsFunc(h.Memories, setsAndClears(p.Design)) {
		return
	}
	var things []*model.Info
	var names []string
	for _, id := range h.Memories {
		m := &p.Design.Memories[id]
		// A follower is no thing of its own.
		if m.MemKind != model.MemFollow || len(h.Memories) == 1 {
			things, names = append(things, &m.Info), append(names, m.Path)
		}
	}
	if things == nil { // timers that do so by themselves
		for _, i := range h.Timers {
			t := &p.Design.Timers[i]
			things, names = append(things, &t.Info), append(names, timerCalled(p.Design, t))
		}
	}
	if things == nil {
		return
	}
	first := things[0]
	var related []diag.Related
	for _, t := range things[1:] {
		related = append(related, diag.Related{Place: t.NamePlace, Note: "switches with it"})
	}
	what := names[0] + " goes on switching and never settles"
	if len(names) > 1 {
		what = strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1] + " go on switching and never settle"
	}
	round, err := p.System().Round(p.Ctx, h)
	p.StopOn(err)
	p.Report(diag.Finding{Place: evidence.Site(p.Design, first), Subject: first.Path, Message: what,
		Help:     "it must not undo the condition that switches it; write a flasher as a `beat`",
		Related:  related,
		Evidence: append(evidence.Moves("", h.Trace), theRound(round)...)})
}

func reportLoop(p *rule.Pass, l system.Livelock) {
	var turning []*model.Machine
	for _, st := range l.Cycle {
		for _, f := range st.Fired {
			if f.Machine < len(p.Design.Machines) {
				if m := &p.Design.Machines[f.Machine]; !slices.Contains(turning, m) {
					turning = append(turning, m)
				}
			}
		}
	}
	if len(turning) == 0 {
		return
	}
	p.Report(diag.Finding{Place: turning[0].NamePlace, Subject: turning[0].Path,
		Message:  fmt.Sprintf("%s cycles through its modes although nothing moves", turning[0].Path),
		Help:     "let a mode that is entered stay until something changes",
		Evidence: append(evidence.Moves("", l.Trace), theRound(p.System().Turns(l))...)})
}

// theRound is what goes on and on from where a trace ends.
func theRound(lines []diag.Line) []diag.Evidence {
	if len(lines) == 0 {
		return nil
	}
	return []diag.Evidence{{Kind: diag.Trace, Title: "the round that it goes then", Lines: lines}}
}

// timerCalled is how people call a timer: one that stands for a duration in a condition
// has no name.
func timerCalled(d *model.Design, t *model.Timer) string {
	if t.Lowered {
		return "`" + d.Words(t.Run) + "` with its duration"
	}
	return t.Path
}

func timedCycle() rule.Rule {
	return rule.Rule{
		Name:     "timed-cycle",
		Severity: diag.Warning,
		Summary:  "something that timers alone switch on and off for ever, without a `beat`",
		Why:      "an unintended rhythm wears contacts out, and an intended one should be written as such",
		Doc:      pages.Of("timed-cycle"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			if len(p.Design.Timers) == 0 {
				return
			}
			cycles, err := p.System().TimedCycles(p.Ctx)
			p.StopOn(err)
			for _, c := range cycles {
				reportCycle(p, c)
			}
		},
	}
}

func reportCycle(p *rule.Pass, c system.Livelock) {
	var timers []*model.Timer
	for _, st := range c.Cycle {
		r := p.System().Role(st.Move.Var)
		if st.Move.Kind != reach.MoveElapse || r.Kind != system.RoleTimer && r.Kind != system.RoleTimerHelp {
			continue
		}
		if t := &p.Design.Timers[r.Index]; !slices.Contains(timers, t) {
			timers = append(timers, t)
		}
	}
	if len(timers) == 0 {
		return
	}
	f := diag.Finding{Place: timers[0].NamePlace, Subject: timers[0].Path,
		Message:  timerCalled(p.Design, timers[0]) + " starts itself again and again",
		Help:     "write an intended rhythm as a `beat`; else break the ring",
		Evidence: append(evidence.Moves("", c.Trace), theRound(p.System().Turns(c))...)}
	for _, t := range timers[1:] {
		f.Related = append(f.Related, diag.Related{Place: t.NamePlace, Note: "runs out in the same round"})
	}
	p.Report(f)
}

func race() rule.Rule {
	return rule.Rule{
		Name:     "race",
		Severity: diag.Warning,
		Summary:  "an outcome that depends on which of two elements is faster",
		Why:      "it works on one vehicle and not on the next, or with a new relay and not with an old one",
		Doc:      pages.Of("race"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			races, err := p.System().Races(p.Ctx)
			p.StopOn(err)
			for _, r := range races {
				reportRace(p, r)
			}
		},
	}
}

func reportRace(p *rule.Pass, r system.Race) {
	one, other := memoryOf(p, r.First), memoryOf(p, r.Second)
	if one == nil || other == nil {
		return // one of them is no hardware with a name
	}
	ev := evidence.Passing("", r.Trace)
	for i := range ev { // a drive takes one of the orders
		ev[i].State.Near = append(ev[i].State.Near, "a drive takes one of the two to be faster")
	}
	ev = append(ev, diag.Evidence{Kind: diag.Values, Title: "the outcome", Lines: []diag.Line{
		{Text: fmt.Sprintf("if %s is faster: %s", one.Path, ending(p, r.First, r.AfterFirst)), Place: one.NamePlace},
		{Text: fmt.Sprintf("if %s is faster: %s", other.Path, ending(p, r.Second, r.AfterSecond)), Place: other.NamePlace},
	}})
	p.Report(diag.Finding{Place: evidence.Site(p.Design, &one.Info), Subject: one.Path,
		Message:  fmt.Sprintf("the outcome depends on which is faster, %s or %s", one.Path, other.Path),
		Help:     "let one of them wait for the other: feed it through the other's contact, or give it a time",
		Related:  []diag.Related{{Place: other.NamePlace, Note: "the other one"}},
		Evidence: ev})
}

// memoryOf is the memory that a change is about, or nil.
func memoryOf(p *rule.Pass, c reach.Change) *model.Memory {
	if r := p.System().Role(c.Var); r.Kind == system.RoleMemory {
		return &p.Design.Memories[r.Index]
	}
	return nil
}

// ending tells where hardware comes to: the last state of everything that changed.
func ending(p *rule.Pass, first reach.Change, after []reach.Change) string {
	var order []*model.Memory
	last := map[*model.Memory]int{}
	for _, c := range append([]reach.Change{first}, after...) {
		m := memoryOf(p, c)
		if m == nil || m.MemKind == model.MemFollow {
			continue
		}
		if _, seen := last[m]; !seen {
			order = append(order, m)
		}
		last[m] = c.To
	}
	words := make([]string, len(order))
	for i, m := range order {
		words[i] = m.Path + " is " + m.States[last[m]]
	}
	return strings.Join(words, ", ")
}

func bothWindings() rule.Rule {
	return rule.Rule{
		Name:     "both-windings",
		Severity: diag.Warning,
		Summary:  "the set and the release winding of a latching armature are energised at once",
		Why:      "chance decides which one wins, and both get hot",
		Doc:      pages.Of("both-windings"),
		Needs:    rule.States,
		Run: func(p *rule.Pass) {
			for i := range p.Design.Armatures {
				a := &p.Design.Armatures[i]
				if a.Latching && !a.Broken && a.Memory != model.None {
					both(p, a)
				}
			}
		},
	}
}

func both(p *rule.Pass, a *model.Armature) {
	v, occurs, known := possible(p, a.NamePlace, a.Path,
		system.All(system.On(pulls(p.Design, a.Set)), system.On(pulls(p.Design, a.Release))), atRest(p))
	if !known || !occurs {
		return
	}
	p.Report(diag.Finding{Place: evidence.Site(p.Design, &a.Info), Subject: a.Path,
		Message:  fmt.Sprintf("both windings of %s can be energised at once", a.Path),
		Help:     "let what feeds the one shut off the other",
		Related:  []diag.Related{{Place: p.Design.Coils[a.Set].NamePlace, Note: "sets it"}, {Place: p.Design.Coils[a.Release].NamePlace, Note: "releases it"}},
		Evidence: evidence.Moves("", v.Trace)})
}

// pulls is where a winding of a latching armature has the volts to move it.
func pulls(d *model.Design, id model.CoilID) *model.Cond {
	k := &d.Coils[id]
	return &model.Cond{Op: model.CondAtom, Place: k.Place, Atom: ask.Compared(ask.VoltsAcross(k.A, k.B), model.AtLeast, k.PullIn.Float64())}
}

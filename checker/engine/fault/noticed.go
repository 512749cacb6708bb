package fault

import (
	"context"
	"fmt"
	"strings"

	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// Names of what watches whether a fault is noticed.
const (
	noticedName = "noticed!"
	armedName   = "armed!"
)

// Noticing is the answer to a claim that faults are noticed.
type Noticing struct {
	Outcome Outcome
	Why     string
	// Missed are the faults that change something and are not noticed in time.
	Missed []Failure
	// Idle are those that change nothing in any state that can be reached.
	Idle []Fault
	// Beyond are those that short a supply; what comes after is not looked at.
	Beyond []Fault
	// Tried counts the faults that are meant.
	Tried int
}

// Meant lists the faults that a claim means.
func (s *Sweep) Meant(n *model.Notice) []Fault {
	if n.Of == "" {
		return s.named(n.Only).faults
	}
	var out []Fault
	for i := range s.faults {
		f := &s.faults[i]
		meant := f.Subject == n.Of || strings.HasPrefix(f.Subject, n.Of+".")
		for k := range n.But {
			meant = meant && !s.is(f, &n.But[k])
		}
		if meant {
			out = append(out, *f)
		}
	}
	return out
}

// Noticed answers a claim that faults are noticed, by its index in Design.Notices: with each of
// the faults that changes anything, on every way that the design can go from then on, what is
// to show shows in some state at rest before what it has to come before next comes, or at that
// moment. A fault changes something if in some state at rest that is reached with it something
// that the design decides, a level of a load or a port is otherwise than without it.
func (s *Sweep) Noticed(ctx context.Context, index int) (Noticing, error) {
	n := &s.d.Notices[index]
	faults := s.Meant(n)
	out := Noticing{Outcome: Holds, Tried: len(faults)}
	groups := Groups(s.d, faults)
	if s.opts.MaxFaults > 0 && len(groups) > s.opts.MaxFaults {
		out.Outcome, out.Why = Undecided, fmt.Sprintf("%d single faults have different effects, more than the %d that are tried", len(groups), s.opts.MaxFaults)
		return out, nil
	}
	type found struct {
		answer
		idle bool
	}
	got := make([]found, len(groups))
	err := s.each(ctx, len(groups), func(ctx context.Context, g int) error {
		a := &got[g]
		w, err := s.inject(ctx, s.d, &faults[groups[g][0]], false)
		if err != nil {
			a.why = err.Error()
			return nil
		}
		bad := w.watch(index)
		sys, err := w.whole(ctx, s.opts, bad)
		if err != nil {
			return err
		}
		asked := system.On(bad)
		if w.Shorted != nil {
			asked = system.All(asked, system.Not(system.On(w.Shorted)))
			if a.beyond, err = sys.burning(ctx); err != nil {
				return err
			}
		}
		if a.verdict, err = sys.PossibleHere(ctx, asked); err != nil {
			return err
		}
		switch a.verdict.Outcome {
		case system.Holds:
			a.verdict.Outcome = system.Fails
		case system.Fails:
			if a.verdict, err = sys.Never(ctx, asked); err != nil {
				return err
			}
		}
		if o := a.verdict.Outcome; o != system.Fails && o != system.HoldsNominally {
			return nil
		}
		changes, known, err := w.makesOdds(ctx, sys)
		if err != nil {
			return err
		}
		if !changes {
			if a.idle = known; !known {
				a.verdict.Outcome, a.why = system.Unknown, "whether it changes anything could not be found out"
			}
			return nil
		}
		a.system = sys
		if a.verdict.Trace != nil {
			a.moves = sys.Lines(a.verdict.Trace)
		}
		return nil
	})
	if err != nil {
		return out, err
	}
	for g := range got {
		a := &got[g]
		var group []Fault
		for _, i := range groups[g] {
			group = append(group, faults[i])
		}
		if a.beyond {
			out.Beyond = append(out.Beyond, group...)
		}
		why := a.why
		switch o := a.verdict.Outcome; {
		case a.idle:
			out.Idle = append(out.Idle, group...)
		case o == system.Fails || o == system.HoldsNominally:
			f := Failure{Faults: group, Moves: a.moves, Corner: a.verdict.Corner, Verdict: a.verdict, System: a.system}
			if a.verdict.Trace != nil {
				f.Length = len(a.verdict.Trace.Steps)
			}
			out.Missed = append(out.Missed, f)
		case o == system.Undecided:
			why = a.verdict.Why
		case a.verdict.NominalOnly:
			why = "it is noticed at nominal values; " + a.verdict.Why
		case o == system.Unknown && why == "":
			why = "something that it depends on could not be read"
		}
		if why != "" && out.Why == "" {
			out.Why = fmt.Sprintf("with %s: %s", group[0].Words, why)
		}
	}
	switch {
	case out.Missed != nil:
		out.Outcome = Fails
	case out.Why != "":
		out.Outcome = Undecided
	}
	return out, nil
}

// whole makes the system of a injected design with everything in it.
func (w *Faulted) whole(ctx context.Context, opts Options, also ...*model.Cond) (*System, error) {
	also = append(also, w.observed()...)
	s, err := system.Build(ctx, w.Design, system.Options{MaxNodes: opts.MaxNodes, MaxZones: opts.MaxZones, Memo: opts.Memo, Also: also})
	if err != nil {
		return nil, err
	}
	return &System{Faulted: w, System: s}, nil
}

// watch adds what remembers, from rest to rest, whether what is to show has shown since the
// fault came, and whether what it has to come before was away since. It returns where a fault
// has not been noticed in time.
func (w *Faulted) watch(index int) *model.Cond {
	d := w.Design
	n := &d.Notices[index]
	shows := n.Shows
	if shows == nil {
		shows = model.False
	}
	bad := []*model.Cond{w.Failed, model.Not(shows), w.since(noticedName, model.And(w.Failed, shows), 0)}
	if n.Before != nil {
		bad = append(bad, n.Before, w.since(armedName, model.And(w.Failed, model.Not(n.Before)), 1))
	}
	if n.Refuses != nil {
		bad = append(bad, n.Refuses)
	}
	return model.And(bad...)
}

// since adds a machine that remembers whether a condition has held in a state at rest before
// the last move, and returns where it is in the mode of that number: 0 never, 1 once.
func (w *Faulted) since(name string, c *model.Cond, mode int) *model.Cond {
	d := w.Design
	edge := len(d.Edges)
	d.Edges = append(append([]model.Edge(nil), d.Edges...), model.Edge{Of: c, Place: w.Fault.Place})
	at := func(k model.EdgeKind) *model.Cond {
		return &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomEdge, Index: edge, Edge: k}}
	}
	machine := len(d.Machines)
	d.Machines = append(append([]model.Machine(nil), d.Machines...), model.Machine{
		Info: w.info(name, "modes"), Controller: model.None,
		Modes:       []model.Mode{{Info: w.info(name+" no", "mode")}, {Info: w.info(name+" yes", "mode")}},
		Transitions: []model.Transition{{From: []int{0}, To: 1, When: model.Or(at(model.Ends), at(model.Stays)), Place: w.Fault.Place}},
	})
	return &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMachine, Index: machine, In: []int{mode}}}
}

// runsAt is the share of its rated volts from which a load without named levels runs: 10 %, common
// practice, no source.
const runsAt = 10

// observed lists what can be seen of a injected design: levels of loads, ports, and what decides.
func (w *Faulted) observed() []*model.Cond {
	d := w.Design
	var out []*model.Cond
	atom := func(a model.Atom) {
		out = append(out, w.Of(&model.Cond{Op: model.CondAtom, Atom: a}))
	}
	for i := range w.sound.Loads {
		l := &w.sound.Loads[i]
		levels := l.Levels
		if len(levels) == 0 {
			levels = []model.Level{{Percent: runsAt}}
		}
		for _, v := range levels {
			if l.Broken || l.Rated <= 0 {
				break
			}
			atom(model.Atom{
				Kind: model.AtomMeasure, Cmp: model.AtLeast, Level: model.Exactly(l.Rated * v.Percent / 100),
				Measure: model.Measure{Kind: model.AbsVolts, A: l.A, B: l.B, Element: l.Element, Load: model.LoadID(i), LevelName: v.Name},
			})
		}
	}
	for i := range w.sound.Ports {
		if !w.sound.Ports[i].Broken {
			atom(model.Atom{Kind: model.AtomFed, Index: i})
			atom(model.Atom{Kind: model.AtomVented, Index: i})
		}
	}
	for i := range d.Memories {
		if model.MemoryID(i) != w.latch {
			for _, r := range d.Memories[i].Rules {
				out = append(out, r.When)
			}
		}
	}
	for i := range w.sound.Machines {
		m := &d.Machines[i]
		for _, t := range m.Transitions {
			out = append(out, t.When)
		}
		out = append(out, m.Reset)
	}
	for i := range d.Timers {
		t := &d.Timers[i]
		out = append(out, t.Run, t.Stop)
		for _, k := range t.Cases {
			out = append(out, k.When)
		}
	}
	for i := range d.Drivers {
		out = append(out, d.Drivers[i].When)
	}
	for i := range d.Origins {
		out = append(out, d.Origins[i].Present)
	}
	for i := range d.Requirements {
		out = append(out, d.Requirements[i].A, d.Requirements[i].B)
	}
	for i := range d.Symptoms {
		out = append(out, d.Symptoms[i].Cond)
	}
	for i := range d.Notices {
		out = append(out, d.Notices[i].Shows, d.Notices[i].Refuses, d.Notices[i].Before)
	}
	kept := out[:0]
	for _, c := range out {
		if c != nil && c.Known() {
			kept = append(kept, c)
		}
	}
	return kept
}

// makesOdds reports whether the fault changes anything that can be seen; known is false where
// that could not be found out.
func (w *Faulted) makesOdds(ctx context.Context, sys *System) (changes, known bool, err error) {
	var conds []system.Condition
	for _, c := range w.observed() {
		conds = append(conds, system.On(c))
	}
	which, unknown, err := sys.Differs(ctx, conds, w.latch)
	return which >= 0, !unknown, err
}

// Changes reports whether a fault changes anything in some state that can be reached with it.
func (s *Sweep) Changes(ctx context.Context, f *Fault) (changes, known bool, err error) {
	w, err := s.inject(ctx, s.d, f, false)
	if err != nil {
		return false, false, nil
	}
	sys, err := w.whole(ctx, s.opts)
	if err != nil {
		return false, false, err
	}
	return w.makesOdds(ctx, sys)
}

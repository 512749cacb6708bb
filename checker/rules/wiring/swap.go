package wiring

import (
	"cmp"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/lang/model"
)

// with is the system with some faults all the time.
func (v *view) withFaults(faults circuit.Overlay) *system.System {
	s, err := system.Build(v.p.Ctx, v.d, system.Options{
		Faults: faults, MaxNodes: v.p.Limits.Nodes, MaxZones: v.p.Limits.Zones, Memo: v.p.Memo,
	})
	v.p.StopOn(err)
	return s
}

// violated lists the requirements that hold, but do not with some faults, and leads to where the
// first of them fails.
func (v *view) violated(faults circuit.Overlay) (out []*model.Requirement, trace *system.Trace) {
	var other *system.System
	for i := range v.d.Requirements {
		r := &v.d.Requirements[i]
		if r.Broken || v.p.Verdict(i).Outcome != system.Holds {
			continue
		}
		if other == nil {
			other = v.withFaults(faults)
		}
		got, err := other.Decide(v.p.Ctx, r)
		v.p.StopOn(err)
		if got.Outcome == system.Fails {
			if out = append(out, r); len(out) == 1 {
				trace = got.Trace
			}
		}
	}
	return out, trace
}

// symptoms lists those that show with some faults and never without, and leads to where the first
// of them does.
func (v *view) symptoms(faults circuit.Overlay) (out []*model.Symptom, trace *system.Trace) {
	var other *system.System
	for i := range v.d.Symptoms {
		s := &v.d.Symptoms[i]
		if s.Broken || !s.Cond.Known() {
			continue
		}
		sound, err := v.p.System().PossibleHere(v.p.Ctx, system.On(s.Cond))
		v.p.StopOn(err)
		if sound.Outcome != system.Fails {
			continue
		}
		if other == nil {
			other = v.withFaults(faults)
		}
		got, err := other.PossibleHere(v.p.Ctx, system.On(s.Cond))
		v.p.StopOn(err)
		if got.Outcome == system.Holds {
			if out = append(out, s); len(out) == 1 {
				trace = got.Trace
			}
		}
	}
	return out, trace
}

// visible is something that a person can notice, or that decides what one can: that a
// thing is something.
type visible struct {
	cond       *model.Cond
	path, what string
}

// visibles lists what is compared when connectors have been changed over.
func (v *view) visibles() []visible {
	var out []visible
	add := func(i *model.Info, what string, a model.Atom) {
		if !i.Broken {
			out = append(out, visible{&model.Cond{Op: model.CondAtom, Atom: a}, i.Path, what})
		}
	}
	remembers := func(i *model.Info, what string, m model.MemoryID) {
		if m != model.None && !v.d.Memories[m].Broken {
			add(i, what, model.Atom{Kind: model.AtomMemory, Index: int(m), In: []int{1}})
		}
	}
	for i := range v.d.Loads {
		l := &v.d.Loads[i]
		level := func(percent float64, what string) {
			add(&l.Info, what, ask.Compared(ask.VoltsAcross(l.A, l.B), model.AtLeast, percent/100*l.Rated))
		}
		for _, at := range l.Levels {
			level(at.Percent, at.Name)
		}
		if len(l.Levels) == 0 {
			level(100*works, "at work")
		}
	}
	for i := range v.d.Coils {
		remembers(&v.d.Coils[i].Info, "energised", v.d.Coils[i].Memory)
	}
	for i := range v.d.Armatures {
		remembers(&v.d.Armatures[i].Info, "energised", v.d.Armatures[i].Memory)
	}
	for i := range v.d.Controllers {
		remembers(&v.d.Controllers[i].Info, "powered", v.d.Controllers[i].Powered)
	}
	for i := range v.d.Readings {
		if r := &v.d.Readings[i]; !r.Sender {
			remembers(&r.Info, "high", r.Level)
		}
	}
	for i := range v.d.Thresholds {
		remembers(&v.d.Thresholds[i].Info, "set", v.d.Thresholds[i].Memory)
	}
	return append(out, v.rows()...)
}

// rows are the rows of results, by which a design says itself what it is about.
func (v *view) rows() []visible {
	var out []visible
	for i := range v.d.Results {
		r := &v.d.Results[i]
		for j := range r.Rows {
			if !r.Broken && !r.Rows[j].Broken {
				out = append(out, visible{&model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomResult, Index: i, In: []int{j}}}, r.Path, r.Rows[j].Name})
			}
		}
	}
	return out
}

// change is what some faults make different after some moves.
type change struct {
	trace *system.Trace
	first string   // in a sentence
	all   []string // a line each
}

// firstChange looks for the shortest list of moves, of those by which one of the visible
// things first comes about, after which some faults make any of them different. Both
// sides are run in real time.
func (v *view) firstChange(faults circuit.Overlay, seen []visible) *change {
	s := v.at(circuit.Nominal)
	var ways []*system.Trace
	for _, c := range seen {
		got, err := s.PossibleHere(v.p.Ctx, system.On(c.cond))
		v.p.StopOn(err)
		if got.Outcome == system.Holds && got.Trace != nil {
			ways = append(ways, got.Trace)
		}
	}
	slices.SortStableFunc(ways, func(a, b *system.Trace) int { return cmp.Compare(len(a.Steps), len(b.Steps)) })
	for _, way := range ways {
		d, notes := way.AsDrive("as_it_should_be")
		if len(notes) > 0 {
			continue
		}
		if len(d.Steps) == 0 {
			d.Steps = []model.Step{{}}
		}
		end := &d.Steps[len(d.Steps)-1] // seen in this step: what springs back is still held
		for _, c := range seen {
			end.Sees = append(end.Sees, model.See{Cond: c.cond, When: model.AtEnd})
		}
		was, ok1 := v.run(&d, nil)
		is, ok2 := v.run(&d, faults)
		if !ok1 || !ok2 {
			continue
		}
		out := &change{trace: way}
		for i, c := range seen {
			if was[i] == is[i] {
				continue
			}
			line, should := c.path+" is "+c.what, " where it should not be"
			if was[i] {
				line, should = c.path+" is not "+c.what, " where it should be"
			}
			if out.all = append(out.all, line); len(out.all) == 1 {
				out.first = line + should
			}
		}
		if len(out.all) > 0 {
			return out
		}
	}
	return nil
}

// run runs a drive and reports what is seen at its end; false where it could not be run.
func (v *view) run(d *model.Drive, faults circuit.Overlay) ([]bool, bool) {
	got, err := scenario.Run(v.p.Ctx, v.d, d, scenario.Options{Faults: faults})
	if err != nil {
		if v.p.Ctx.Err() != nil {
			v.p.StopOn(v.p.Ctx.Err())
		}
		return nil, false
	}
	last := len(d.Steps) - 1
	out := make([]bool, len(d.Steps[last].Sees))
	for i := range out {
		out[i] = true
	}
	for _, f := range got.Failures {
		if f.Step == last && f.See >= 0 && f.See < len(out) {
			out[f.See] = false
		}
	}
	return out, true
}

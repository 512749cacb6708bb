package rule

import (
	"pintle/checker/engine/fault"
	"pintle/checker/engine/system"
	"pintle/lang/model"
)

var (
	sweeps = Share(func(p *Pass) *fault.Sweep {
		return fault.NewSweep(p.Design, fault.Options{
			MaxNodes: p.Limits.Nodes, MaxZones: p.Limits.Zones, MaxFaults: p.Limits.Faults, Memo: p.Memo,
			Steps: p.Limits.Steps,
		})
	})
	despites = Share(despite)
)

// Faults tries the single faults of the design.
func (p *Pass) Faults() *fault.Sweep { return sweeps.Of(p) }

// Despite is the answer to a requirement, by its index in Design.Requirements, despite any
// one fault. It is false where that is not asked of the requirement, or where it does not
// hold in the sound design to begin with.
func (p *Pass) Despite(i int) (fault.Result, bool) {
	r, ok := need(p, despites)[i]
	return r, ok
}

// DespiteKnown is the same if it was asked for before: trying all faults takes its time.
func (p *Pass) DespiteKnown(i int) (fault.Result, bool) {
	f, ok := despites.known(p)
	if !ok || f.err != nil {
		return fault.Result{}, false
	}
	r, ok := f.it[i]
	return r, ok
}

var noticings = Share(func(*Pass) map[int]fault.Noticing { return map[int]fault.Noticing{} })

// Noticed is the answer to a claim that faults are noticed, by its index in Design.Notices;
// false where it could not be read.
func (p *Pass) Noticed(i int) (fault.Noticing, bool) {
	n := &p.Design.Notices[i]
	for _, c := range []*model.Cond{n.Shows, n.Refuses, n.Before} {
		if n.Broken || c != nil && !c.Known() {
			return fault.Noticing{}, false
		}
	}
	known := noticings.Of(p)
	got, ok := known[i]
	if !ok {
		var err error
		got, err = p.Faults().Noticed(p.Ctx, i)
		p.StopOn(err)
		known[i] = got
	}
	return got, true
}

// despite answers all requirements that are to hold despite any one fault at once: the
// designs in which a fault is injected are then made once for all.
func despite(p *Pass) made[map[int]fault.Result] {
	var asked []int
	for i := range p.Design.Requirements {
		r := &p.Design.Requirements[i]
		if !r.Despite || r.Broken || !r.A.Known() || !r.B.Known() {
			continue
		}
		if v := p.Verdict(i); v.Outcome == system.Holds && !v.NominalOnly {
			asked = append(asked, i)
		}
	}
	out := map[int]fault.Result{}
	if asked == nil {
		return made[map[int]fault.Result]{it: out}
	}
	got, err := sweeps.Of(p).Despite(p.Ctx, asked)
	for k, i := range asked {
		if err == nil {
			out[i] = got[k]
		}
	}
	return build(out, err)
}

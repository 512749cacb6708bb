package fault

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// rewriter replaces atoms in all conditions of a design, keeping shared ones shared.
type rewriter struct {
	atom  func(*model.Cond) *model.Cond // nil, or what it returns is: leave it
	stuck circuit.Stuck                 // what is held so once the fault has come
	since *model.Cond                   // where it has
	known map[*model.Cond]*model.Cond
}

func (r *rewriter) cond(c *model.Cond) *model.Cond {
	if c == nil {
		return nil
	}
	if out, ok := r.known[c]; ok {
		return out
	}
	out := c
	switch c.Op {
	case model.CondAtom:
		if r.atom == nil {
			break
		}
		if x := r.atom(c); x != nil {
			out = x
		}
	case model.CondAnd, model.CondOr, model.CondNot:
		kids := make([]*model.Cond, len(c.Kids))
		for i, k := range c.Kids {
			kids[i] = r.cond(k)
		}
		if !slices.Equal(kids, c.Kids) {
			out = &model.Cond{Op: c.Op, Kids: kids, Place: c.Place, Said: c.Said}
		}
	}
	if is, stuck := r.stuck.Of(c); stuck {
		held := *model.And(out, model.Not(r.since))
		if is {
			held = *model.Or(out, r.since)
		}
		held.Place, held.Said = c.Place, &model.Said{Yes: c.Said.Yes, No: c.Said.No}
		out = &held
	}
	r.known[c] = out
	return out
}

// each clones a table and changes its rows.
func each[T any](list *[]T, f func(*T)) {
	*list = slices.Clone(*list)
	for i := range *list {
		f(&(*list)[i])
	}
}

// design replaces atoms wherever a design decides or claims something of its states: the
// conditions that Design.EachStateCond visits.
func (r *rewriter) design(w *model.Design) {
	do := func(cs ...**model.Cond) {
		for _, c := range cs {
			*c = r.cond(*c)
		}
	}
	each(&w.Elements, func(x *model.Element) { do(&x.Closed) })
	each(&w.Supplies, func(x *model.Supply) { do(&x.While) })
	each(&w.Contacts, func(x *model.Contact) { do(&x.When, &x.Made) })
	each(&w.Drivers, func(x *model.Driver) { do(&x.When, &x.On) })
	each(&w.Origins, func(x *model.Origin) { do(&x.Present) })
	each(&w.Passages, func(x *model.Passage) { do(&x.Open) })
	each(&w.Memories, func(x *model.Memory) { each(&x.Rules, func(y *model.Rule) { do(&y.When) }) })
	each(&w.Machines, func(x *model.Machine) {
		each(&x.Transitions, func(y *model.Transition) { do(&y.When) })
		do(&x.Reset)
	})
	each(&w.Timers, func(x *model.Timer) {
		do(&x.Run, &x.Stop)
		each(&x.Cases, func(y *model.TimerCase) { do(&y.When) })
	})
	each(&w.Beats, func(x *model.Beat) { do(&x.While) })
	each(&w.Edges, func(x *model.Edge) { do(&x.Of) })
	each(&w.Conditions, func(x *model.Named) { do(&x.Cond) })
	each(&w.Results, func(x *model.Result) { each(&x.Rows, func(y *model.ResultRow) { do(&y.When) }) })
	each(&w.Bands, func(x *model.Bands) {
		do(&x.While)
		each(&x.Bands, func(y *model.Band) { do(&y.Claim, &y.In) })
	})
	each(&w.Assumptions, func(x *model.Assumption) { do(&x.Cond) })
	each(&w.Requirements, func(x *model.Requirement) { do(&x.A, &x.B) })
	each(&w.Symptoms, func(x *model.Symptom) { do(&x.Cond) })
	each(&w.Notices, func(x *model.Notice) { do(&x.Shows, &x.Refuses, &x.Before) })
}

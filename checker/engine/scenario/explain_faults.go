package scenario

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// with answers the question of a cure in a circuit with more faults, or with some mended, all
// switches standing as they do. It is false where that can't be solved.
func (w *cure) with(more ...model.FaultAction) (got *circuit.Solution, yes, ok bool) {
	c, err := circuit.New(w.design, append(slices.Clone(w.faults), more...))
	if err != nil {
		return nil, false, false
	}
	q, ok := c.Register(w.atom)
	if !ok {
		return nil, false, false
	}
	infos := c.Switches()
	got, err = c.Solve(w.ctx, func(s circuit.Switch) bool {
		own, switched, conducts := w.circuit.SwitchOf(infos[s].Elements[0])
		return switched && w.sol.Closed(own) || !switched && conducts
	}, w.corner)
	if err != nil {
		return nil, false, false
	}
	yes, err = got.Answer(w.ctx, q)
	return got, yes, err == nil
}

// failed tells of the faults that keep the circuit from what is wanted: each that would do to be
// mended, and where no single one would, all of them, if that would do.
func (w *cure) failed(depth int) (told bool) {
	var things []model.FaultAction
	for _, a := range w.faults.Standing() {
		if !slices.ContainsFunc(things, func(b model.FaultAction) bool { return b.Thing.Kind == a.Thing.Kind && b.Thing.Index == a.Thing.Index }) {
			things = append(things, a)
		}
	}
	say := func(a *model.FaultAction) {
		text := a.Thing.Path + " has failed: " + string(a.Mode)
		switch a.Mode {
		case model.FaultSwapped:
			text = a.Thing.Path + " and " + a.Other.Path + " are swapped"
		case model.FaultBlown:
			text = a.Thing.Path + " is blown"
		}
		w.say(depth, a.Place, "%s", text)
		told = true
	}
	all := make([]model.FaultAction, 0, len(things))
	for i := range things {
		mend := model.FaultAction{Thing: things[i].Thing, Mend: true}
		all = append(all, mend)
		if _, yes, ok := w.with(mend); ok && yes == w.want && len(all) <= mostWide {
			say(&things[i])
		}
	}
	if _, yes, ok := w.with(all...); !told && len(all) > 1 && ok && yes == w.want {
		for i := range things[:min(len(things), mostWide)] {
			say(&things[i])
		}
	}
	return told
}

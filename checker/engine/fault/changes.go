package fault

import (
	"context"

	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// Change is something that stands otherwise with a fault.
type Change struct {
	// What it is, in the design's words: "fan is turning".
	What string
	// Lost: it is no longer so; else it now may be so where it was not.
	Lost bool
	// When says in which operating states, by what is moved from outside: "key is run", "always"; ""
	// where no short condition tells.
	When string
}

// shownChanges bounds the things that are compared for one fault.
const shownChanges = 400

// changes lists what stands otherwise with a fault: levels of loads, coils, drivers, results,
// modes and ports, each by operating states. What either state may stand both ways in is left
// out. Whole is the system of the injected design with everything in it.
func (w *Faulted) changesIn(ctx context.Context, whole *System) ([]Change, error) {
	var out []Change
	for n, c := range w.visible() {
		if n == shownChanges {
			break
		}
		got, ok, err := whole.Compare(ctx, system.On(w.Of(c)), w.latch)
		if err != nil {
			return nil, err
		}
		if !ok {
			continue
		}
		if got.Lost {
			out = append(out, Change{w.sound.Words(c), true, got.LostWhen})
		}
		if got.Gained {
			out = append(out, Change{w.sound.Words(c), false, got.GainedWhen})
		}
	}
	return out, nil
}

// visible lists what a person can see of a sound design, in the order of its tables.
func (w *Faulted) visible() (out []*model.Cond) {
	d := w.sound
	atom := func(a model.Atom) { out = append(out, &model.Cond{Op: model.CondAtom, Atom: a}) }
	for i := range d.Loads {
		l := &d.Loads[i]
		levels := l.Levels
		if len(levels) == 0 || l.Broken || l.Rated <= 0 {
			continue
		}
		for _, v := range levels {
			atom(model.Atom{
				Kind: model.AtomMeasure, Cmp: model.AtLeast, Level: model.Exactly(l.Rated * v.Percent / 100),
				Measure: model.Measure{Kind: model.AbsVolts, A: l.A, B: l.B, Element: l.Element, Load: model.LoadID(i), LevelName: v.Name},
			})
		}
	}
	for i := range d.Coils {
		if m := d.Coils[i].Memory; m != model.None && !d.Coils[i].Broken {
			atom(model.Atom{Kind: model.AtomMemory, Index: int(m), In: []int{1}})
		}
	}
	for i := range d.Drivers {
		if k := &d.Drivers[i]; !k.Broken && k.On != nil && k.On.Known() {
			out = append(out, k.On)
		}
	}
	for i := range d.Results {
		for j := range d.Results[i].Rows {
			atom(model.Atom{Kind: model.AtomResult, Index: i, In: []int{j}})
		}
	}
	for i := range d.Machines {
		for j := range d.Machines[i].Modes {
			atom(model.Atom{Kind: model.AtomMachine, Index: i, In: []int{j}})
		}
	}
	for i := range d.Ports {
		if p := &d.Ports[i]; !p.Broken && !p.OpenToAir && p.Origin == model.None {
			atom(model.Atom{Kind: model.AtomFed, Index: i})
		}
	}
	return out
}

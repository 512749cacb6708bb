package mutate

import (
	"context"
	"strconv"

	"pintle/checker/engine/system"
	"pintle/lang/elaborate"
	"pintle/lang/model"
)

// Consistent reports whether a changed design is as consistent as the first: whatever both have and
// that acts in some state of the first (a load at its lowest level, a winding that moves its iron,
// an output, a row of a result, a mode, a threshold, a port that is fed) acts in some state of the
// other, and what is at rest in some state is so in some state of the other; and nothing comes
// to life by the change, or never rests by it. Nobody can tell such a pair apart who has not been
// told which of the two was meant: one lamp is lit with the key in `off` instead of `run`, a
// fan starts at another temperature, two lamps have changed their switches. What can't be decided
// is not consistent.
func Consistent(ctx context.Context, a, b *elaborate.Result) bool {
	if len(a.Designs) != len(b.Designs) {
		return false
	}
	for i, d := range a.Designs {
		e := b.Designs[i]
		if d.Name != e.Name || len(d.Incomplete)+len(e.Incomplete) > 0 {
			return false
		}
		x, ok := activity(ctx, d)
		if !ok {
			return false
		}
		y, ok := activity(ctx, e)
		if !ok {
			return false
		}
		for name, one := range x {
			if other, both := y[name]; both && one != other {
				return false
			}
		}
	}
	return true
}

// active tells of a thing whether it acts in some state, and whether it rests in some.
type active struct{ acts, rests bool }

// activity is that of all things of a design, by kind and path; false where some of it can't be
// decided.
func activity(ctx context.Context, d *model.Design) (map[string]active, bool) {
	s, err := system.Build(ctx, d, system.Options{})
	if err != nil {
		return nil, false
	}
	out := map[string]active{}
	sure := true
	can := func(c system.Condition) bool {
		got, err := s.PossibleHere(ctx, c)
		sure = sure && err == nil && got.Outcome != system.Undecided && got.Outcome != system.Unknown
		return got.Outcome == system.Holds
	}
	add := func(name string, acts system.Condition) {
		if sure {
			out[name] = active{can(acts), can(system.Not(acts))}
		}
	}
	atom := func(a model.Atom) system.Condition { return system.On(&model.Cond{Op: model.CondAtom, Atom: a}) }
	for i := range d.Loads {
		l := &d.Loads[i]
		at := 0.1 * l.Rated
		for j, level := range l.Levels {
			if x := level.Percent / 100 * l.Rated; j == 0 || x < at {
				at = x
			}
		}
		add("load "+l.Path, atom(model.Atom{Kind: model.AtomMeasure, Cmp: model.AtLeast, Level: model.Exactly(at),
			Measure: model.Measure{Kind: model.AbsVolts, A: l.A, B: l.B, Element: model.None, Load: model.None}}))
	}
	for i := range d.Memories {
		m := &d.Memories[i]
		if m.MemKind != model.MemFollow && !m.Broken {
			add("memory "+m.Path, system.InState(model.MemoryID(i), 1))
		}
	}
	for i := range d.Drivers {
		add("driver "+d.Drivers[i].Path, system.On(d.Drivers[i].On))
	}
	for i := range d.Results {
		for j := range d.Results[i].Rows {
			add("row "+d.Results[i].Path+"."+d.Results[i].Rows[j].Name, system.Row(model.ResultID(i), j))
		}
	}
	for i := range d.Machines {
		for j := range d.Machines[i].Modes {
			add("mode "+strconv.Itoa(i)+" "+d.Machines[i].Modes[j].Path, system.InMode(model.MachineID(i), j))
		}
	}
	for i := range d.Ports {
		add("port "+d.Ports[i].Path, atom(model.Atom{Kind: model.AtomFed, Index: i}))
	}
	return out, sure
}

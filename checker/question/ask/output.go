package ask

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"pintle/lang/model"
)

// Output is something that a design does, in one of several ways.
type Output struct {
	Kind  string // load, result, modes, coil, driver, fuse, port
	Path  string
	Index int // in the table of its kind in the design; of a coil in Memories
	Ways  []Way
}

// Way is one of the ways. Of those of one output exactly one is so at any time.
type Way struct {
	Name string // as one says it after "is": "turning", "off"
	Cond *model.Cond
}

// Outputs lists what a design does: its results, the states of its loads, the modes of its
// controllers, its coils, drivers and fed ends of fluid paths.
func Outputs(d *model.Design) []Output {
	var out []Output
	atom := func(a model.Atom) *model.Cond { return &model.Cond{Op: model.CondAtom, Atom: a} }
	yesNo := func(kind string, index int, path, yes, no string, c *model.Cond) {
		out = append(out, Output{kind, path, index, []Way{{no, model.Not(c)}, {yes, c}}})
	}
	for i := range d.Results {
		r := &d.Results[i]
		if r.Broken {
			continue
		}
		o := Output{Kind: "result", Path: r.Path, Index: i}
		var all []int
		for row := range r.Rows {
			o.Ways = append(o.Ways, Way{Name: r.Rows[row].Name, Cond: atom(model.Atom{Kind: model.AtomResult, Index: i, In: []int{row}})})
			all = append(all, row)
		}
		o.Ways = append(o.Ways, Way{Name: "nothing", Cond: model.Not(atom(model.Atom{Kind: model.AtomResult, Index: i, In: all}))})
		out = append(out, o)
	}
	for i := range d.Machines {
		m := &d.Machines[i]
		if m.Broken {
			continue
		}
		o := Output{Kind: "modes", Path: m.Path, Index: i}
		for mode := range m.Modes {
			o.Ways = append(o.Ways, Way{Name: m.Modes[mode].Name, Cond: atom(model.Atom{Kind: model.AtomMachine, Index: i, In: []int{mode}})})
		}
		out = append(out, o)
	}
	for i := range d.Loads {
		if l := &d.Loads[i]; !l.Broken && (len(l.Levels) > 0 || d.Elements[l.Element].Ohm.Nominal > 0) {
			out = append(out, levels(d, i))
		}
	}
	for i := range d.Drivers {
		if v := &d.Drivers[i]; !v.Broken && v.On != nil {
			c := *v.On
			c.Said = &model.Said{Yes: v.Path + " is on", No: v.Path + " is off"}
			yesNo("driver", i, v.Path, "on", "off", &c)
		}
	}
	for i := range d.Memories {
		if m := &d.Memories[i]; !m.Broken && (m.MemKind == model.MemCoil || m.MemKind == model.MemArmature) {
			yesNo("coil", i, m.Path, m.States[1], m.States[0], atom(model.Atom{Kind: model.AtomMemory, Index: i, In: []int{1}}))
		}
	}
	for i := range d.Fuses {
		if f := &d.Fuses[i]; !f.Broken {
			yesNo("fuse", i, f.Path, "blown", "whole", blown(d, i))
		}
	}
	for i := range d.Ports {
		if p := &d.Ports[i]; !p.Broken {
			o := Output{Kind: "port", Path: p.Path, Index: i}
			for _, w := range [...]struct {
				name string
				kind model.AtomKind
			}{{"fed", model.AtomFed}, {"vented", model.AtomVented}, {"neither fed nor vented", model.AtomNeither}} {
				o.Ways = append(o.Ways, Way{Name: w.name, Cond: atom(model.Atom{Kind: w.kind, Index: i})})
			}
			out = append(out, o)
		}
	}
	return out
}

// levels are the ways of a load: how far it is on. One without names for that is on from where a
// load counts as running, said of its current, as a drive can see that.
func levels(d *model.Design, i int) Output {
	l := &d.Loads[i]
	o := Output{Kind: "load", Path: l.Path, Index: i}
	named := slices.Clone(l.Levels)
	if len(named) == 0 {
		on := &model.Cond{Op: model.CondAtom, Atom: Compared(Current(l.Element), model.AtLeast, rounded(l.Rated*RunsFrom/100/d.Elements[l.Element].Ohm.Nominal))}
		o.Ways = []Way{{Name: "off", Cond: model.Not(on)}, {Name: "on", Cond: on}}
		return o
	}
	slices.SortStableFunc(named, func(x, y model.Level) int { return cmp.Compare(x.Percent, y.Percent) })
	for k := range named {
		named[k].Name = StateName(named[k].Name)
	}
	reaches := make([]*model.Cond, len(named))
	for k, v := range named {
		reaches[k] = &model.Cond{Op: model.CondAtom, Atom: AtLevel(d, model.LoadID(i), v)}
	}
	o.Ways = append(o.Ways, Way{Name: "off", Cond: model.Not(reaches[0])})
	for k, v := range named {
		c := reaches[k]
		if k+1 < len(named) {
			c = model.And(c, model.Not(reaches[k+1]))
		}
		o.Ways = append(o.Ways, Way{Name: v.Name, Cond: c})
	}
	return o
}

// StateName is the name of a level as one says it after "is": that of one that is written as a verb,
// `glows from 15 %`, is "glowing".
func StateName(level string) string {
	verb, ok := strings.CutSuffix(level, "s")
	if n := len(verb); !ok || n < 2 || strings.HasSuffix(verb, "s") {
		return level
	}
	const vowels = "aeiou"
	n := len(verb)
	switch vowel := func(i int) bool { return strings.ContainsRune(vowels, rune(verb[i])) }; {
	case verb[n-1] == 'e':
		return verb[:n-1] + "ing"
	case n > 2 && !vowel(n-1) && vowel(n-2) && !vowel(n-3) && !strings.ContainsRune("wxy", rune(verb[n-1])):
		return verb + verb[n-1:] + "ing" // runs, running
	}
	return verb + "ing"
}

// rounded is a number to three digits.
func rounded(x float64) float64 {
	out, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64)
	if err != nil {
		return x
	}
	return out
}

// blown says that a fuse has opened: in a design that has a memory for it, by that.
func blown(d *model.Design, fuse int) *model.Cond {
	a := model.Atom{Kind: model.AtomBlown, Index: fuse}
	for i := range d.Memories {
		if m := &d.Memories[i]; m.MemKind == model.MemFuse && m.Of == fuse {
			a = model.Atom{Kind: model.AtomMemory, Index: i, In: []int{1}}
		}
	}
	return &model.Cond{Op: model.CondAtom, Atom: a}
}

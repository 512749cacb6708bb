package compare

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"pintle/checker/question/ask"
	"pintle/lang/model"
)

// output is something that a design does, in one of several ways.
type output struct {
	kind  string // load, result, mode, coil, driver, port
	path  string
	table table
	index int // in the table
	ways  []wayOut
}

// wayOut is one of the ways. Of those of one output exactly one is so at any time.
type wayOut struct {
	name string // as one says it after "is": "turning", "off"
	cond *model.Cond
	seen *model.Cond // the same in the design without memories of its fuses, as a drive sees it
}

// outputs lists what the design of a side does.
func (s *side) outputs() []output {
	out := outputsOf(s.d)
	for i, o := range outputsOf(s.p.Design) {
		for k := range o.ways {
			out[i].ways[k].seen = o.ways[k].cond
		}
	}
	return out
}

// outputsOf lists what a design does: its results, the states of its loads, the modes of its
// controllers, its coils, drivers and fed ends of fluid paths.
func outputsOf(d *model.Design) []output {
	var out []output
	atom := func(a model.Atom) *model.Cond { return &model.Cond{Op: model.CondAtom, Atom: a} }
	yesNo := func(kind string, t table, index int, path, yes, no string, c *model.Cond) {
		out = append(out, output{kind, path, t, index, []wayOut{{name: no, cond: model.Not(c)}, {name: yes, cond: c}}})
	}
	for i := range d.Results {
		r := &d.Results[i]
		if r.Broken {
			continue
		}
		o := output{kind: "result", path: r.Path, table: results, index: i}
		var all []int
		for row := range r.Rows {
			o.ways = append(o.ways, wayOut{name: r.Rows[row].Name, cond: atom(model.Atom{Kind: model.AtomResult, Index: i, In: []int{row}})})
			all = append(all, row)
		}
		o.ways = append(o.ways, wayOut{name: "nothing", cond: model.Not(atom(model.Atom{Kind: model.AtomResult, Index: i, In: all}))})
		out = append(out, o)
	}
	for i := range d.Machines {
		m := &d.Machines[i]
		if m.Broken {
			continue
		}
		o := output{kind: "modes", path: m.Path, table: machines, index: i}
		for mode := range m.Modes {
			o.ways = append(o.ways, wayOut{name: m.Modes[mode].Name, cond: atom(model.Atom{Kind: model.AtomMachine, Index: i, In: []int{mode}})})
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
			yesNo("driver", drivers, i, v.Path, "on", "off", &c)
		}
	}
	for i := range d.Memories {
		if m := &d.Memories[i]; !m.Broken && (m.MemKind == model.MemCoil || m.MemKind == model.MemArmature) {
			yesNo("coil", memories, i, m.Path, m.States[1], m.States[0], atom(model.Atom{Kind: model.AtomMemory, Index: i, In: []int{1}}))
		}
	}
	for i := range d.Fuses {
		if f := &d.Fuses[i]; !f.Broken {
			yesNo("fuse", fuses, i, f.Path, "blown", "whole", blown(d, i))
		}
	}
	for i := range d.Ports {
		if p := &d.Ports[i]; !p.Broken {
			o := output{kind: "port", path: p.Path, table: ports, index: i}
			for _, w := range [...]struct {
				name string
				kind model.AtomKind
			}{{"fed", model.AtomFed}, {"vented", model.AtomVented}, {"neither fed nor vented", model.AtomNeither}} {
				o.ways = append(o.ways, wayOut{name: w.name, cond: atom(model.Atom{Kind: w.kind, Index: i})})
			}
			out = append(out, o)
		}
	}
	return out
}

// levels are the ways of a load: how far it is on. One without names for that is on from where a
// load counts as running, said of its current, as a drive can see that.
func levels(d *model.Design, i int) output {
	l := &d.Loads[i]
	o := output{kind: "load", path: l.Path, table: loads, index: i}
	named := slices.Clone(l.Levels)
	if len(named) == 0 {
		on := &model.Cond{Op: model.CondAtom, Atom: ask.Compared(ask.Current(l.Element), model.AtLeast, rounded(l.Rated*ask.RunsFrom/100/d.Elements[l.Element].Ohm.Nominal))}
		o.ways = []wayOut{{name: "off", cond: model.Not(on)}, {name: "on", cond: on}}
		return o
	}
	slices.SortStableFunc(named, func(x, y model.Level) int { return cmp.Compare(x.Percent, y.Percent) })
	for k := range named {
		named[k].Name = state(named[k].Name)
	}
	reaches := make([]*model.Cond, len(named))
	for k, v := range named {
		reaches[k] = &model.Cond{Op: model.CondAtom, Atom: ask.AtLevel(d, model.LoadID(i), v)}
	}
	o.ways = append(o.ways, wayOut{name: "off", cond: model.Not(reaches[0])})
	for k, v := range named {
		c := reaches[k]
		if k+1 < len(named) {
			c = model.And(c, model.Not(reaches[k+1]))
		}
		o.ways = append(o.ways, wayOut{name: v.Name, cond: c})
	}
	return o
}

// state is the name of a level as one says it after "is": that of one that is written as a verb,
// `glows from 15 %`, is "glowing".
func state(level string) string {
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

package replay

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/question/ask"
	"pintle/lang/model"
	"pintle/lang/spelling"
	"pintle/lang/unit"
)

// kind is what a column records.
type kind uint8

const (
	unmapped kind = iota
	quantity      // a number: an input
	setting       // a position: an input
	states        // one of some states: a result, modes, bands, or a condition
	measure       // a number that the description gives: volts, amperes
	supplies      // the volts of a supply: not used
	timeColumn
)

// thing is what a column is mapped to.
type thing struct {
	kind  kind
	index int
	path  string
	// names are the positions or states, conds the conditions of states, in order.
	names   []string
	conds   []*model.Cond
	measure model.Measure
	dim     unit.Dim
	unit    unit.Unit // of numbers, unless said
}

// Statements are questions to be put behind the text of a design: those of things that are no
// names, under names that begin with a base. The errors say which thing can't be read.
func (m *Mapping) Statements(base string) (behind string, err error) {
	var b strings.Builder
	for i, c := range m.Columns {
		if isName(c.Thing) {
			continue
		}
		q := ask.Read(c.Thing)
		if len(q.Findings) > 0 {
			return "", fmt.Errorf("column %q: %s", c.Name, q.Findings[0].Message)
		}
		if q.Kind == ask.When {
			return "", fmt.Errorf("column %q: %q is a question, no thing; leave the `when` out", c.Name, c.Thing)
		}
		b.WriteString(q.Statement(statementName(base, i)))
	}
	return b.String(), nil
}

func isName(text string) bool { return !strings.ContainsAny(strings.TrimSpace(text), " \t") }

func statementName(base string, i int) string { return fmt.Sprintf("%s%d", base, i+1) }

// lookup finds the thing of a name; nil if there is none.
func lookup(d *model.Design, name string) *thing {
	for i := range d.Quantities {
		if q := &d.Quantities[i]; q.Path == name && !q.Broken {
			return &thing{kind: quantity, index: i, path: name, dim: q.Lo.Unit.Dim, unit: q.Lo.Unit}
		}
	}
	for i := range d.Settings {
		if s := &d.Settings[i]; s.Path == name && !s.Broken {
			return &thing{kind: setting, index: i, path: name, names: s.Positions}
		}
	}
	atom := func(k model.AtomKind, index, state int) *model.Cond {
		return &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: k, Index: index, In: []int{state}}}
	}
	states := func(k model.AtomKind, index int, names []string) *thing {
		t := &thing{kind: states, index: index, path: name, names: names}
		for i := range names {
			t.conds = append(t.conds, atom(k, index, i))
		}
		return t
	}
	for i := range d.Results {
		if r := &d.Results[i]; r.Path == name && !r.Broken {
			var names []string
			for k := range r.Rows {
				names = append(names, r.Rows[k].Name)
			}
			return states(model.AtomResult, i, names)
		}
	}
	for i := range d.Machines {
		if m := &d.Machines[i]; m.Path == name && !m.Broken {
			var names []string
			for k := range m.Modes {
				names = append(names, m.Modes[k].Name)
			}
			return states(model.AtomMachine, i, names)
		}
	}
	for i := range d.Bands {
		if b := &d.Bands[i]; b.Path == name && !b.Broken {
			var names []string
			for k := range b.Bands {
				names = append(names, b.Bands[k].Name)
			}
			return states(model.AtomBands, i, names)
		}
	}
	return lookupHardware(d, name)
}

// yesNo is a thing that is so or not; yes is the word of the design for it.
func yesNo(path, yes string, c *model.Cond) *thing {
	return &thing{kind: states, index: model.None, path: path, names: []string{"not " + yes, yes}, conds: []*model.Cond{model.Not(c), c}}
}

func lookupHardware(d *model.Design, name string) *thing {
	memory := func(kinds ...model.MemoryKind) *model.Cond {
		for i := range d.Memories {
			if m := &d.Memories[i]; m.Path == name && !m.Broken && slices.Contains(kinds, m.MemKind) {
				return &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomMemory, Index: i, In: []int{1}}}
			}
		}
		return nil
	}
	if c := memory(model.MemCoil, model.MemArmature); c != nil {
		return yesNo(name, "energised", c)
	}
	if c := memory(model.MemThreshold); c != nil {
		return yesNo(name, "set", c)
	}
	for i := range d.Conditions {
		if c := &d.Conditions[i]; c.Path == name && !c.Broken {
			return yesNo(name, "true", &model.Cond{Op: model.CondAtom, Atom: model.Atom{Kind: model.AtomCondition, Index: i}})
		}
	}
	for i := range d.Loads {
		l := &d.Loads[i]
		if l.Path != name || l.Broken || len(l.Levels) != 1 {
			continue
		}
		level := l.Levels[0]
		return yesNo(name, level.Name, &model.Cond{Op: model.CondAtom, Atom: model.Atom{
			Kind: model.AtomMeasure, Cmp: model.AtLeast,
			Measure: model.Measure{Kind: model.AbsVolts, A: l.A, B: l.B, Element: l.Element, Load: model.LoadID(i), LevelName: level.Name},
			Level:   model.Exactly(l.Rated * level.Percent / 100),
		}})
	}
	for i := range d.Supplies {
		if s := &d.Supplies[i]; s.Path == name {
			return &thing{kind: supplies, index: i, path: name}
		}
	}
	for i := range d.Nodes {
		if n := &d.Nodes[i]; n.Path == name && !n.Broken && d.Ground != model.None {
			return &thing{
				kind: measure, index: i, path: "volts at " + name, dim: unit.Voltage, unit: unit.Voltage.Base(),
				measure: model.Measure{Kind: model.Volts, A: model.NodeID(i), B: d.Ground, Element: model.None},
			}
		}
	}
	return nil
}

// asked is the thing of a text that is no name; nil if it could not be read.
func asked(d *model.Design, text, name string) *thing {
	c := ask.Asked(d, name)
	if c == nil {
		return nil
	}
	if q := ask.Read(text); q.Kind == ask.Measure {
		t := &thing{kind: measure, index: model.None, path: text, measure: c.Atom.Measure, dim: unit.Voltage}
		if t.measure.Kind == model.Amps {
			t.dim = unit.Current
		}
		t.unit = t.dim.Base()
		return t
	}
	return yesNo(text, "true", c)
}

// names lists what has a name that a column may have.
func names(d *model.Design) (out []string) {
	for i := range d.Quantities {
		out = append(out, d.Quantities[i].Path)
	}
	for i := range d.Settings {
		out = append(out, d.Settings[i].Path)
	}
	for i := range d.Results {
		out = append(out, d.Results[i].Path)
	}
	for i := range d.Machines {
		out = append(out, d.Machines[i].Path)
	}
	for i := range d.Bands {
		out = append(out, d.Bands[i].Path)
	}
	for i := range d.Loads {
		out = append(out, d.Loads[i].Path)
	}
	for i := range d.Coils {
		out = append(out, d.Coils[i].Path)
	}
	for i := range d.Thresholds {
		out = append(out, d.Thresholds[i].Path)
	}
	for i := range d.Conditions {
		out = append(out, d.Conditions[i].Path)
	}
	for i := range d.Nodes {
		out = append(out, d.Nodes[i].Path)
	}
	return out
}

// noThing says that nothing has the name that a column is mapped to.
func noThing(d *model.Design, column, name string) error {
	for i := range d.Loads {
		if l := &d.Loads[i]; l.Path == name {
			if len(l.Levels) == 0 {
				return fmt.Errorf("column %q: %s has no level; map the column to what it shows, such as \"volts at PIN\"", column, name)
			}
			return fmt.Errorf("column %q: %s has several levels; map the column to one of them: \"%s is %s\"", column, name, name, l.Levels[0].Name)
		}
	}
	text := fmt.Sprintf("column %q: the design has nothing that is called %q", column, name)
	if near := spelling.Best(name, slices.Values(names(d))); near != "" {
		text += fmt.Sprintf("; the nearest is %q", near)
	}
	return fmt.Errorf("%s", text)
}

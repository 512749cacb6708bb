package table

import (
	"slices"
	"strings"

	"pintle/checker/question/ask"
	"pintle/lang/model"
)

// Column is what a column of a table shows.
type Column struct {
	Name    string
	Measure *model.Measure // its range in each row is told; nil: it is none
	// conds are held against each state; values are the sets of them that make a cell, with what
	// the cell then says.
	conds  []*model.Cond
	values []value
	joined bool // several of the conditions may hold at once, each by its own name
}

type value struct {
	holds []int
	text  string
}

func atom(a model.Atom) *model.Cond { return &model.Cond{Op: model.CondAtom, Atom: a} }

// Columns are those of a design that asks for nothing else: its results, its modes and its loads.
func Columns(d *model.Design) []Column {
	var out []Column
	for i := range d.Results {
		if !d.Results[i].Broken {
			out = append(out, ofResult(d, i))
		}
	}
	for i := range d.Machines {
		if !d.Machines[i].Broken {
			out = append(out, ofMachine(d, i))
		}
	}
	for i := range d.Loads {
		if l := &d.Loads[i]; !l.Broken && !l.Bounds && l.A != model.None && l.B != model.None && l.Rated > 0 {
			out = append(out, ofLoad(d, model.LoadID(i)))
		}
	}
	return out
}

// Named is the column of the result, modes or load of a path.
func Named(d *model.Design, path string) (Column, bool) {
	all := Columns(d)
	i := slices.IndexFunc(all, func(c Column) bool { return c.Name == path })
	if i < 0 {
		return Column{}, false
	}
	return all[i], true
}

func ofResult(d *model.Design, i int) Column {
	c := Column{Name: d.Results[i].Path, joined: true, values: []value{{nil, "no row"}}}
	for k, r := range d.Results[i].Rows {
		c.conds = append(c.conds, atom(model.Atom{Kind: model.AtomResult, Index: i, In: []int{k}}))
		c.values = append(c.values, value{[]int{k}, r.Name})
	}
	return c
}

func ofMachine(d *model.Design, i int) Column {
	c := Column{Name: d.Machines[i].Path}
	for k, m := range d.Machines[i].Modes {
		c.conds = append(c.conds, atom(model.Atom{Kind: model.AtomMachine, Index: i, In: []int{k}}))
		c.values = append(c.values, value{[]int{k}, m.Name})
	}
	return c
}

// ofLoad shows the highest level that a load has reached.
func ofLoad(d *model.Design, id model.LoadID) Column {
	l := &d.Loads[id]
	levels := slices.Clone(l.Levels)
	slices.SortStableFunc(levels, func(a, b model.Level) int {
		switch {
		case a.Percent < b.Percent:
			return -1
		case a.Percent > b.Percent:
			return 1
		}
		return 0
	})
	if len(levels) == 0 {
		levels = []model.Level{{Name: "on", Percent: ask.RunsFrom}}
	}
	low := "not " + levels[0].Name
	if len(l.Levels) == 0 {
		low = "off"
	}
	c := Column{Name: l.Path, values: []value{{nil, low}}}
	var holds []int
	for k, level := range levels {
		c.conds = append(c.conds, atom(ask.AtLevel(d, id, level)))
		holds = append(holds, k)
		c.values = append(c.values, value{slices.Clone(holds), level.Name})
	}
	return c
}

// OfCondition is the column of a condition: yes or no.
func OfCondition(text string, c *model.Cond) Column {
	return Column{Name: strings.TrimSpace(text), conds: []*model.Cond{c}, values: []value{{nil, "no"}, {[]int{0}, "yes"}}}
}

// OfMeasure is the column of a measure. Where it is the volts of a pin, rows differ as the pin
// is joined to plus, to ground or to neither; the ranges of others make no rows.
func OfMeasure(text string, m model.Measure, d *model.Design) Column {
	c := Column{Name: strings.TrimSpace(text), Measure: &m, values: []value{{nil, "floating"}}}
	if m.Kind == model.Volts && m.B == d.Ground && m.A != model.None && m.B != model.None {
		c.conds = []*model.Cond{
			atom(model.Atom{Kind: model.AtomLive, Index: int(m.A)}), atom(model.Atom{Kind: model.AtomGrounded, Index: int(m.A)}),
		}
		c.values = append(c.values, value{[]int{0}, "live"}, value{[]int{1}, "grounded"}, value{[]int{0, 1}, "live and grounded"})
	}
	return c
}

// said is what a cell says where some of the conditions of its column hold.
func (c *Column) said(holds []int) string {
	for _, v := range c.values {
		if slices.Equal(v.holds, holds) {
			return v.text
		}
	}
	var out []string
	for _, k := range holds {
		for _, v := range c.values {
			if slices.Equal(v.holds, []int{k}) && c.joined {
				out = append(out, v.text)
			}
		}
	}
	if len(out) == 0 && len(holds) > 0 { // of levels, the highest
		for _, v := range c.values {
			if len(v.holds) > 0 && slices.Contains(holds, v.holds[len(v.holds)-1]) {
				out = []string{v.text}
			}
		}
	}
	return strings.Join(out, " and ")
}

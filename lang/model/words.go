package model

import (
	"strconv"
	"strings"

	"pintle/lang/unit"
)

// Words writes a condition of the design as a person would write it in the language,
// with full paths. Lowered durations and edges come back as `for`, `in the last`,
// `begins`, `ends` and `stays`.
func (d *Design) Words(c *Cond) string {
	var b strings.Builder
	d.words(&b, c, false)
	return b.String()
}

func (d *Design) words(b *strings.Builder, c *Cond, inner bool) {
	if c == nil {
		b.WriteString("always")
		return
	}
	switch c.Op {
	case CondTrue:
		b.WriteString("always")
	case CondFalse:
		b.WriteString("not always")
	case CondUnknown:
		b.WriteString("(unknown)")
	case CondNot:
		b.WriteString("not ")
		d.words(b, c.Kids[0], true)
	case CondAnd, CondOr:
		word := " and "
		if c.Op == CondOr {
			word = " or "
		}
		if inner {
			b.WriteByte('(')
		}
		for i, k := range c.Kids {
			if i > 0 {
				b.WriteString(word)
			}
			d.words(b, k, true)
		}
		if inner {
			b.WriteByte(')')
		}
	case CondAtom:
		d.atomWords(b, &c.Atom)
	}
}

func (d *Design) atomWords(b *strings.Builder, a *Atom) {
	is := func(path string, state string) {
		b.WriteString(path)
		b.WriteString(" is ")
		b.WriteString(state)
	}
	switch a.Kind {
	case AtomSetting:
		s := &d.Settings[a.Index]
		isAnyOf(b, s.Path, s.Positions, a.In)
	case AtomQuantity:
		compares(b, d.Quantities[a.Index].Path, a.Cmp, a.Value.String())
	case AtomReading:
		compares(b, d.Readings[a.Index].Path, a.Cmp, a.Value.String())
	case AtomMemory:
		m := &d.Memories[a.Index]
		switch m.MemKind {
		case MemThreshold:
			if len(a.In) == 1 && a.In[0] == 0 {
				b.WriteString("not ")
			}
			b.WriteString(m.Path)
		case MemPowered:
			if len(a.In) == 1 && a.In[0] == 0 {
				b.WriteString("not ")
			}
			is(m.Path, "powered")
		case MemFollow:
			want := len(a.In) != 1 || a.In[0] == 1
			if !want {
				b.WriteString("not ")
			}
			b.WriteByte('(')
			if len(m.Rules) > 0 {
				d.words(b, m.Rules[0].When, false)
			}
			b.WriteByte(')')
		default:
			isAnyOf(b, m.Path, m.States, a.In)
		}
	case AtomMachine:
		m := &d.Machines[a.Index]
		names := make([]string, len(m.Modes))
		for i := range m.Modes {
			names[i] = m.Modes[i].Name
		}
		isAnyOf(b, m.Path, names, a.In)
	case AtomTimer:
		d.timerWords(b, a)
	case AtomBeat:
		isAnyOf(b, d.Beats[a.Index].Path, []string{"off", "on"}, a.In)
	case AtomEdge:
		b.WriteByte('(')
		d.words(b, d.Edges[a.Index].Of, false)
		b.WriteString([...]string{Begins: ") begins", Ends: ") ends", Stays: ") stays"}[a.Edge])
	case AtomCondition:
		b.WriteString(d.Conditions[a.Index].Path)
	case AtomResult:
		r := &d.Results[a.Index]
		names := make([]string, len(r.Rows))
		for i := range r.Rows {
			names[i] = r.Rows[i].Name
		}
		isAnyOf(b, r.Path, names, a.In)
	case AtomBands:
		r := &d.Bands[a.Index]
		names := make([]string, len(r.Bands))
		for i := range r.Bands {
			names[i] = r.Bands[i].Name
		}
		isAnyOf(b, r.Path, names, a.In)
	case AtomLive:
		is(d.Nodes[a.Index].Path, "live")
	case AtomGrounded:
		is(d.Nodes[a.Index].Path, "grounded")
	case AtomFloating:
		is(d.Nodes[a.Index].Path, "floating")
	case AtomMeasure:
		d.measureWords(b, a)
	case AtomFed:
		is(d.Ports[a.Index].Path, "fed")
	case AtomVented:
		is(d.Ports[a.Index].Path, "vented")
	case AtomNeither:
		is(d.Ports[a.Index].Path, "neither")
	case AtomJoined:
		b.WriteString(d.Nodes[a.Index].Path)
		b.WriteString(" joined to ")
		b.WriteString(d.Nodes[a.Other].Path)
	case AtomFree:
		is(d.Elements[a.Index].Path, "made")
	}
}

func (d *Design) timerWords(b *strings.Builder, a *Atom) {
	t := &d.Timers[a.Index]
	if !t.Lowered {
		isAnyOf(b, t.Path, []string{"idle", "running", "done"}, a.In)
		return
	}
	b.WriteByte('(')
	d.words(b, t.Run, false)
	if t.InLast {
		b.WriteString(") in the last ")
	} else {
		b.WriteString(") for ")
	}
	if len(t.Cases) > 0 {
		c := t.Cases[0]
		b.WriteString(unit.Format(c.Min, unit.Time))
		if c.Max != c.Min {
			b.WriteString(" to ")
			b.WriteString(unit.Format(c.Max, unit.Time))
		}
	}
}

func (d *Design) measureWords(b *strings.Builder, a *Atom) {
	m := a.Measure
	if m.LevelName != "" && m.Load != None {
		b.WriteString(d.Loads[m.Load].Path)
		b.WriteString(" is ")
		b.WriteString(m.LevelName)
		return
	}
	dim := unit.Voltage
	switch m.Kind {
	case Volts, AbsVolts:
		if m.Kind == AbsVolts {
			b.WriteString("size of ")
		}
		if m.B == None || m.B == d.Ground {
			b.WriteString("volts at ")
			b.WriteString(d.Nodes[m.A].Path)
			break
		}
		b.WriteString("volts ")
		b.WriteString(d.Nodes[m.A].Path)
		b.WriteString(" to ")
		b.WriteString(d.Nodes[m.B].Path)
	case Amps:
		dim = unit.Current
		b.WriteString("current through ")
		b.WriteString(d.Elements[m.Element].Path)
	case AmpereTurns:
		dim = unit.AmpereTurns
		b.WriteString("ampere-turns of ")
		for i, w := range m.Windings {
			if i > 0 {
				b.WriteString(" and ")
			}
			b.WriteString(d.Elements[w.Element].Path)
		}
	}
	b.WriteByte(' ')
	b.WriteString(a.Cmp.String())
	b.WriteByte(' ')
	b.WriteString(unit.Format(a.Level.Nominal, dim))
}

func compares(b *strings.Builder, path string, c Cmp, v string) {
	b.WriteString(path)
	b.WriteByte(' ')
	b.WriteString(c.String())
	b.WriteByte(' ')
	b.WriteString(v)
}

func isAnyOf(b *strings.Builder, path string, names []string, in []int) {
	name := func(i int) string {
		if i >= 0 && i < len(names) {
			return names[i]
		}
		return "?" + strconv.Itoa(i)
	}
	b.WriteString(path)
	b.WriteString(" is ")
	switch len(in) {
	case 0:
		b.WriteString("nothing")
		return
	case 1:
		b.WriteString(name(in[0]))
		return
	}
	b.WriteString("any of ")
	for i, n := range in {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(name(n))
	}
}

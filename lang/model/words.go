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

// Opposite writes what is so while a condition is not: `lamp is not lit` for `lamp is lit`,
// `lamp is lit` for `not lamp is lit`.
func (d *Design) Opposite(c *Cond) string {
	if c == nil {
		c = True
	}
	return d.Words(Not(c))
}

func (d *Design) words(b *strings.Builder, c *Cond, inner bool) {
	if c == nil {
		b.WriteString("always")
		return
	}
	if c.Said != nil {
		b.WriteString(c.Said.Yes)
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
		d.notWords(b, c.Kids[0])
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
		d.atomWords(b, &c.Atom, false)
	}
}

// notWords writes the opposite of a condition: `lamp is not lit`, `coolant at most 90 degC`,
// and `not` before what has no such words.
func (d *Design) notWords(b *strings.Builder, c *Cond) {
	switch {
	case c.Said != nil:
		b.WriteString(c.Said.No)
	case c.Op == CondAtom:
		d.atomWords(b, &c.Atom, true)
	default:
		b.WriteString("not ")
		d.words(b, c, true)
	}
}

// atomWords writes an atom, or its opposite.
func (d *Design) atomWords(b *strings.Builder, a *Atom, not bool) {
	is := func(path string, state string) {
		b.WriteString(path)
		b.WriteString(" is ")
		if not {
			b.WriteString("not ")
		}
		b.WriteString(state)
	}
	// no writes the `not` before what has no other words for its opposite.
	no := func(not bool) {
		if not {
			b.WriteString("not ")
		}
	}
	cmp := a.Cmp
	if not {
		cmp = cmp.Negate()
	}
	anyOf := func(path string, names []string) { isAnyOf(b, path, names, a.In, not) }
	switch a.Kind {
	case AtomSetting:
		s := &d.Settings[a.Index]
		anyOf(s.Path, s.Positions)
	case AtomQuantity:
		compares(b, d.Quantities[a.Index].Path, cmp, a.Value.String())
	case AtomReading:
		compares(b, d.Readings[a.Index].Path, cmp, a.Value.String())
	case AtomMemory:
		m := &d.Memories[a.Index]
		switch m.MemKind {
		case MemThreshold:
			no(not != (len(a.In) == 1 && a.In[0] == 0))
			b.WriteString(m.Path)
		case MemPowered:
			not = not != (len(a.In) == 1 && a.In[0] == 0)
			is(m.Path, "powered")
		case MemFuse:
			not = not != (len(a.In) == 1 && a.In[0] == 0)
			is(m.Path, "blown")
		case MemFollow:
			no(not != (len(a.In) == 1 && a.In[0] == 0))
			b.WriteByte('(')
			if len(m.Rules) > 0 {
				d.words(b, m.Rules[0].When, false)
			}
			b.WriteByte(')')
		default:
			anyOf(m.Path, m.States)
		}
	case AtomMachine:
		m := &d.Machines[a.Index]
		names := make([]string, len(m.Modes))
		for i := range m.Modes {
			names[i] = m.Modes[i].Name
		}
		anyOf(m.Path, names)
	case AtomTimer:
		d.timerWords(b, a, not)
	case AtomBeat:
		anyOf(d.Beats[a.Index].Path, []string{"off", "on"})
	case AtomEdge:
		if not {
			b.WriteString("not (")
			defer b.WriteByte(')')
		}
		b.WriteByte('(')
		d.words(b, d.Edges[a.Index].Of, false)
		b.WriteString([...]string{Begins: ") begins", Ends: ") ends", Stays: ") stays"}[a.Edge])
	case AtomCondition:
		no(not)
		b.WriteString(d.Conditions[a.Index].Path)
	case AtomResult:
		r := &d.Results[a.Index]
		names := make([]string, len(r.Rows))
		for i := range r.Rows {
			names[i] = r.Rows[i].Name
		}
		anyOf(r.Path, names)
	case AtomBands:
		r := &d.Bands[a.Index]
		names := make([]string, len(r.Bands))
		for i := range r.Bands {
			names[i] = r.Bands[i].Name
		}
		anyOf(r.Path, names)
	case AtomLive:
		is(d.Nodes[a.Index].Path, "live")
	case AtomGrounded:
		is(d.Nodes[a.Index].Path, "grounded")
	case AtomFloating:
		is(d.Nodes[a.Index].Path, "floating")
	case AtomMeasure:
		d.measureWords(b, a, cmp)
	case AtomFed:
		is(d.Ports[a.Index].Path, "fed")
	case AtomVented:
		is(d.Ports[a.Index].Path, "vented")
	case AtomNeither:
		is(d.Ports[a.Index].Path, "neither")
	case AtomJoined:
		no(not)
		b.WriteString(d.Nodes[a.Index].Path)
		b.WriteString(" joined to ")
		b.WriteString(d.Nodes[a.Other].Path)
	case AtomBlown:
		is(d.Fuses[a.Index].Path, "blown")
	case AtomFree:
		is(d.Elements[a.Index].Path, "made")
	}
}

func (d *Design) timerWords(b *strings.Builder, a *Atom, not bool) {
	t := &d.Timers[a.Index]
	if !t.Lowered {
		isAnyOf(b, t.Path, []string{"idle", "running", "done"}, a.In, not)
		return
	}
	if not {
		b.WriteString("not (")
		defer b.WriteByte(')')
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

func (d *Design) measureWords(b *strings.Builder, a *Atom, cmp Cmp) {
	m := a.Measure
	if m.LevelName != "" && m.Load != None {
		b.WriteString(d.Loads[m.Load].Path)
		b.WriteString(" is ")
		if cmp != a.Cmp {
			b.WriteString("not ")
		}
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
	b.WriteString(cmp.String())
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

func isAnyOf(b *strings.Builder, path string, names []string, in []int, not bool) {
	name := func(i int) string {
		if i >= 0 && i < len(names) {
			return names[i]
		}
		return "?" + strconv.Itoa(i)
	}
	if not && len(in) > 1 {
		b.WriteString("not ")
		not = false
	}
	b.WriteString(path)
	b.WriteString(" is ")
	if not {
		b.WriteString("not ")
	}
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

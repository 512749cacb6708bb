package model

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"pintle/lang/unit"
)

// Dump writes the whole design as readable text, table by table in the order of
// declaration, the same for equal designs. It is meant for golden files and for
// looking at what the language made of a text; places are left out.
func Dump(w io.Writer, d *Design) error {
	b := bufio.NewWriter(w)
	p := &dumper{w: b, d: d}
	p.world()
	p.wiring()
	p.parts()
	p.controllers()
	p.fluids()
	p.deciding()
	p.claims()
	for _, a := range d.Assumed {
		p.line("assumed", a.What, "=", a.Value)
	}
	return b.Flush()
}

type dumper struct {
	w *bufio.Writer
	d *Design
}

// line writes its non-empty words, separated by spaces.
func (p *dumper) line(words ...string) {
	n := 0
	for _, s := range words {
		if s == "" {
			continue
		}
		if n > 0 {
			p.w.WriteByte(' ')
		}
		p.w.WriteString(s)
		n++
	}
	p.w.WriteByte('\n')
}

// head is the kind and the path of a thing, marked if it could not be read in full.
func (p *dumper) head(i *Info) string {
	s := i.Kind + " " + i.Path
	if i.Broken {
		s += " (broken)"
	}
	if i.Used > 0 {
		s += " used=" + strconv.Itoa(i.Used)
	}
	return s
}

func (p *dumper) node(n NodeID) string {
	if n == None {
		return "-"
	}
	if x := &p.d.Nodes[n]; x.Half == 1 {
		return x.Path + "'"
	}
	return p.d.Nodes[n].Path
}

func (p *dumper) ends(a, b NodeID) string { return p.node(a) + " to " + p.node(b) }

func (p *dumper) cond(label string, c *Cond) string {
	if c == nil {
		return ""
	}
	return label + " [" + p.d.Words(bare(c)) + "]"
}

// bare is a condition as it was lowered, whatever it was called.
func bare(c *Cond) *Cond {
	if c == nil {
		return nil
	}
	d := *c
	d.Said, d.Kids = nil, make([]*Cond, len(c.Kids))
	for i, k := range c.Kids {
		d.Kids[i] = bare(k)
	}
	return &d
}

func number(label string, n float64, dim unit.Dim) string {
	if n == 0 {
		return ""
	}
	return label + " " + unit.Format(n, dim)
}

func (p Param) text(dim unit.Dim) string {
	s := unit.Format(p.Nominal, dim)
	if p.Varies() {
		s += " (" + unit.Format(p.Min, dim) + " to " + unit.Format(p.Max, dim) + ")"
	}
	if p.Assumed {
		s += " assumed"
	}
	return s
}

func flag(on bool, word string) string {
	if on {
		return word
	}
	return ""
}

func count(label string, n int) string { return label + " " + strconv.Itoa(n) }

func (p *dumper) world() {
	d := p.d
	p.line("design", strconv.Quote(d.Name), strconv.Quote(d.Title), flag(d.Bench, "bench"))
	for _, c := range d.Choices {
		p.line("choice", c.Option, "is", c.Position)
	}
	for i := range d.Options {
		o := &d.Options[i]
		p.line(p.head(&o.Info), strings.Join(o.Positions, ", "), count("chosen", o.Chosen))
	}
	for i := range d.Quantities {
		q := &d.Quantities[i]
		p.line(p.head(&q.Info), q.Lo.String(), "to", q.Hi.String(), "starts", q.Start.String(),
			number("rate", q.Rate, unit.None))
	}
	for i := range d.Settings {
		s := &d.Settings[i]
		springs := ""
		for _, sp := range s.Springs {
			springs += " springs " + s.Positions[sp.From] + " to " + s.Positions[sp.To]
		}
		p.line(p.head(&s.Info), strings.Join(s.Positions, ", "), flag(s.InOrder, "in order"),
			strings.TrimSpace(springs), count("starts", s.Start))
	}
	if d.Ground != None {
		p.line("zero is", p.node(d.Ground))
	}
}

func (p *dumper) wiring() {
	d := p.d
	for i := range d.Nodes {
		n := &d.Nodes[i]
		way := ""
		if n.Connector != None {
			way = fmt.Sprintf("way %d half %d of %s", n.Way, n.Half, d.Connectors[n.Connector].Path)
		}
		p.line("node", p.head(&n.Info), way)
	}
	for i := range d.Elements {
		e := &d.Elements[i]
		cold, volts, limit := "", "", ""
		if e.ColdOhm != (Param{}) {
			cold = "cold " + e.ColdOhm.text(unit.Resistance)
		}
		if e.Volts != (Param{}) {
			volts = "volts " + e.Volts.text(unit.Voltage)
		}
		if e.Limit != (Param{}) {
			limit = "limit " + e.Limit.text(unit.Current)
		}
		p.line("element", strconv.Itoa(i), e.Type.String(), e.Path, p.ends(e.A, e.B), e.Ohm.text(unit.Resistance),
			cold, volts, limit, flag(e.OneWay, "one way"), flag(e.Metal, "metal"), flag(e.Sometimes, "sometimes"),
			count("of", e.Of), p.cond("closed", e.Closed))
	}
	for i := range d.Supplies {
		s := &d.Supplies[i]
		r := ""
		if s.HasRange {
			r = "anywhere " + s.Lo.String() + " to " + s.Hi.String()
		}
		p.line(p.head(&s.Info), s.Nominal.String(), p.ends(s.Minus, s.Plus), r, p.cond("while", s.While))
	}
	for i := range d.Wires {
		w := &d.Wires[i]
		p.line(p.head(&w.Info), p.ends(w.A, w.B), w.Colour, number("area", w.Area, unit.Area), number("length", w.Length, unit.Length),
			unit.Format(w.Celsius, unit.Temperature), number("rated", w.Rated, unit.Current))
	}
	for i := range d.Connectors {
		c := &d.Connectors[i]
		var more []string
		for _, n := range c.Plugs {
			more = append(more, "onto "+p.node(n))
		}
		for _, r := range c.Reach {
			more = append(more, "in reach of "+d.Connectors[r].Path)
		}
		p.line(p.head(&c.Info), count("ways", c.Ways), c.Colour, c.Key, strings.Join(more, ", "))
	}
}

func (p *dumper) parts() {
	d := p.d
	for i := range d.Fits {
		f := &d.Fits[i]
		var args []string
		for _, a := range f.Args {
			args = append(args, a.Name+"="+a.Value)
		}
		p.line("fit", p.head(&f.Info), f.Part, "("+strings.Join(args, ", ")+")", flag(f.Elsewhere, "elsewhere"),
			flag(f.Group != "", "of "+f.Group+" "+strconv.Itoa(f.Index)))
	}
	for i := range d.Loads {
		l := &d.Loads[i]
		levels := ""
		for _, v := range l.Levels {
			levels += fmt.Sprintf(" %s from %g %%", v.Name, v.Percent)
		}
		p.line(p.head(&l.Info), p.ends(l.A, l.B), number("rated", l.Rated, unit.Voltage), number("", l.Watts, unit.Power),
			flag(l.Cold, "cold"), flag(l.Bounds, "bounds"), strings.TrimSpace(levels))
	}
	for i := range d.Coils {
		c := &d.Coils[i]
		p.line(p.head(&c.Info), p.ends(c.A, c.B), flag(c.HasPull, "pulls in "+c.PullIn.String()), flag(c.HasDrop, "drops out "+c.DropOut.String()),
			number("turns", c.Turns, unit.None), p.memory(c.Memory))
	}
	for i := range d.Armatures {
		a := &d.Armatures[i]
		var by []string
		for _, w := range a.Moved {
			by = append(by, fmt.Sprintf("%s x %g", d.Coils[w.Coil].Path, w.Turns))
		}
		if a.Set != None {
			by = append(by, "set "+d.Coils[a.Set].Path)
		}
		if a.Release != None {
			by = append(by, "released "+d.Coils[a.Release].Path)
		}
		p.line(p.head(&a.Info), strings.Join(by, ", "), number("pulls in", a.PullIn, unit.AmpereTurns), number("drops out", a.DropOut, unit.AmpereTurns))
	}
	for i := range d.Contacts {
		c := &d.Contacts[i]
		p.line(p.head(&c.Info), c.Form.String(), p.node(c.Common), "rest", p.node(c.Rest), "work", p.node(c.Work),
			p.memory(c.By), flag(c.MakesFirst, "makes first"), flag(c.Sometimes, "sometimes"), number("limit", c.Limit, unit.Current),
			p.cond("made", c.Made))
	}
	for i := range d.Charts {
		c := &d.Charts[i]
		p.line(p.head(&c.Info), "follows", d.settingPath(c.Setting), number("limit", c.Limit, unit.Current))
		for _, r := range c.Rows {
			p.line(" row", fmt.Sprint(r.Positions), "elements", fmt.Sprint(r.Elements))
		}
	}
	for _, list := range [][]Plain{d.Resistors, d.Diodes} {
		for i := range list {
			p.line(p.head(&list[i].Info), count("element", int(list[i].Element)))
		}
	}
	for i := range d.Fuses {
		p.line(p.head(&d.Fuses[i].Info), number("", d.Fuses[i].Rating, unit.Current))
	}
}

func (d *Design) settingPath(s SettingID) string {
	if s == None {
		return "-"
	}
	return d.Settings[s].Path
}

func (p *dumper) memory(m MemoryID) string {
	if m == None {
		return ""
	}
	return "memory " + strconv.Itoa(int(m))
}

package compare

import (
	"fmt"
	"strings"

	"pintle/checker/question/ask"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Change is a value or a join that is another one in the new design.
type Change struct {
	Kind, Name string
	// What is it that changed: "cross-section", "from". Empty: the thing itself is new or gone.
	What string
	// Old and New are the values in words; one is empty where there is only the other.
	Old, New string
}

// field is one value of a thing.
type field struct {
	what, value string
	node        model.NodeID // that it names, or None
}

// valued are the tables whose things have values that are compared, with the word for one.
var valued = [...]struct {
	table
	kind string
}{
	{wires, "wire"}, {fuses, "fuse"}, {supplies, "supply"}, {loads, "load"}, {coils, "coil"}, {resistors, "resistor"}, {diodes, "diode"},
	{memories, "threshold"}, {timers, "timer"}, {beats, "beat"}, {senders, "sender"},
}

// changes lists what values and joins differ, table by table.
func changes(a, b *model.Design, with *pairs) []Change {
	var out []Change
	for _, t := range valued {
		before, after := names(a, t.table), names(b, t.table)
		for i, j := range with.to[t.table] {
			old, is := fields(a, t.table, i)
			if !is {
				continue
			}
			if j == model.None {
				out = append(out, Change{Kind: t.kind, Name: before[i], Old: text(old)})
				continue
			}
			fresh, _ := fields(b, t.table, j)
			for _, f := range old {
				if now := valueOf(fresh, f.what); now == nil {
					out = append(out, Change{Kind: t.kind, Name: before[i], What: f.what, Old: f.value})
				} else if f.value != now.value && !(f.node != model.None && with.to[nodes][f.node] == int(now.node)) {
					out = append(out, Change{Kind: t.kind, Name: before[i], What: f.what, Old: f.value, New: now.value})
				}
			}
			for _, f := range fresh {
				if valueOf(old, f.what) == nil {
					out = append(out, Change{Kind: t.kind, Name: before[i], What: f.what, New: f.value})
				}
			}
		}
		for j, i := range with.from[t.table] {
			if fresh, is := fields(b, t.table, j); is && i == model.None {
				out = append(out, Change{Kind: t.kind, Name: after[j], New: text(fresh)})
			}
		}
	}
	return out
}

func valueOf(fs []field, what string) *field {
	for i := range fs {
		if fs[i].what == what {
			return &fs[i]
		}
	}
	return nil
}

// text writes all values of a thing.
func text(fs []field) string {
	var words []string
	for _, f := range fs {
		words = append(words, f.what+" "+f.value)
	}
	if words == nil {
		return "there"
	}
	return strings.Join(words, ", ")
}

// fields lists the values of one thing; false for one that is of no interest by itself.
func fields(d *model.Design, t table, i int) (out []field, is bool) {
	add := func(what, value string) {
		if value != "" {
			out = append(out, field{what, value, model.None})
		}
	}
	number := func(what string, x float64, dim unit.Dim) {
		if x != 0 {
			add(what, unit.Format(x, dim))
		}
	}
	param := func(what string, p model.Param, dim unit.Dim) {
		switch {
		case p.Varies():
			add(what, unit.Format(p.Nominal, dim)+", between "+unit.Format(p.Min, dim)+" and "+unit.Format(p.Max, dim))
		default:
			number(what, p.Nominal, dim)
		}
	}
	node := func(what string, n model.NodeID) {
		if n != model.None {
			out = append(out, field{what, d.Nodes[n].Path, n})
		}
	}
	switch t {
	case wires:
		w := &d.Wires[i]
		node("from", w.A)
		node("to", w.B)
		add("colour", w.Colour)
		if w.AreaSet {
			number("cross-section", w.Area, unit.Area)
		}
		if w.LenSet {
			number("length", w.Length, unit.Length)
		}
		number("current that it may carry", w.Rated, unit.Current)
	case fuses:
		f := &d.Fuses[i]
		number("rating", f.Rating, unit.Current)
		element(d, f.Element, node)
	case supplies:
		s := &d.Supplies[i]
		add("volts", s.Nominal.String())
		if s.HasRange {
			add("range", s.Lo.String()+" to "+s.Hi.String())
		}
		param("inside resistance", d.Elements[s.Element].Ohm, unit.Resistance)
	case loads:
		l := &d.Loads[i]
		number("rated volts", l.Rated, unit.Voltage)
		param("resistance", d.Elements[l.Element].Ohm, unit.Resistance)
		param("resistance when cold", d.Elements[l.Element].ColdOhm, unit.Resistance)
		for _, v := range l.Levels {
			add(ask.StateName(v.Name)+" from", fmt.Sprintf("%g %%", v.Percent))
		}
		element(d, l.Element, node)
	case coils:
		c := &d.Coils[i]
		param("resistance", d.Elements[c.Element].Ohm, unit.Resistance)
		if c.HasPull {
			add("pulls in at", c.PullIn.String())
		}
		if c.HasDrop {
			add("drops out at", c.DropOut.String())
		}
		element(d, c.Element, node)
	case resistors, diodes:
		list := d.Resistors
		if t == diodes {
			list = d.Diodes
		}
		e := &d.Elements[list[i].Element]
		param("resistance", e.Ohm, unit.Resistance)
		param("volts", e.Volts, unit.Voltage)
		element(d, list[i].Element, node)
	case memories:
		if d.Memories[i].MemKind != model.MemThreshold {
			return nil, false
		}
		v := &d.Thresholds[d.Memories[i].Of]
		add("sets", v.SetsCmp.String()+" "+v.Sets.String())
		add("clears", v.ClearsCmp.String()+" "+v.Clears.String())
	case timers:
		v := &d.Timers[i]
		if v.Lowered {
			return nil, false
		}
		for _, c := range v.Cases {
			value := unit.Format(c.Min, unit.Time)
			if c.Max != c.Min {
				value += " to " + unit.Format(c.Max, unit.Time)
			}
			add(strings.TrimSpace("duration "+c.Name), value)
		}
	case beats:
		v := &d.Beats[i]
		number("on", v.On, unit.Time)
		number("off", v.Off, unit.Time)
	case senders:
		if s := &d.Senders[i]; s.HasAccuracy {
			add("accuracy", s.Accuracy.String())
		}
	}
	return out, true
}

func element(d *model.Design, id model.ElementID, node func(string, model.NodeID)) {
	node("from", d.Elements[id].A)
	node("to", d.Elements[id].B)
}

package model

import (
	"fmt"
	"strconv"
	"strings"

	"pintle/lang/unit"
)

func (p *dumper) controllers() {
	d := p.d
	for i := range d.Controllers {
		c := &d.Controllers[i]
		p.line("controller", p.head(&c.Info), p.ends(c.Plus, c.Minus), "works from", c.WorksFrom.String(), number("draws", c.Draws, unit.Current), p.memory(c.Powered))
	}
	for i := range d.Readings {
		r := &d.Readings[i]
		reads, counts := "volts low below "+r.LowBelow.String()+" high above "+r.HighAbove.String(), ""
		if r.Sender {
			reads = "sender"
			if r.Quantity != None {
				reads += " of " + d.Quantities[r.Quantity].Path
			}
			for _, s := range r.Senders {
				reads += " from " + d.Senders[s].Path
			}
		}
		switch {
		case r.HasCountsAs:
			counts = "counts as " + r.CountsAs.String()
		case r.CountsHigh >= 0:
			counts = "counts as " + [...]string{"low", "high"}[r.CountsHigh]
		}
		p.line(p.head(&r.Info), "at", p.node(r.Pin), reads, counts, p.memory(r.Level))
	}
	for i := range d.Drivers {
		v := &d.Drivers[i]
		p.line(p.head(&v.Info), p.ends(v.Pin, v.From), flag(v.Feeds, "feeds"), number("limit", v.Limit, unit.Current), flag(v.Clamped, "clamped"),
			p.cond("when", v.When), p.cond("on", v.On))
	}
	for i := range d.Senders {
		s := &d.Senders[i]
		quantity := "-"
		if s.Quantity != None {
			quantity = d.Quantities[s.Quantity].Path
		}
		p.line(p.head(&s.Info), "at", p.node(s.Pin), "tells", quantity, flag(s.HasAccuracy, "accuracy "+s.Accuracy.String()))
	}
}

func (p *dumper) fluids() {
	d := p.d
	for i := range d.Ports {
		t := &d.Ports[i]
		p.line("port", p.head(&t.Info), t.Medium, flag(t.OpenToAir, "open to air"))
	}
	for i := range d.Origins {
		o := &d.Origins[i]
		p.line(p.head(&o.Info), o.Medium, p.cond("present", o.Present))
	}
	for i := range d.Passages {
		t := &d.Passages[i]
		p.line(p.head(&t.Info), p.port(t.A), "to", p.port(t.B), flag(t.OneWay, "one way"), flag(t.Clamped, "clamped"), p.cond("open", t.Open))
	}
}

func (p *dumper) port(n PortID) string {
	if n == None {
		return "-"
	}
	return p.d.Ports[n].Path
}

func (p *dumper) deciding() {
	d := p.d
	for i := range d.Thresholds {
		t := &d.Thresholds[i]
		on := ""
		switch {
		case t.Quantity != None:
			on = d.Quantities[t.Quantity].Path
		case t.Reading != None:
			on = d.Readings[t.Reading].Path
		case t.Measure != nil:
			on = d.measurePath(t.Measure)
		}
		p.line(p.head(&t.Info), on, "sets", t.SetsCmp.String(), t.Sets.String(), "clears", t.ClearsCmp.String(), t.Clears.String(), p.memory(t.Memory))
	}
	for i := range d.Memories {
		m := &d.Memories[i]
		p.line("memory", strconv.Itoa(i), m.MemKind.String(), m.Path, strings.Join(m.States, "/"), count("starts", m.Start), count("of", m.Of))
		for _, r := range m.Rules {
			p.line(" from", fmt.Sprint(r.From), count("to", r.To), p.cond("when", r.When))
		}
	}
	for i := range d.Machines {
		m := &d.Machines[i]
		names := make([]string, len(m.Modes))
		for j := range m.Modes {
			names[j] = m.Modes[j].Name
		}
		p.line(p.head(&m.Info), strings.Join(names, ", "), count("starts", m.Start), p.cond("reset", m.Reset))
		for _, t := range m.Transitions {
			p.line(" from", flag(t.Any, "any"), fmt.Sprint(t.From), count("to", t.To), p.cond("when", t.When))
		}
	}
	for i := range d.Timers {
		t := &d.Timers[i]
		p.line("timer", strconv.Itoa(i), t.Path, flag(t.Starts, "starts"), flag(t.InLast, "in last"), flag(t.Lowered, "lowered"),
			p.cond("run", t.Run), p.cond("stop", t.Stop))
		for _, c := range t.Cases {
			p.line(" lasts", unit.Format(c.Min, unit.Time), "to", unit.Format(c.Max, unit.Time), c.Name, p.cond("when", c.When))
		}
	}
	for i := range d.Beats {
		t := &d.Beats[i]
		p.line(p.head(&t.Info), "on", unit.Format(t.On, unit.Time), "off", unit.Format(t.Off, unit.Time), p.cond("while", t.While))
	}
	for i := range d.Edges {
		p.line("edge", strconv.Itoa(i), p.cond("of", d.Edges[i].Of))
	}
	for i := range d.Conditions {
		p.line(p.head(&d.Conditions[i].Info), p.cond("is", d.Conditions[i].Cond))
	}
	for i := range d.Results {
		p.line(p.head(&d.Results[i].Info))
		for j := range d.Results[i].Rows {
			r := &d.Results[i].Rows[j]
			p.line("", p.head(&r.Info), flag(r.Otherwise, "otherwise"), p.cond("when", r.When))
		}
	}
	for i := range d.Bands {
		t := &d.Bands[i]
		over := "-"
		switch {
		case t.Reading != None:
			over = d.Readings[t.Reading].Path
		case t.Quantity != None:
			over = d.Quantities[t.Quantity].Path
		}
		p.line(p.head(&t.Info), "over", over, p.memory(t.Memory), p.cond("while", t.While))
		for j := range t.Bands {
			x := &t.Bands[j]
			p.line(" ", p.head(&x.Info), x.Lo.String(), "to", x.Hi.String(), flag(x.Keeps, "keeps"),
				flag(x.EntersAs != None, count("enters as", x.EntersAs)), p.cond("claims", x.Claim), p.cond("in", x.In))
		}
	}
}

func (d *Design) measurePath(m *Measure) string {
	switch m.Kind {
	case Amps:
		return "current through " + d.Elements[m.Element].Path
	case AmpereTurns:
		return "ampere-turns"
	}
	if m.B == None {
		return "volts at " + d.Nodes[m.A].Path
	}
	return "volts " + d.Nodes[m.A].Path + " to " + d.Nodes[m.B].Path
}

func (p *dumper) claims() {
	d := p.d
	for i := range d.Assumptions {
		a := &d.Assumptions[i]
		subject := ""
		switch {
		case a.Quantity != None:
			subject = d.Quantities[a.Quantity].Path
		case a.Setting != None && a.Position >= 0:
			subject = d.Settings[a.Setting].Path + " to " + d.Settings[a.Setting].Positions[a.Position]
		}
		p.line(p.head(&a.Info), a.Form.String(), subject, p.cond("", a.Cond))
	}
	for i := range d.Requirements {
		r := &d.Requirements[i]
		apart := ""
		if r.Form == Apart {
			apart = p.node(r.X) + " and " + p.node(r.Y)
		}
		p.line(p.head(&r.Info), r.Form.String(), p.cond("", r.A), p.cond("by", r.B), apart, number("within", r.Seconds, unit.Time), flag(r.Despite, "despite "+r.With.String()))
	}
	for i := range d.Drives {
		v := &d.Drives[i]
		choices := ""
		for _, c := range v.Choices {
			choices += " with " + c.Option + " is " + c.Position
		}
		p.line(p.head(&v.Info), strings.TrimSpace(choices), p.after(v))
		for j := range v.Steps {
			p.step(&v.Steps[j])
		}
	}
	for i := range d.Symptoms {
		p.line(p.head(&d.Symptoms[i].Info), strconv.Quote(d.Symptoms[i].Text), p.cond("", d.Symptoms[i].Cond))
	}
	for i := range d.Notices {
		n := &d.Notices[i]
		of := n.Of
		if of == "" {
			of = (&FaultChoice{Only: n.Only}).String()
		} else if n.But != nil {
			of += " but " + (&FaultChoice{Only: n.But}).String()
		}
		p.line(p.head(&n.Info), of, p.cond("shows", n.Shows), p.cond("refuses", n.Refuses), p.cond("before", n.Before))
	}
	for i := range d.Faults {
		p.line(p.head(&d.Faults[i].Info), strconv.Quote(d.Faults[i].Text))
		for _, a := range d.Faults[i].Actions {
			p.fault(&a)
		}
	}
	for _, a := range d.Acceptances {
		p.line("accept", a.Rule, "on", strconv.Quote(a.On), strconv.Quote(a.Reason), a.Until)
	}
}

func (p *dumper) after(v *Drive) string {
	if v.After == None {
		return ""
	}
	return "after " + p.d.Drives[v.After].Path
}

func (p *dumper) step(s *Step) {
	d := p.d
	p.line(" step", s.Name, number("wait", s.Wait, unit.Time))
	for _, a := range s.Sets {
		switch {
		case a.Setting != None:
			p.line("  set", d.Settings[a.Setting].Path, d.Settings[a.Setting].Positions[a.Position])
		case a.Quantity != None:
			p.line("  set", d.Quantities[a.Quantity].Path, a.Value.String())
		case a.Supply != None:
			p.line("  set", d.Supplies[a.Supply].Path, a.Value.String())
		}
	}
	for _, r := range s.Ramps {
		p.line("  ramp", d.Quantities[r.Quantity].Path, "to", r.To.String(), "over", unit.Format(r.Seconds, unit.Time))
	}
	for _, f := range s.Faults {
		p.fault(&f)
	}
	for _, v := range s.Sees {
		p.line("  see", p.cond("", v.Cond), [...]string{AtEnd: "at end", Throughout: "throughout", Once: "once"}[v.When], p.cond("", v.Once))
	}
}

func (p *dumper) fault(a *FaultAction) {
	switch {
	case a.Mode == FaultSwapped:
		p.line("  swap", a.Thing.Path, "with", a.Other.Path)
	case a.Mend:
		p.line("  mend", a.Thing.Path)
	default:
		p.line("  fail", a.Thing.Path, string(a.Mode))
	}
}

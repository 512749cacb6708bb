package wiring

import (
	"fmt"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func inputUnread() rule.Rule {
	return rule.Rule{
		Name:       "input-unread",
		Severity:   diag.Warning,
		Summary:    "a wired controller input that has no effect",
		Why:        "somebody laid a wire to this input, and the controller ignores it",
		Doc:        pages.Of("input-unread"),
		Needs:      rule.Circuit,
		Everywhere: true,
		Run:        findUnreadInputs,
	}
}

func findUnreadInputs(p *rule.Pass) {
	v := look(p)
	if !v.sure() || len(v.d.Readings) == 0 {
		return
	}
	decides := decisive(v.d)
	if decides == nil {
		return
	}
	does := map[model.ControllerID]bool{}
	for i := range v.d.Drivers {
		does[v.d.Drivers[i].Controller] = true
	}
	for i := range v.d.Readings {
		r := &v.d.Readings[i]
		switch {
		case r.Broken || v.d.Nodes[r.Pin].Broken || v.d.Elsewhere(&r.Info):
		case decides[model.ReadingID(i)]:
			p.Clear(r.Path)
		case !does[r.Controller]: // one that is described by what it reads alone
		case !pinIsWired(v.d, looms.Of(p), r.Pin) || !v.told(r): // it may have inputs to spare
		default:
			box := v.d.Controllers[r.Controller].Path
			f := diag.Finding{
				Place:   evidence.Site(v.d, &r.Info),
				Subject: r.Path,
				Message: fmt.Sprintf("nothing in %s reads %s", box, r.Path),
				Help:    fmt.Sprintf("let what %s is wired up for decide something: a driver, a threshold, a transition; or take the wire out", r.Path),
			}
			if r.Used > 0 {
				f.Message = fmt.Sprintf("%s decides nothing: no output, mode or symptom of %s depends on it", r.Path, box)
			}
			p.Report(f)
		}
	}
}

// decisive marks the inputs that anything depends on that conducts, moves or is shown:
// switches, passages, supplies, modes and symptoms. Claims and drives look on only. It is nil
// where a condition could not be read.
func decisive(d *model.Design) map[model.ReadingID]bool {
	out := map[model.ReadingID]bool{}
	known := true
	seen := map[*model.Cond]bool{}
	var walk func(c *model.Cond)
	memory := func(id model.MemoryID) {
		if id == model.None {
			return
		}
		m := &d.Memories[id]
		switch m.MemKind {
		case model.MemLevel:
			out[model.ReadingID(m.Of)] = true
		case model.MemThreshold:
			if r := d.Thresholds[m.Of].Reading; r != model.None {
				out[r] = true
			}
		}
		for _, r := range m.Rules {
			walk(r.When)
		}
	}
	walk = func(c *model.Cond) {
		if c == nil || seen[c] {
			return
		}
		seen[c] = true
		known = known && c.Known()
		c.Atoms(func(c *model.Cond) {
			switch a := &c.Atom; a.Kind {
			case model.AtomReading:
				out[model.ReadingID(a.Index)] = true
			case model.AtomMemory:
				memory(model.MemoryID(a.Index))
			case model.AtomTimer:
				t := &d.Timers[a.Index]
				walk(t.Run)
				walk(t.Stop)
				for _, k := range t.Cases {
					walk(k.When)
				}
			case model.AtomBeat:
				walk(d.Beats[a.Index].While)
			case model.AtomEdge:
				walk(d.Edges[a.Index].Of)
			case model.AtomCondition:
				walk(d.Conditions[a.Index].Cond)
			case model.AtomResult:
				for _, row := range d.Results[a.Index].Rows {
					walk(row.When)
				}
			case model.AtomBands:
				b := &d.Bands[a.Index]
				walk(b.While)
				if b.Reading != model.None {
					out[b.Reading] = true
				}
				memory(b.Memory)
			}
		})
	}
	for i := range d.Elements {
		walk(d.Elements[i].Closed)
	}
	for i := range d.Contacts {
		walk(d.Contacts[i].When)
	}
	for i := range d.Supplies {
		walk(d.Supplies[i].While)
	}
	for i := range d.Origins {
		walk(d.Origins[i].Present)
	}
	for i := range d.Passages {
		walk(d.Passages[i].Open)
	}
	for i := range d.Machines {
		for _, t := range d.Machines[i].Transitions {
			walk(t.When)
		}
		walk(d.Machines[i].Reset)
	}
	for i := range d.Symptoms {
		walk(d.Symptoms[i].Cond)
	}
	for i := range d.Notices {
		walk(d.Notices[i].Shows)
		walk(d.Notices[i].Refuses)
		walk(d.Notices[i].Before)
	}
	if !known {
		return nil
	}
	return out
}

package wiring

import (
	"fmt"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func settingReachesNothing() rule.Rule {
	return rule.Rule{
		Name:       "setting-reaches-nothing",
		Severity:   diag.Warning,
		Summary:    "a setting whose positions change nothing",
		Why:        "whoever turns this knob waits for something that never happens",
		Doc:        pages.Of("setting-reaches-nothing"),
		Needs:      rule.States,
		Everywhere: true,
		Run:        findIdleSettings,
	}
}

func findIdleSettings(p *rule.Pass) {
	v := look(p)
	s, idle := v.withoutIdle()
	spoken := v.spokenOf()
	for i := range v.d.Settings {
		k := &v.d.Settings[i]
		if k.Broken || k.Used == 0 || len(k.Positions) < 2 {
			continue // one that nobody names is reported as unused
		}
		named := slices.ContainsFunc(idle, func(id model.ElementID) bool { return mentions(v.d.Elements[id].Closed, model.SettingID(i)) })
		if said := spoken[i]; said != nil && !named {
			p.Clear(k.Path) // it stands for something that the claims are about
			continue
		}
		nothing, err := s.Idle(p.Ctx, model.SettingID(i))
		p.StopOn(err)
		if !nothing {
			p.Clear(k.Path)
			continue
		}
		f := diag.Finding{
			Place:   evidence.Site(v.d, &k.Info),
			Subject: k.Path,
			Message: fmt.Sprintf("%s changes nothing, whichever of its positions it is in", k.Path),
			Help:    "wire up what it switches, use it in a condition, or remove it",
		}
		if said := spoken[i]; said != nil {
			f.Message = fmt.Sprintf("%s changes nothing but what is said of it, whichever of its positions it is in", k.Path)
			f.Related = append(f.Related, diag.Related{Place: said.NamePlace, Note: said.Path + " names it"})
		}
		for _, id := range idle {
			e := &v.d.Elements[id]
			if mentions(e.Closed, model.SettingID(i)) {
				f.Related = append(f.Related, diag.Related{Place: evidence.Site(v.d, &e.Info), Note: evidence.Thing(v.d, e) + " leads nowhere"})
			}
		}
		p.Report(f)
	}
}

// spokenOf gives, by setting, a symptom or claim that names it, directly or through a named
// condition.
func (v *view) spokenOf() []*model.Info {
	out := make([]*model.Info, len(v.d.Settings))
	var say func(c *model.Cond, by *model.Info, deep int)
	say = func(c *model.Cond, by *model.Info, deep int) {
		c.Atoms(func(a *model.Cond) {
			switch a.Atom.Kind {
			case model.AtomSetting:
				if out[a.Atom.Index] == nil {
					out[a.Atom.Index] = by
				}
			case model.AtomCondition:
				if deep > 0 {
					say(v.d.Conditions[a.Atom.Index].Cond, by, deep-1)
				}
			}
		})
	}
	const deepest = 20 // in case named conditions go round
	for i := range v.d.Symptoms {
		k := &v.d.Symptoms[i]
		say(k.Cond, &k.Info, deepest)
	}
	for i := range v.d.Requirements {
		r := &v.d.Requirements[i]
		say(r.A, &r.Info, deepest)
		say(r.B, &r.Info, deepest)
	}
	return out
}

func mentions(c *model.Cond, id model.SettingID) bool {
	found := false
	c.Atoms(func(a *model.Cond) {
		found = found || a.Atom.Kind == model.AtomSetting && a.Atom.Index == int(id)
	})
	return found
}

// withoutIdle is the state system of the design as if the contacts that can never carry
// any current stood open for good, and lists these. Symptoms and claims, those of bands too, are
// not in it, but for a design in which there are no such contacts.
func (v *view) withoutIdle() (*system.System, []model.ElementID) {
	idle := v.idle()
	if len(idle) == 0 || !v.sure() {
		return v.at(circuit.Nominal), nil
	}
	d := *v.d
	d.Symptoms, d.Requirements, d.Notices = nil, nil, nil // they only look on
	withoutBands(&d)
	d.Elements, d.Contacts = slices.Clone(d.Elements), slices.Clone(d.Contacts)
	for _, id := range idle {
		d.Elements[id].Closed = model.False
	}
	for i := range d.Contacts {
		k := &d.Contacts[i]
		still := func(e model.ElementID) bool { return e == model.None || slices.Contains(idle, e) }
		if still(k.RestElem) && still(k.WorkElem) {
			k.When, k.Made = nil, model.False
		}
	}
	s, err := system.Build(v.p.Ctx, &d, system.Options{MaxNodes: v.p.Limits.Nodes, MaxZones: v.p.Limits.Zones, Memo: v.p.Memo})
	v.p.StopOn(err)
	return s, idle
}

// withoutBands takes the bands out of a design, with the memories that tell in which one it is,
// unless something else asks in which one it is.
func withoutBands(d *model.Design) {
	bands, memories := d.Bands, d.Memories
	d.Bands, d.Memories = nil, slices.Clone(d.Memories)
	for i := range d.Memories {
		if d.Memories[i].MemKind == model.MemBand {
			d.Memories[i].Rules = nil
		}
	}
	asked := false
	d.EachCond(func(c *model.Cond) {
		c.Atoms(func(a *model.Cond) {
			asked = asked || a.Atom.Kind == model.AtomBands || a.Atom.Kind == model.AtomMemory && d.Memories[a.Atom.Index].MemKind == model.MemBand
		})
	})
	if asked {
		d.Bands, d.Memories = bands, memories
	}
}

// idle lists the contacts and joins of charts that lie on no ring with anything else, so
// that no current can ever run through them. What is asked anywhere about volts, and what
// ends at a pin of which nothing is known inside, counts as joined to ground; so does what
// leads to a supply, load, winding or controller: what those lack is said of them.
func (v *view) idle() []model.ElementID {
	at, outlet := bounds.Of(v.p).at, v.outlets()
	var out []model.ElementID
	for i := range v.d.Elements {
		e := &v.d.Elements[i]
		if (e.Type == model.ElemContact || e.Type == model.ElemChart) && !e.Broken && !ring(v.d, at, outlet, model.ElementID(i)) {
			out = append(out, model.ElementID(i))
		}
	}
	return out
}

// outlets marks the nodes at which a current or a reading may go on to something that
// counts; see idle.
func (v *view) outlets() []bool {
	at := bounds.Of(v.p).at
	outlet := slices.Clone(consequence.Asked(v.p))
	if v.d.Ground != model.None {
		outlet[v.d.Ground] = true
	}
	for i := range v.d.Elements {
		if e := &v.d.Elements[i]; e.Type == model.ElemLoad || e.Type == model.ElemCoil || e.Type == model.ElemSupply {
			outlet[e.A], outlet[e.B] = true, true
		}
	}
	for i := range v.d.Controllers {
		if k := &v.d.Controllers[i]; !k.Broken {
			outlet[k.Plus], outlet[k.Minus] = true, true
		}
	}
	for _, s := range v.d.Senders {
		if s.Pin != model.None {
			outlet[s.Pin] = true
		}
	}
	for _, r := range v.d.Readings {
		if r.Pin != model.None {
			outlet[r.Pin] = true
		}
	}
	for i := range v.d.Nodes {
		n := &v.d.Nodes[i]
		outlet[i] = outlet[i] || n.Broken || n.IsPin && n.Info.Fit != model.None && !slices.ContainsFunc(at[i], func(id model.ElementID) bool {
			return within(v.d, v.d.Elements[id].Info.Fit, n.Info.Fit)
		})
	}
	return outlet
}

// ring reports whether the ends of an element are joined by other elements, all outlets
// being one.
func ring(d *model.Design, at [][]model.ElementID, outlet []bool, id model.ElementID) bool {
	e := &d.Elements[id]
	seen := make([]bool, len(d.Nodes))
	queue := []model.NodeID{e.A}
	seen[e.A] = true
	out := outlet[e.A]
	for ; len(queue) > 0; queue = queue[1:] {
		for _, k := range at[queue[0]] {
			if k == id {
				continue
			}
			next := d.Elements[k].A + d.Elements[k].B - queue[0]
			if !seen[next] {
				seen[next] = true
				out = out || outlet[next]
				queue = append(queue, next)
			}
		}
	}
	if seen[e.B] {
		return true
	}
	if !out {
		return false
	}
	// The other end has to come to an outlet too.
	reached := make([]bool, len(d.Nodes))
	reached[e.B] = true
	for queue = []model.NodeID{e.B}; len(queue) > 0; queue = queue[1:] {
		if outlet[queue[0]] {
			return true
		}
		for _, k := range at[queue[0]] {
			if next := d.Elements[k].A + d.Elements[k].B - queue[0]; k != id && !reached[next] {
				reached[next] = true
				queue = append(queue, next)
			}
		}
	}
	return false
}

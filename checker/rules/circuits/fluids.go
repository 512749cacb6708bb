package circuits

import (
	"fmt"
	"slices"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func fedAndVented() rule.Rule {
	return rule.Rule{
		Name:     "fed-and-vented",
		Severity: diag.Warning,
		Summary:  "a port that open passages join to its source and to air at once",
		Why:      "it gets neither properly, and the pump draws false air",
		Doc:      pages.Of("fed-and-vented"),
		Needs:    rule.States,
		Fixable:  true,
		Run:      findFedAndVented,
	}
}

func findFedAndVented(p *rule.Pass) {
	v := look(p)
	told := map[model.PortID]bool{}
	// Ends first: what is fed and vented is felt where the fluid is to do something.
	order := v.ports()
	for _, id := range order {
		port := &v.d.Ports[id]
		if port.Broken || port.OpenToAir || port.Origin != model.None || told[id] {
			continue
		}
		trace, ok := v.can(&port.Info, system.FedAndVented(id))
		if ok != ask.Yes {
			continue
		}
		holds := v.holdsAt(trace)
		fed, _ := v.p.Fluid().Way(id, false, holds)
		vented, _ := v.p.Fluid().Way(id, true, holds)
		for _, w := range append(slices.Clone(fed), vented...) {
			told[v.d.Passages[w].A], told[v.d.Passages[w].B] = true, true
		}
		f := diag.Finding{
			Message: fmt.Sprintf("%s has %s and %s at once", port.Path, sourced(port), around(port)),
			Why:     spoilt(port),
			Place:   evidence.Site(v.d, &port.Info),
			Subject: port.Path,
			Help:    "let one passage close before the other opens, or make their conditions exclude each other",
			Evidence: append([]diag.Evidence{
				v.passages("the way of the "+medium(port), fed), v.passages("the way of "+around(port), vented),
			}, evidence.Moves("how it comes about", trace)...),
		}
		v.changedOver(&f, vented)
		v.p.Report(f)
	}
}

// sourced is the fluid of a port, told apart from the air around.
func sourced(p *model.Port) string {
	if p.Medium == "air" {
		return "the air of its source"
	}
	return medium(p)
}

func around(p *model.Port) string {
	if p.Medium == "air" {
		return "the open air"
	}
	return "air"
}

// spoilt is why a fluid and the air around must not come together.
func spoilt(p *model.Port) string {
	switch p.Medium {
	case "vacuum":
		return "it gets neither properly, and the pump draws false air"
	case "pressure", "air":
		return "it gets neither the one nor the other, and what the source gives escapes"
	}
	return "it gets neither the one nor the other, and what is in it runs out or takes up air"
}

func medium(p *model.Port) string {
	if p.Medium == "" {
		return "its fluid"
	}
	return p.Medium
}

// ports lists all ports, those first that end a way: with nothing but hoses on them.
func (v *view) ports() []model.PortID {
	var ends, others []model.PortID
	for i := range v.d.Ports {
		if v.ends(model.PortID(i)) {
			ends = append(ends, model.PortID(i))
		} else {
			others = append(others, model.PortID(i))
		}
	}
	return append(ends, others...)
}

// ends reports whether a port is where a fluid is used: a hose comes to it and no passage
// leads on from it.
func (v *view) ends(id model.PortID) bool {
	hoses := 0
	for i := range v.d.Passages {
		k := &v.d.Passages[i]
		if k.A != id && k.B != id {
			continue
		}
		if !k.Hose {
			return false
		}
		hoses++
	}
	p := &v.d.Ports[id]
	return hoses > 0 && p.Origin == model.None && !p.OpenToAir
}

// holdsAt evaluates conditions in the state that a trace ends in.
func (v *view) holdsAt(t *system.Trace) func(*model.Cond) bool {
	return func(c *model.Cond) bool {
		e, err := v.s.Expr(v.p.Ctx, c)
		v.p.StopOn(err)
		return t.Holds(e)
	}
}

func (v *view) passages(title string, way []model.PassageID) diag.Evidence {
	ev := diag.Evidence{Kind: diag.Path, Title: title}
	for _, id := range way {
		k := &v.d.Passages[id]
		ev.Lines = append(ev.Lines, diag.Line{
			Text: fmt.Sprintf("%s: %s to %s", k.Path, v.d.Ports[k.A].Path, v.d.Ports[k.B].Path), Place: k.Place,
		})
	}
	return ev
}

func fluidAbsentWhenNeeded() rule.Rule {
	return rule.Rule{
		Name:         "fluid-absent-when-needed",
		Severity:     diag.Error,
		Summary:      "a port that uses a fluid, or that a condition asks to be fed, and that is fed in no reachable state",
		Why:          "the diaphragm, piston or injector never moves",
		Doc:          pages.Of("fluid-absent-when-needed"),
		Needs:        rule.States,
		Everywhere:   true,
		SuppressedBy: []string{"fed-and-vented"},
		Run:          findUnfed,
	}
}

func findUnfed(p *rule.Pass) {
	v := look(p)
	if v.d.Bench || len(v.d.Origins) == 0 || len(v.d.Incomplete) > 0 {
		return
	}
	asked := askedPorts(v.d, model.AtomFed)
	for i := range v.d.Ports {
		id := model.PortID(i)
		port := &v.d.Ports[i]
		if port.Broken || port.OpenToAir || port.Origin != model.None || v.d.Elsewhere(&port.Info) || !asked[id] && !v.ends(id) {
			continue
		}
		fed := ask.Atom(model.Atom{Kind: model.AtomFed, Index: i})
		if consequence.Restless(p, fed) {
			continue
		}
		switch v.never(&port.Info, fed) {
		case ask.Yes:
			v.reportUnfed(id, port)
		case ask.No:
			p.Clear(port.Path)
		}
	}
}

func (v *view) reportUnfed(id model.PortID, port *model.Port) {
	f := diag.Finding{
		Message: fmt.Sprintf("%s is never fed", port.Path),
		Place:   evidence.Site(v.d, &port.Info),
		Subject: port.Path,
		Help:    "check when the passages on its path open, and when its source is present",
	}
	always := func(*model.Cond) bool { return true }
	way, joined := v.p.Fluid().Way(id, false, always)
	if !joined {
		v.unjoined(&f, id, port)
		v.p.Report(f)
		return
	}
	f.Evidence = []diag.Evidence{v.passages("the way that it has", way)}
	for _, w := range way {
		k := &v.d.Passages[w]
		if k.Open == nil {
			continue
		}
		if _, ok := v.can(&port.Info, system.On(k.Open)); ok == ask.No {
			if consequence.Reported(v.p, k.Open) {
				return // the finding is about what would open it
			}
			f.Message += fmt.Sprintf(": %s never opens", k.Path)
			f.Related = []diag.Related{{Place: k.Place, Note: "open in no reachable state"}}
			v.p.Report(f)
			return
		}
	}
	for i := range v.d.Origins {
		o := &v.d.Origins[i]
		if o.Present == nil || o.Broken {
			continue
		}
		if _, ok := v.can(&port.Info, system.On(o.Present)); ok == ask.No {
			f.Related = append(f.Related, diag.Related{Place: o.Place, Note: "present in no reachable state"})
		}
	}
	if len(f.Related) == 0 {
		f.Message += ": its way is never open from end to end while its source is there"
	}
	v.p.Report(f)
}

// unjoined tells of a port to which no way leads what stands in its way: a passage that
// lets things through in the other direction only, or how far it gets.
func (v *view) unjoined(f *diag.Finding, id model.PortID, port *model.Port) {
	way, against := v.p.Fluid().WayAgainst(id)
	if len(against) == 0 {
		f.Message += fmt.Sprintf(": no way leads to it from any source of %s", medium(port))
		f.Help = "lay a hose to it"
		if way != nil {
			f.Evidence = []diag.Evidence{v.passages("as far as a way leads from it", way)}
		}
		return
	}
	k := &v.d.Passages[against[0]]
	f.Message += fmt.Sprintf(": %s passes the other way only", k.Path)
	f.Help = fmt.Sprintf("turn %s round: it has to pass from its source to %s", k.Path, port.Path)
	for _, id := range against {
		k := &v.d.Passages[id]
		f.Related = append(f.Related, diag.Related{Place: k.Place,
			Note: fmt.Sprintf("passes from %s to %s only", v.d.Ports[k.A].Path, v.d.Ports[k.B].Path)})
	}
	f.Evidence = []diag.Evidence{v.passages("the way that it would have", way)}
}

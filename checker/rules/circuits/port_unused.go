package circuits

import (
	"fmt"
	"slices"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func portUnused() rule.Rule {
	return rule.Rule{
		Name:       "port-unused",
		Severity:   diag.Note,
		Summary:    "a port without a hose at the end of a passage",
		Why:        "half a path carries nothing: the hose was forgotten, or the passage is not needed",
		Doc:        pages.Of("port-unused"),
		Needs:      rule.Design,
		Everywhere: true,
		Run:        findUnusedPorts,
	}
}

func findUnusedPorts(p *rule.Pass) {
	d := p.Design
	if d.Bench || len(d.Incomplete) > 0 {
		return
	}
	at := make([][]*model.Passage, len(d.Ports))
	for i := range d.Passages {
		k := &d.Passages[i]
		if k.Broken {
			return // it may end anywhere
		}
		at[k.A], at[k.B] = append(at[k.A], k), append(at[k.B], k)
	}
	asked := askedPorts(d, model.AtomFed, model.AtomVented, model.AtomNeither)
	joined := func(id model.PortID) bool {
		if p := &d.Ports[id]; p.OpenToAir || p.Origin != model.None {
			return true
		}
		for _, k := range at[id] {
			if k.Hose || k.Fit != d.Ports[id].Fit {
				return true
			}
		}
		return false
	}
	for i := range d.Ports {
		id, port := model.PortID(i), &d.Ports[i]
		if port.Broken || port.Fit == model.None || d.Elsewhere(&port.Info) {
			continue
		}
		if asked[id] || joined(id) {
			p.Clear(port.Path)
			continue
		}
		// A chamber on the way from one port to another needs no hose of its own, and a port
		// that also serves others may have a spare one.
		var from *model.Passage
		onward := map[model.PortID]bool{}
		for _, k := range at[id] {
			other := k.A + k.B - id
			if from == nil && joined(other) && servesOnly(d, at[other], other, id) {
				from = k
			}
			if other != id && !d.Ports[other].OpenToAir {
				onward[other] = true
			}
		}
		if from == nil || len(onward) > 1 {
			continue
		}
		p.Report(diag.Finding{
			Place: evidence.Site(d, &port.Info), Subject: port.Path,
			Message: fmt.Sprintf("%s has no hose, and %s leads to it", port.Path, from.Path),
			Help:    "lay a hose to it, or remove the passage; if it is a chamber that moves something, ask for it in a condition: `is fed`",
			Related: []diag.Related{{Place: from.Place, Note: "leads to it"}},
		})
	}
}

// servesOnly reports whether the passages inside of a body lead from one port to just one
// other.
func servesOnly(d *model.Design, ks []*model.Passage, from, to model.PortID) bool {
	for _, k := range ks {
		if !k.Hose && k.Fit == d.Ports[from].Fit && k.A+k.B-from != to {
			return false
		}
	}
	return true
}

// askedPorts marks the ports of which some kinds of conditions ask.
func askedPorts(d *model.Design, kinds ...model.AtomKind) []bool {
	out := make([]bool, len(d.Ports))
	d.EachCond(func(c *model.Cond) {
		c.Atoms(func(a *model.Cond) {
			if slices.Contains(kinds, a.Atom.Kind) {
				out[a.Atom.Index] = true
			}
		})
	})
	return out
}

package wiring

import (
	"fmt"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func inputNotWired() rule.Rule {
	return rule.Rule{
		Name:       "input-not-wired",
		Severity:   diag.Warning,
		Summary:    "a controller reads a pin that nothing can reach",
		Why:        "the controller decides by the reading of a loose pin, and that never changes",
		Doc:        pages.Of("input-not-wired"),
		Needs:      rule.Circuit,
		Everywhere: true,
		Run:        findUnwiredInputs,
	}
}

func findUnwiredInputs(p *rule.Pass) {
	if p.Design.Bench { // it wires what it is about
		return
	}
	v := look(p)
	for i := range v.d.Readings {
		r := &v.d.Readings[i]
		if r.Broken || r.Used == 0 || v.d.Nodes[r.Pin].Broken || v.d.Elsewhere(&r.Info) {
			continue
		}
		if len(v.d.Incomplete) > 0 || v.told(r) {
			p.Clear(r.Path)
			continue
		}
		f := diag.Finding{Place: evidence.Site(v.d, &r.Info), Subject: r.Path}
		pin := v.d.Nodes[r.Pin].Path
		switch {
		case r.Sender && v.wired(r.Pin):
			f.Message = fmt.Sprintf("no sender tells %s anything: what %s is wired to has none", r.Path, pin)
		case r.Sender:
			f.Message = fmt.Sprintf("no sender tells %s anything: %s has no wire", r.Path, pin)
		case v.wired(r.Pin):
			f.Message = fmt.Sprintf("%s reads %s, and what that is wired to leads nowhere", r.Path, pin)
		default:
			f.Message = fmt.Sprintf("%s reads %s, which has no wire", r.Path, pin)
		}
		if r.Sender {
			f.Help = "wire a sender to it, or take out what depends on it"
		} else {
			f.Help = "wire it to what it is to read, or take out what depends on it"
		}
		p.Report(f)
	}
}

// told reports whether anything can ever reach an input: a sender, or a way over any
// elements to ground, a supply, or another controller.
func (v *view) told(r *model.Reading) bool {
	if r.Sender {
		return len(r.Senders) > 0 || v.leadsElsewhere(r.Pin)
	}
	ends := map[model.NodeID]bool{v.d.Ground: true}
	seen := map[model.NodeID]bool{r.Pin: true}
	for queue := []model.NodeID{r.Pin}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if ends[n] && n != r.Pin || v.stub(n) {
			return true
		}
		for _, id := range bounds.Of(v.p).at[n] {
			e := &v.d.Elements[id]
			switch {
			case e.Type == model.ElemPull && e.B == n && v.d.Nodes[n].Info.Fit == v.d.Nodes[r.Pin].Info.Fit && n == r.Pin:
				continue // its own
			case e.Type == model.ElemSupply, e.Type == model.ElemPull:
				return true
			}
			if next := e.A + e.B - n; !seen[next] {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	return false
}

// stub reports whether a node belongs to a body that describes something only from the
// outside.
func (v *view) stub(n model.NodeID) bool { return v.d.Elsewhere(&v.d.Nodes[n].Info) }

// leadsElsewhere reports whether metal can join a node to a body that is known only from
// the outside.
func (v *view) leadsElsewhere(from model.NodeID) bool {
	net := netsOf(v.d, v.canConduct)
	for i := range v.d.Nodes {
		if n := model.NodeID(i); net(n) == net(from) && v.stub(n) {
			return true
		}
	}
	return false
}

// wired reports whether a wire or a connector ends at a pin.
func (v *view) wired(n model.NodeID) bool {
	for _, id := range bounds.Of(v.p).at[n] {
		if t := v.d.Elements[id].Type; t == model.ElemWire || t == model.ElemConnector {
			return true
		}
	}
	return false
}

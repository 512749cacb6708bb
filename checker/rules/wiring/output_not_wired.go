package wiring

import (
	"fmt"

	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func outputNotWired() rule.Rule {
	return rule.Rule{
		Name:       "output-not-wired",
		Severity:   diag.Warning,
		Summary:    "a controller output that has a condition but switches nothing",
		Why:        "the controller decides, and nothing happens on the vehicle: what the output should switch is wired elsewhere or not at all",
		Doc:        pages.Of("output-not-wired"),
		Needs:      rule.Circuit,
		Everywhere: true,
		Run:        findUnwiredOutputs,
	}
}

func findUnwiredOutputs(p *rule.Pass) {
	v := look(p)
	if v.d.Bench || !v.sure() {
		return // a bench wires what it is about
	}
	outlet := v.outlets()
	for i := range v.d.Drivers {
		k := &v.d.Drivers[i]
		if k.Broken || !k.When.Known() || k.When == nil || k.When.Op == model.CondTrue || v.d.Nodes[k.Pin].Broken || v.d.Elsewhere(&k.Info) {
			continue
		}
		leads, joint := v.leadsTo(k.Pin, outlet)
		if leads {
			p.Clear(k.Path)
			continue
		}
		if joint {
			continue // wire-dangling and splice-single tell of wires that end there
		}
		pin := &v.d.Nodes[k.Pin]
		f := diag.Finding{
			Place:   evidence.Site(v.d, &k.Info),
			Subject: k.Path,
			Message: fmt.Sprintf("%s switches %s, which has no wire", k.Path, pin.Path),
			Help:    fmt.Sprintf("wire %s to what it is to switch, or leave %s out", pin.Path, k.Path),
		}
		if v.wired(k.Pin) {
			f.Message = fmt.Sprintf("%s switches %s, and what that is wired to leads nowhere", k.Path, pin.Path)
		}
		// What a part can do and this vehicle does not use may be meant.
		if evidence.OfPart(v.d, &k.Info) {
			f.Severity = diag.Note
		}
		p.Report(f)
	}
}

// leadsTo reports whether anything but the box itself, its drivers and pulls there, joins the
// pin of an output to an outlet, and whether a connector or a splice is on the way. A pin that
// a condition asks about is in use.
func (v *view) leadsTo(from model.NodeID, outlet []bool) (leads, joint bool) {
	if consequence.Asked(v.p)[from] {
		return true, false
	}
	at := bounds.Of(v.p).at
	seen := map[model.NodeID]bool{from: true}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := &v.d.Nodes[queue[0]]
		joint = joint || n.Connector != model.None || n.Kind == "splice"
		for _, id := range at[queue[0]] {
			e := &v.d.Elements[id]
			next := e.A + e.B - queue[0]
			if seen[next] || queue[0] == from && (e.Type == model.ElemDriver || e.Type == model.ElemPull) {
				continue
			}
			if outlet[next] {
				return true, joint
			}
			seen[next] = true
			queue = append(queue, next)
		}
	}
	return false, joint
}

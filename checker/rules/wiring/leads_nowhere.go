package wiring

import (
	"fmt"
	"slices"

	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func leadsNowhere() rule.Rule {
	return rule.Rule{
		Name:       "leads-nowhere",
		Severity:   diag.Warning,
		Summary:    "a fuse or contact with nothing at one of its ends, while the other one is wired",
		Why:        "what it was to protect or to switch goes on without it, or was forgotten",
		Doc:        pages.Of("leads-nowhere"),
		Needs:      rule.Circuit,
		Fixable:    true,
		Everywhere: true,
		Run:        findLeadingNowhere,
	}
}

func findLeadingNowhere(p *rule.Pass) {
	v := look(p)
	if v.d.Bench || !v.sure() {
		return
	}
	l, outlet := looms.Of(p), v.outlets()
	for i := range v.d.Elements {
		id, e := model.ElementID(i), &v.d.Elements[i]
		if e.Broken || e.A == e.B || e.Sometimes || v.d.Elsewhere(&e.Info) || e.Type != model.ElemFuse && e.Type != model.ElemContact {
			continue
		}
		bare, wired, is := v.oneEnded(l, id)
		if !is || outlet[bare] || v.spareThrow(l, id, wired) {
			p.Clear(e.Path)
			continue
		}
		v.reportNowhere(l, e, bare, wired)
	}
}

// oneEnded are the end of a fuse or contact at which nothing else ends, and the one at which
// something from outside does. What a coil moves, and a fuse in a body of its own, may have a pin to
// spare: of these `pin-unused` speaks.
func (v *view) oneEnded(l *loom, id model.ElementID) (bare, wired model.NodeID, is bool) {
	e := &v.d.Elements[id]
	alone := func(n model.NodeID) bool { return len(l.wires[n]) == 0 && len(l.other[n]) == 1 }
	bare, wired = e.B, e.A
	if alone(e.A) {
		bare, wired = e.A, e.B
	}
	if !alone(bare) || alone(wired) || v.d.Nodes[bare].Broken || v.d.Nodes[wired].Broken {
		return bare, wired, false
	}
	if e.Type == model.ElemFuse {
		return bare, wired, !v.d.Nodes[bare].IsPin
	}
	if v.d.Contacts[e.Of].By != model.None {
		return bare, wired, false
	}
	// What lies beside something in use, in the same body, may be left alone.
	return bare, wired, !v.d.Nodes[wired].IsPin || pinIsWired(v.d, l, wired) && !v.besideOther(l, id, wired)
}

// besideOther reports whether something else of the same body ends at a pin.
func (v *view) besideOther(l *loom, id model.ElementID, pin model.NodeID) bool {
	return slices.ContainsFunc(l.other[pin], func(other model.ElementID) bool {
		o := &v.d.Elements[other]
		return other != id && o.Type != model.ElemConnector && within(v.d, o.Fit, v.d.Nodes[pin].Fit)
	})
}

// spareThrow reports whether another contact, or a join of a chart, in the same body ends at the
// wired end of one: a throw that is not used is in order.
func (v *view) spareThrow(l *loom, id model.ElementID, wired model.NodeID) bool {
	e := &v.d.Elements[id]
	for _, other := range l.other[wired] {
		o := &v.d.Elements[other]
		if other != id && o.Fit == e.Fit && (o.Type == model.ElemContact && e.Fit != model.None || o.Type == model.ElemContact && o.Of == e.Of || o.Type == model.ElemChart) {
			return true
		}
	}
	return false
}

func (v *view) reportNowhere(l *loom, e *model.Element, bare, wired model.NodeID) {
	from, to := &v.d.Nodes[wired], &v.d.Nodes[bare]
	lacks := "nothing else ends at " + to.Path
	if to.IsPin {
		lacks = "no wire ends at " + to.Path
	}
	f := diag.Finding{Place: evidence.Site(v.d, &e.Info), Subject: e.Path}
	if e.Type == model.ElemFuse {
		f.Message = fmt.Sprintf("%s feeds nothing: %s", e.Path, lacks)
		f.Help = fmt.Sprintf("join what it is to feed to %s, or leave it out", to.Path)
		v.p.Report(f)
		return
	}
	f.Message = fmt.Sprintf("%s switches nothing: %s", e.Path, lacks)
	f.Help = fmt.Sprintf("join what it is to switch to %s, or leave it out", to.Path)
	if on := l.wires[wired]; from.IsPin && len(on) == 2 && len(l.other[wired]) == 1 {
		one, other := &v.d.Wires[on[0]], &v.d.Wires[on[1]]
		f.Message += fmt.Sprintf(", and the current passes it by from %s to %s", one.Path, other.Path)
		f.Help = fmt.Sprintf("take %s to %s, so that the current runs through it", other.Path, to.Path)
		f.Related = []diag.Related{{Place: evidence.Site(v.d, &one.Info), Note: "ends at " + from.Path}, {Place: evidence.Site(v.d, &other.Info), Note: "ends at " + from.Path + " too"}}
		if e, ok := evidence.EndMoved(v.d, &other.Info, from.Path, to.Path); ok {
			f.Fixes = []diag.Fix{{Title: "take " + other.Path + " to " + to.Path, Edits: []diag.Edit{e}}}
		}
	}
	v.p.Report(f)
}

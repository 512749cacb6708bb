package wiring

import (
	"fmt"

	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func pinUnused() rule.Rule {
	return rule.Rule{
		Name:       "pin-unused",
		Severity:   diag.Note,
		Summary:    "a pin with one side missing: no wire to what is inside, or nothing inside for its wire",
		Why:        "half a connection does nothing: one wire was forgotten, or the other is not needed",
		Doc:        pages.Of("pin-unused"),
		Needs:      rule.Design,
		Everywhere: true,
		Run:        findUnusedPins,
	}
}

func findUnusedPins(p *rule.Pass) {
	if p.Design.Bench || len(p.Design.Incomplete) > 0 {
		return
	}
	d, l := p.Design, looms.Of(p)
	outside := func(n model.NodeID) bool { return pinIsWired(d, l, n) }
	for i := range d.Nodes {
		n, pin := model.NodeID(i), &d.Nodes[i]
		if pin.Kind != "pin" || pin.Info.Fit == model.None || pin.Broken || d.Elsewhere(&pin.Info) {
			continue
		}
		if outside(n) {
			if w, empty := wireToNothing(p, l, n); empty {
				p.Report(diag.Finding{
					Place:   evidence.Site(d, &pin.Info),
					Subject: pin.Path,
					Message: fmt.Sprintf("%s ends at %s, and nothing inside ends there", w.Path, pin.Path),
					Help:    "say what is inside at that pin, or leave the wire out",
					Related: []diag.Related{{Place: w.Place, Note: "the wire"}},
				})
			} else {
				p.Clear(pin.Path)
			}
			continue
		}
		for _, id := range l.other[n] {
			e := &d.Elements[id]
			if e.Broken || !halfWired(d, l, id, n) {
				continue
			}
			p.Report(diag.Finding{
				Place:   evidence.Site(d, &pin.Info),
				Subject: pin.Path,
				Message: fmt.Sprintf("%s has no wire, while the other end of %s has one", pin.Path, evidence.Thing(d, e)),
				Help:    "wire it, or leave out the wire at the other end",
			})
			break
		}
	}
}

// wireToNothing is the one wire that ends at a pin at which nothing of its own body does,
// while at other pins of that something does, and of which nothing is asked: a body of
// pins alone is known from the outside only, a controller may do more than is described,
// and where two wires end the pin joins them.
func wireToNothing(p *rule.Pass, l *loom, n model.NodeID) (*model.Wire, bool) {
	d := p.Design
	fit := d.Nodes[n].Info.Fit
	if len(l.wires[n]) != 1 || len(l.other[n]) > 0 || d.Fits[fit].Controller != model.None || consequence.Asked(p)[n] {
		return nil, false
	}
	for i := range d.Senders {
		if d.Senders[i].Pin == n {
			return nil, false
		}
	}
	w := &d.Wires[l.wires[n][0]]
	if w.Broken || within(d, w.Info.Fit, fit) {
		return nil, false
	}
	for i := range d.Elements {
		if e := &d.Elements[i]; within(d, e.Info.Fit, fit) {
			return w, true
		}
	}
	return nil, false
}

// pinIsWired reports whether anything from outside of its own body ends at a pin.
func pinIsWired(d *model.Design, l *loom, n model.NodeID) bool {
	own := d.Nodes[n].Info.Fit
	for _, w := range l.wires[n] {
		if !within(d, d.Wires[w].Info.Fit, own) {
			return true
		}
	}
	for _, id := range l.other[n] {
		if e := &d.Elements[id]; e.Type == model.ElemConnector || !within(d, e.Info.Fit, own) {
			return true
		}
	}
	return false
}

// within reports whether a fit is another one or lies in it.
func within(d *model.Design, fit, in model.FitID) bool {
	for ; fit != model.None; fit = d.Fits[fit].Parent {
		if fit == in {
			return true
		}
	}
	return fit == in
}

// halfWired reports whether an element ends at a pin without a wire, while its other end is
// a wired pin that is there for nothing else: a common pin also serves others, and a
// throw, a spare pole or a second filament that nobody uses is in order.
func halfWired(d *model.Design, l *loom, id model.ElementID, bare model.NodeID) bool {
	e := &d.Elements[id]
	switch e.Type {
	case model.ElemResistor, model.ElemDiode, model.ElemFuse:
	case model.ElemContact:
		if d.Contacts[e.Of].By == model.None {
			return false // what a hand moves, and reaches nothing, is another finding
		}
	default:
		return false // what lacks its feed or earth is one too; a box may have spare pins
	}
	wired := e.A + e.B - bare
	if e.A == e.B || !d.Nodes[wired].IsPin || !pinIsWired(d, l, wired) {
		return false
	}
	for _, other := range l.other[wired] {
		o := &d.Elements[other]
		if other == id || o.Type == model.ElemConnector || !within(d, o.Info.Fit, d.Nodes[wired].Info.Fit) {
			continue
		}
		return false
	}
	return true
}

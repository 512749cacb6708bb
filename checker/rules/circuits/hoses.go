package circuits

import (
	"fmt"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// hoseEnd is a hose where it ends at a port.
type hoseEnd struct {
	hose model.PassageID
	port model.PortID
}

// changedOver looks whether two hoses on the body that lets air in are changed over: with their ends
// there exchanged nothing is fed and vented at once any more, and all that is to be fed can be. Then
// that is what to do.
func (v *view) changedOver(f *diag.Finding, vented []model.PassageID) {
	for _, id := range vented {
		k := &v.d.Passages[id]
		if k.Hose || k.Fit == model.None {
			continue
		}
		on := v.hosesOn(k.Fit)
		for i, a := range on {
			for _, b := range on[i+1:] {
				if a.hose == b.hose || a.port == b.port || !v.curedBy(a, b) {
					continue
				}
				one, other := &v.d.Passages[a.hose], &v.d.Passages[b.hose]
				from, to := v.d.Ports[a.port].Path, v.d.Ports[b.port].Path
				f.Help = fmt.Sprintf("change %s and %s over at %s: %s belongs on %s and %s on %s", one.Path, other.Path, v.d.Fits[k.Fit].Path, one.Path, to, other.Path, from)
				f.Related = []diag.Related{
					{Place: one.Place, Note: "on " + from + ", belongs on " + to}, {Place: other.Place, Note: "on " + to + ", belongs on " + from},
				}
				first, ok1 := evidence.EndMoved(v.d, &one.Info, from, to)
				second, ok2 := evidence.EndMoved(v.d, &other.Info, to, from)
				if ok1 && ok2 {
					f.Fixes = []diag.Fix{{Title: fmt.Sprintf("change %s and %s over at %s", one.Path, other.Path, v.d.Fits[k.Fit].Path), Edits: []diag.Edit{first, second}}}
				}
				return
			}
		}
	}
}

// hosesOn lists the ends of hoses at ports of a fit.
func (v *view) hosesOn(fit model.FitID) []hoseEnd {
	var out []hoseEnd
	for i := range v.d.Passages {
		k := &v.d.Passages[i]
		if !k.Hose || k.Broken {
			continue
		}
		for _, p := range [...]model.PortID{k.A, k.B} {
			if v.d.Ports[p].Fit == fit {
				out = append(out, hoseEnd{model.PassageID(i), p})
			}
		}
	}
	return out
}

// curedBy reports whether a design in which two hoses have their ends exchanged is in order.
func (v *view) curedBy(a, b hoseEnd) bool {
	s := v.changed(func(d *model.Design) {
		for _, x := range [...]struct{ end, to hoseEnd }{{a, b}, {b, a}} {
			k := &d.Passages[x.end.hose]
			if k.A == x.end.port {
				k.A = x.to.port
			} else {
				k.B = x.to.port
			}
		}
	})
	if s == nil {
		return false
	}
	is := func(c system.Condition, want system.Outcome) bool {
		got, err := s.PossibleHere(v.p.Ctx, c)
		v.p.StopOn(v.p.Ctx.Err())
		return err == nil && got.Outcome == want
	}
	for i := range v.d.Ports {
		id, port := model.PortID(i), &v.d.Ports[i]
		if port.Broken || port.OpenToAir || port.Origin != model.None {
			continue
		}
		if !is(system.FedAndVented(id), system.Fails) ||
			v.ends(id) && !is(ask.Atom(model.Atom{Kind: model.AtomFed, Index: i}), system.Holds) {
			return false
		}
	}
	return true
}

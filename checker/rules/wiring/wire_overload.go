package wiring

import (
	"fmt"
	"slices"

	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func wireOverload() rule.Rule {
	return rule.Rule{
		Name:     "wire-overload",
		Severity: diag.Error,
		Summary:  "a wire that carries more current than it is rated for",
		Why:      "the wire gets hot enough to age its insulation and that of its neighbours",
		Doc:      pages.Of("wire-overload"),
		Source:   "rated currents: one maker's sheet for thin-wall cable, ISO 6722 / LV112 type B",
		Needs:    rule.States,
		Run:      findWireOverloads,
	}
}

func findWireOverloads(p *rule.Pass) {
	v := look(p)
	guarded := v.guarded()
	k := v.highest()
	told := map[model.ElementID]bool{}
	for i := range v.d.Wires {
		w := &v.d.Wires[i]
		if w.Broken || w.Element == model.None || told[w.Element] {
			continue
		}
		r, ok := v.rated(w)
		if !ok || guarded[w.Element] > 0 && guarded[w.Element] <= r.amps || bounds.Of(p).most(w.Element) <= r.amps {
			continue
		}
		got, ok2 := v.worst(v.at(k), &w.Info, currentOf(w.Element), r.amps, v.settled(v.ends(w.Element)...))
		if ok2 != yes {
			continue
		}
		f := diag.Finding{
			Place:   evidence.Site(v.d, &w.Info),
			Subject: w.Path,
			Message: fmt.Sprintf("%s may carry %s and carries %s%s", w.Path, r, evidence.Amps(got.value), v.with(k)),
			Help:    "take a thicker wire, and a fuse that suits it",
		}
		lines := []diag.Line{evidence.Line(&w.Info, "%s: %s, %s", w.Path, r, r.from)}
		// Other wires that the same current is too much for.
		steps, _ := got.PathThrough(w.Element)
		for _, st := range steps {
			e := &v.d.Elements[st.Element]
			if e.Type != model.ElemWire || st.Element == w.Element || st.Amps < alike*got.value {
				continue
			}
			if also, ok := v.rated(&v.d.Wires[e.Of]); ok && also.amps < st.Amps {
				told[st.Element] = true
				f.Related = append(f.Related, diag.Related{Place: evidence.Site(v.d, &e.Info), Note: fmt.Sprintf("%s may carry %s too", e.Path, also)})
				lines = append(lines, evidence.Line(&e.Info, "%s: %s, %s", e.Path, also, also.from))
			}
		}
		f.Evidence = append([]diag.Evidence{
			evidence.Values("rated current", lines...), v.way("the way of the current", got.Solution, w.Element),
		}, evidence.Moves("how it comes about", got.trace)...)
		p.Report(f)
	}
}

// alike is how much of a current has to run through another wire for it to be the same
// one, but for what branches off.
const alike = 0.95

// guarded tells of wires the smallest rating of a fuse that they lie behind, in A.
func (v *view) guarded() map[model.ElementID]float64 {
	behind := fusings.Of(v.p)
	out := map[model.ElementID]float64{}
	for i := range v.d.Fuses {
		f := &v.d.Fuses[i]
		if f.Broken || f.Element == model.None {
			continue
		}
		for _, id := range behind.beyond[f.Element] {
			if old, ok := out[id]; !slices.Contains(behind.bare, id) && (!ok || f.Rating < old) {
				out[id] = f.Rating
			}
		}
	}
	return out
}

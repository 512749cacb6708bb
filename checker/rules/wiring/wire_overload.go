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
		Doc:      page("wire-overload"),
		Source:   "rated currents: one maker's sheet for thin-wall cable, ISO 6722 / LV112 type B",
		Needs:    rule.States,
		Run:      findWireOverloads,
	}
}

func findWireOverloads(p *rule.Pass) {
	v := look(p)
	guarded := v.guarded()
	k := v.highest()
	for i := range v.d.Wires {
		w := &v.d.Wires[i]
		if w.Broken || w.Element == model.None {
			continue
		}
		r, ok := v.rated(w)
		if !ok || guarded[w.Element] > 0 && guarded[w.Element] <= r.amps || bounds.Of(p).most(w.Element) <= r.amps {
			continue
		}
		got, ok2 := v.worst(v.at(k), &w.Info, currentOf(w.Element), r.amps, v.settled())
		if ok2 != yes {
			continue
		}
		if r.least {
			p.Undecided(evidence.Site(v.d, &w.Info), w.Path, beyond)
			continue
		}
		p.Report(diag.Finding{
			Place:   evidence.Site(v.d, &w.Info),
			Subject: w.Path,
			Message: fmt.Sprintf("%s may carry %s and carries %s%s", w.Path, r, evidence.Amps(got.value), v.with(k)),
			Help:    "take a thicker wire, and a fuse that suits it",
			Evidence: append([]diag.Evidence{
				evidence.Values("rated current", evidence.Line(&w.Info, "%s: %s, %s", w.Path, r, r.from)),
				v.way("the way of the current", got.Solution, w.Element),
			}, evidence.Moves("how it comes about", got.trace)...),
		})
	}
}

// guarded tells of wires the smallest rating of a fuse that they lie behind, in A.
func (v *view) guarded() map[model.ElementID]float64 {
	bare := v.c.Unfused()
	out := map[model.ElementID]float64{}
	for i := range v.d.Fuses {
		f := &v.d.Fuses[i]
		if f.Broken || f.Element == model.None {
			continue
		}
		for _, id := range v.c.Beyond(f.Element) {
			if old, ok := out[id]; !slices.Contains(bare, id) && (!ok || f.Rating < old) {
				out[id] = f.Rating
			}
		}
	}
	return out
}

package wiring

import (
	"fmt"
	"slices"

	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func fuseAboveWire() rule.Rule {
	return rule.Rule{
		Name:     "fuse-above-wire",
		Severity: diag.Error,
		Summary:  "a fuse rated above what a wire behind it can carry",
		Why:      "when the wire chafes through, it burns before the fuse opens",
		Doc:      page("fuse-above-wire"),
		Source:   "coordination of fuse and wire: makers' fuse guides (a fuse is at most what the wire may carry); rated currents: one maker's sheet for thin-wall cable, ISO 6722 / LV112 type B",
		Needs:    rule.Circuit,
		Run:      findFusesAboveWires,
	}
}

func findFusesAboveWires(p *rule.Pass) {
	v := look(p)
	bare := v.c.Unfused() // no fuse protects these: another matter
	for i := range v.d.Fuses {
		f := &v.d.Fuses[i]
		if f.Broken || f.Element == model.None {
			continue
		}
		for _, id := range v.c.Beyond(f.Element) {
			e := &v.d.Elements[id]
			if e.Type != model.ElemWire || e.Broken || slices.Contains(bare, id) {
				continue
			}
			w := &v.d.Wires[e.Of]
			r, ok := v.rated(w)
			if !ok || f.Rating <= r.amps && !r.most {
				continue
			}
			if r.least || r.most && f.Rating < r.amps {
				p.Undecided(evidence.Site(v.d, &w.Info), w.Path, beyond)
				continue
			}
			p.Report(diag.Finding{
				Place:   evidence.Site(v.d, &w.Info),
				Subject: w.Path,
				Message: fmt.Sprintf("%s carries %s, and %s in front of it is rated %s", w.Path, r, f.Path, unit.Format(f.Rating, unit.Current)),
				Help:    fmt.Sprintf("take a fuse of at most %s, or a thicker wire", unit.Format(r.amps, unit.Current)),
				Related: []diag.Related{{Place: evidence.Site(v.d, &f.Info), Note: "the fuse"}},
				Evidence: []diag.Evidence{evidence.Values("rated current",
					evidence.Line(&w.Info, "%s: %s, %s", w.Path, r, r.from),
					evidence.Line(&f.Info, "%s: %s", f.Path, unit.Format(f.Rating, unit.Current)))},
			})
		}
	}
}

package wiring

import (
	"cmp"
	"fmt"
	"slices"

	"pintle/checker/question/evidence"
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
		Doc:      pages.Of("fuse-above-wire"),
		Source:   "a fuse of at most what the wire may carry: common practice, no source; rated currents of thin-wall cable: common practice, no source",
		Needs:    rule.States,
		Run:      findFusesAboveWires,
	}
}

func findFusesAboveWires(p *rule.Pass) {
	v := look(p)
	behind := fusings.Of(p)
	told := map[model.ElementID]bool{} // a wire behind two fuses is one wire too thin
	for i := range v.d.Fuses {
		f := &v.d.Fuses[i]
		if f.Broken || f.Element == model.None {
			continue
		}
		var thin []ratedWire
		for _, id := range behind.beyond[f.Element] {
			e := &v.d.Elements[id]
			// What no fuse protects at some time is another matter.
			if e.Type != model.ElemWire || e.Broken || slices.Contains(behind.unfused, id) {
				continue
			}
			w := &v.d.Wires[e.Of]
			if r, ok := v.rated(w); ok && f.Rating > r.Amps {
				thin = append(thin, ratedWire{w, r})
			}
		}
		news := slices.ContainsFunc(thin, func(t ratedWire) bool { return !told[t.Element] })
		for _, t := range thin {
			told[t.Element] = true
		}
		if news {
			v.reportThin(f, thin)
		}
	}
}

// slightly is how far a fuse may lie above a wire for it to be no more than a warning:
// tables of rated currents differ by that much among themselves. Common practice, no
// source.
const slightly = 1.15

// reportThin reports the thinnest of the wires that a fuse does not protect, and names
// the others: one smaller fuse would mend them all.
func (v *view) reportThin(f *model.Fuse, thin []ratedWire) {
	slices.SortStableFunc(thin, func(a, b ratedWire) int { return cmp.Compare(a.may.Amps, b.may.Amps) })
	w := thin[0]
	finding := diag.Finding{
		Place:   evidence.Site(v.d, &w.Info),
		Subject: w.Path,
		Message: fmt.Sprintf("%s is good for %s, and the fuse before it, %s, is rated %s", w.Path, w.may, f.Path, unit.Format(f.Rating, unit.Current)),
		Help:    fmt.Sprintf("take a fuse of at most %s, or a thicker wire", unit.Format(fuseUpTo(w.may.Amps, w.may.Most), unit.Current)),
		Related: []diag.Related{{Place: evidence.Site(v.d, &f.Info), Note: "the fuse"}},
	}
	if upTo := fuseUpTo(w.may.Amps, w.may.Most); bounds.Of(v.p).most(f.Element) > v.p.Limits.FuseShare/100*upTo {
		finding.Help = fmt.Sprintf("take a thicker wire, or a fuse of its own for %s, of at most %s, where it begins", w.Path, unit.Format(upTo, unit.Current))
	}
	if !w.may.Most && f.Rating <= slightly*w.may.Amps {
		finding.Severity = diag.Warning
	}
	for _, a := range byLine(thin)[1:] {
		finding.Related = append(finding.Related, diag.Related{Place: evidence.Site(v.d, &a[0].Info), Note: fmt.Sprintf("%s is good for %s", a.name(), a[0].may)})
	}
	finding.Evidence = []diag.Evidence{ratings(thin, evidence.Line(&f.Info, "%s: %s", f.Path, unit.Format(f.Rating, unit.Current)))}
	v.p.Report(finding)
}

package wiring

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pintle/checker/circuit"
	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func fuseBelowLoad() rule.Rule {
	return rule.Rule{
		Name:     "fuse-below-load",
		Severity: diag.Error,
		Summary:  "a fuse that carries more than it is rated for, or close to that for good",
		Why:      "the fuse ages in the heat and opens one day without any fault behind it",
		Doc:      pages.Of("fuse-below-load"),
		Source:   "makers' fuse guides: at least 125 % of the continuous load",
		Needs:    rule.States,
		Run:      findFusesBelowLoads,
	}
}

func findFusesBelowLoads(p *rule.Pass) {
	v := look(p)
	share := p.Limits.FuseShare / 100
	top := v.highest()
	for i := range v.d.Fuses {
		f := &v.d.Fuses[i]
		if f.Broken || f.Element == model.None || bounds.Of(p).most(f.Element) <= min(1, share)*f.Rating {
			continue
		}
		rating := unit.Format(f.Rating, unit.Current)
		finding := diag.Finding{Place: evidence.Site(v.d, &f.Info), Subject: f.Path}
		k := top
		got, ok := v.worst(v.at(k), &f.Info, currentOf(f.Element), f.Rating, v.settled(v.ends(f.Element)...))
		switch ok {
		case yes:
			finding.Message = fmt.Sprintf("%s is rated %s and carries %s%s", f.Path, rating, evidence.Amps(got.value), v.with(k))
		case no:
			k = circuit.Nominal
			if got, ok = v.worst(v.at(k), &f.Info, currentOf(f.Element), share*f.Rating, v.settled(v.ends(f.Element)...)); ok != yes {
				continue
			}
			finding.Severity = diag.Warning
			finding.Message = fmt.Sprintf("%s is rated %s and carries %s for good, more than %.3g %% of that",
				f.Path, rating, evidence.Amps(got.value), p.Limits.FuseShare)
		default:
			continue
		}
		finding.Help = fmt.Sprintf("take a fuse of at least %s if the wires behind it carry that, or share the load between two",
			unit.Format(fuseFrom(got.value/share), unit.Current))
		finding.Evidence = append([]diag.Evidence{v.drawn(f, got)}, evidence.Moves("how it comes about", got.trace)...)
		p.Report(finding)
	}
}

// drawn lists what draws its current through a fuse, the most first.
func (v *view) drawn(f *model.Fuse, at *peak) diag.Evidence {
	// What hangs on the far end itself has no metal between.
	far := v.d.Elements[f.Element].B
	if at.Amps(f.Element) < 0 {
		far = v.d.Elements[f.Element].A
	}
	behind := map[model.NodeID]bool{far: true}
	for _, id := range v.c.Beyond(f.Element) {
		if e := &v.d.Elements[id]; at.Conducts(id) {
			behind[e.A], behind[e.B] = true, true
		}
	}
	var takers []model.ElementID
	for i := range v.d.Elements {
		id, e := model.ElementID(i), &v.d.Elements[i]
		if !passes(e) && e.Type != model.ElemSupply && (behind[e.A] || behind[e.B]) && at.Carries(id) {
			takers = append(takers, id)
		}
	}
	slices.SortStableFunc(takers, func(a, b model.ElementID) int {
		return cmp.Compare(math.Abs(at.Amps(b)), math.Abs(at.Amps(a)))
	})
	var lines []diag.Line
	for _, id := range takers {
		e := &v.d.Elements[id]
		lines = append(lines, evidence.Line(&e.Info, "%s: %s", e.Path, evidence.Amps(at.Amps(id))))
	}
	return evidence.Values("what it feeds", lines...)
}

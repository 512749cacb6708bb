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
	springs := len(v.springs()) > 0
	for i := range v.d.Fuses {
		f := &v.d.Fuses[i]
		if f.Broken || f.Element == model.None {
			continue
		}
		most := bounds.Of(p).most(f.Element)
		if most <= min(1, share, holds)*f.Rating {
			continue
		}
		if told, known := v.forGood(f, 1, v.highest()); told || !known {
			continue
		}
		// While something is held against its spring: what is a defect however short comes
		// before what is only close to the rating for good.
		if springs && most > holds*f.Rating && v.sprungFuse(f, p.Limits.SprungFuse/100, diag.Error) {
			continue
		}
		if told, known := v.forGood(f, share, circuit.Nominal); told || !known {
			continue
		}
		if springs && most > holds*f.Rating {
			v.sprungFuse(f, holds, diag.Note)
		}
	}
}

// forGood reports a fuse that carries more than a share of its rating with nothing held
// against a spring.
func (v *view) forGood(f *model.Fuse, share float64, k circuit.Corner) (told, known bool) {
	got, ok := v.worst(v.at(k), &f.Info, currentOf(f.Element), share*f.Rating, v.settled(v.ends(f.Element)...))
	if ok != yes {
		return false, ok == no
	}
	rating := unit.Format(f.Rating, unit.Current)
	finding := diag.Finding{Message: fmt.Sprintf("%s is rated %s and carries %s%s", f.Path, rating, got.most(), v.with(k))}
	if share < 1 {
		finding.Severity = diag.Warning
		finding.Message = fmt.Sprintf("%s is rated %s and carries %s for good, more than %.3g %% of that",
			f.Path, rating, got.most(), v.p.Limits.FuseShare)
	}
	v.reportFuse(f, got, finding)
	return true, true
}

// sprungFuse reports a fuse that carries more than a multiple of its rating while something
// is held against its spring.
func (v *view) sprungFuse(f *model.Fuse, times float64, how diag.Severity) bool {
	k, sound := v.highest(), v.sound(v.ends(f.Element)...)
	got, ok := v.worst(v.at(k), &f.Info, currentOf(f.Element), times*f.Rating, sound)
	if ok != yes {
		return false
	}
	long, source := lasts(got.value / f.Rating)
	v.reportFuse(f, got, diag.Finding{
		Severity: how,
		Message: fmt.Sprintf("%s is rated %s and carries %s%s%s: %s", f.Path, unit.Format(f.Rating, unit.Current),
			got.most(), v.with(k), v.heldFor(got, &f.Info, sound), long),
	}, diag.Line{Text: source})
	return true
}

func (v *view) reportFuse(f *model.Fuse, got *peak, finding diag.Finding, more ...diag.Line) {
	finding.Numbers = evidence.Numbers(got.most())
	finding.Place, finding.Subject = evidence.Site(v.d, &f.Info), f.Path
	finding.Help = fmt.Sprintf("take a fuse of at least %s if the wires behind it carry that, or share the load between two",
		unit.Format(fuseFrom(got.value/(v.p.Limits.FuseShare/100)), unit.Current))
	finding.Evidence = []diag.Evidence{v.drawn(f, got)}
	if more != nil {
		finding.Evidence = append(finding.Evidence, evidence.Values("how long it lasts", more...))
	}
	finding.Evidence = append(finding.Evidence, evidence.Moves("how it comes about", got.trace)...)
	v.p.Report(finding)
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
		lines = append(lines, evidence.Line(&e.Info, "%s: %s", e.Path, at.Through(id)))
	}
	return evidence.Values("what it feeds", lines...)
}

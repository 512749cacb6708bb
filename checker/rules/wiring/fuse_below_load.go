package wiring

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func fuseBelowLoad() rule.Rule {
	return rule.Rule{
		Name:     "fuse-below-load",
		Severity: diag.Error,
		Summary:  "a fuse that carries more than its rating, or permanently close to it",
		Why:      "the fuse ages in the heat and opens one day without any fault behind it",
		Doc:      pages.Of("fuse-below-load"),
		Source:   "common practice, no source: a fuse of at least 125 % of the continuous load",
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
	got, ok := v.worst(v.at(k), &f.Info, ask.Current(f.Element), share*f.Rating, v.settled(v.ends(f.Element)...))
	if ok != ask.Yes {
		return false, ok == ask.No
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
	got, ok := v.worst(v.at(k), &f.Info, ask.Current(f.Element), times*f.Rating, sound)
	if ok != ask.Yes {
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
	larger := unit.Format(fuseFrom(got.value/(v.p.Limits.FuseShare/100)), unit.Current)
	takers, all := v.takers(f, got)
	finding.Evidence = []diag.Evidence{way("current path", got.Solved, f.Element)}
	finding.Help = fmt.Sprintf("follow the current path: if so much is meant to run there, take a fuse of at least %s, and wires that carry it", larger)
	if all {
		finding.Evidence = append(finding.Evidence, v.drawn(got, takers))
		if !slices.ContainsFunc(takers, func(id model.ElementID) bool { return v.d.Elements[id].Type == model.ElemSupply }) {
			finding.Help = fmt.Sprintf("take a fuse of at least %s if the wires behind it carry that, or share the load between two", larger)
		}
	}
	if more != nil {
		finding.Evidence = append(finding.Evidence, evidence.Values("how long it lasts", more...))
	}
	finding.Evidence = append(finding.Evidence, evidence.Moves("how it comes about", got.trace)...)
	v.p.Report(finding)
}

// takers lists the loads and supplies that the current of a fuse runs to, the one that takes
// the most first. All reports whether they take no more than the fuse carries: where another
// way feeds some of them too, nobody can say whose current the fuse's is.
func (v *view) takers(f *model.Fuse, at *peak) (out []model.ElementID, all bool) {
	const tiny = 1e-9 // A
	amps := at.Amps(f.Element)
	far := v.d.Elements[f.Element].B
	if amps < 0 {
		far = v.d.Elements[f.Element].A
	}
	sum := 0.0
	seen := map[model.NodeID]bool{far: true}
	for queue := []model.NodeID{far}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		for _, id := range bounds.Of(v.p).at[n] {
			e := &v.d.Elements[id]
			leaves := at.Amps(id)
			if e.B == n {
				leaves = -leaves
			}
			if leaves <= tiny {
				continue
			}
			to := e.A + e.B - n
			switch {
			case !passes(e) || e.Type == model.ElemSupply || to == v.d.Ground:
				if !slices.Contains(out, id) {
					out = append(out, id)
					sum += leaves
				}
			case !seen[to]:
				seen[to] = true
				queue = append(queue, to)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b model.ElementID) int {
		return cmp.Compare(math.Abs(at.Amps(b)), math.Abs(at.Amps(a)))
	})
	return out, sum <= 1.001*math.Abs(amps)
}

// drawn lists what draws its current through a fuse.
func (v *view) drawn(at *peak, takers []model.ElementID) diag.Evidence {
	var lines []diag.Line
	for _, id := range takers {
		e := &v.d.Elements[id]
		lines = append(lines, evidence.Line(&e.Info, "%s: %s", e.Path, at.Through(id)))
	}
	return evidence.Values("what it feeds", lines...)
}

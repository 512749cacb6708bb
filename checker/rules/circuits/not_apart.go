package circuits

import (
	"fmt"
	"slices"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/claim"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func notApart() rule.Rule {
	return rule.Rule{
		Name:     "not-apart",
		Severity: diag.Error,
		Summary:  "two points that a requirement keeps apart are joined, by wires or through a load",
		Why:      "once a battery pack is joined to the body at one point, the next fault is a short circuit or an electric shock",
		Doc:      pages.Of("not-apart"),
		Source:   "ISO 6469-3 and UN R100 ask for isolation between the traction circuit and the body",
		Needs:    rule.States,
		Claims:   true,
		Run:      findJoined,
	}
}

func findJoined(p *rule.Pass) {
	v := look(p)
	for i := range v.d.Requirements {
		r := &v.d.Requirements[i]
		if r.Form != model.Apart || r.Broken {
			continue
		}
		var failing system.Verdict
		switch a := claim.Requirement(p, i); a.Standing {
		case claim.Undecided:
			p.UndecidedClaim(r.NamePlace, r.Path, a.Why, evidence.Unsettled(p.Ctx, a.Verdict)...)
			continue
		case claim.Failed:
			failing = a.Verdict
		default:
			continue
		}
		x, y := v.d.Nodes[r.X].Path, v.d.Nodes[r.Y].Path
		st, ok := v.find(&r.Info, v.s.Conducts(r.X, r.Y))
		if ok != ask.Yes {
			// Only where fuses open is it known; that it fails is reported all the same.
			v.p.Report(diag.Finding{
				Message: fmt.Sprintf("%s and %s are joined; %s wants them apart", x, y, r.Path),
				Place:   r.NamePlace, Subject: r.Path,
				Help:     "remove the joint that should not be there, or measure through something that isolates",
				Evidence: evidence.Moves("how it comes about", failing.Trace),
			})
			continue
		}
		way := st.anyWay(r.X, r.Y)
		how := "by metal"
		var loads []string
		for _, e := range way {
			if x := &v.d.Elements[e]; !x.Metal && x.Type != model.ElemSupply {
				loads = append(loads, x.Path)
			}
		}
		if loads != nil {
			how = "through " + list(loads)
		}
		v.p.Report(diag.Finding{
			Message: fmt.Sprintf("%s and %s are joined %s; %s wants them apart", x, y, how, r.Path),
			Place:   r.NamePlace,
			Subject: r.Path,
			Help:    "remove the joint that should not be there, or measure through something that isolates",
			Evidence: append([]diag.Evidence{v.metalOf("from "+x+" to "+y, r.X, way)},
				evidence.Moves("how it comes about", st.trace)...),
		})
	}
}

// anyWay is the plainest way between two nodes through elements of any kind that
// conduct, whichever way a diode looks: with as few supplies as can be, then as few
// elements that are no metal, then as few elements.
func (s *state) anyWay(from, to model.NodeID) []model.ElementID {
	cost := func(e *model.Element) int {
		switch {
		case e.Type == model.ElemSupply:
			return 1 << 32
		case !e.Metal:
			return 1 << 16
		}
		return 1
	}
	type mark struct {
		cost int
		via  model.ElementID
	}
	best := map[model.NodeID]mark{from: {0, model.None}}
	for changed := true; changed; {
		changed = false
		for i := range s.v.d.Elements {
			e := &s.v.d.Elements[i]
			if !s.Conducts(model.ElementID(i)) {
				continue
			}
			for _, x := range [...][2]model.NodeID{{e.A, e.B}, {e.B, e.A}} {
				near, ok := best[x[0]]
				if !ok {
					continue
				}
				if far, ok := best[x[1]]; !ok || near.cost+cost(e) < far.cost {
					best[x[1]] = mark{near.cost + cost(e), model.ElementID(i)}
					changed = true
				}
			}
		}
	}
	var out []model.ElementID
	for n := to; n != from; {
		m, ok := best[n]
		if !ok {
			return nil
		}
		e := &s.v.d.Elements[m.via]
		out = append(out, m.via)
		n = e.A + e.B - n
	}
	slices.Reverse(out)
	return out
}

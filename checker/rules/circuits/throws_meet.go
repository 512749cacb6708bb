package circuits

import (
	"fmt"
	"math"

	"pintle/checker/circuit"
	"pintle/checker/evidence"
	"pintle/checker/rule"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func throwsMeet() rule.Rule {
	return rule.Rule{
		Name:     "throws-meet",
		Severity: diag.Error,
		Summary:  "both throws of a changeover are joined: outside it for good, or in the moment of moving where it makes first",
		Why:      "two feeds, or a feed and an earth, meet through the contact: it welds, or a fuse goes",
		Doc:      pages.Of("throws-meet"),
		Needs:    rule.States,
		Run:      findThrowsMeet,
	}
}

func findThrowsMeet(p *rule.Pass) {
	v := look(p)
	for i := range v.d.Contacts {
		k := &v.d.Contacts[i]
		if k.Broken || k.Form != model.Changeover || k.RestElem == model.None || k.WorkElem == model.None {
			continue
		}
		if v.heldTo(k.Rest, k.Work) {
			v.p.Report(diag.Finding{
				Message: fmt.Sprintf("both throws of %s are joined outside it: moving it changes nothing", k.Path),
				Place:   evidence.Site(v.d, &k.Info),
				Subject: k.Path,
				Why:     "whichever way the contact stands, the same is joined: it switches nothing, and what moves it is there for nothing",
				Help:    "take one of the throws somewhere else, or use a contact that makes",
			})
			continue
		}
		if k.MakesFirst {
			v.moving(k)
		}
	}
}

// moving looks at the moment in which a changeover that makes first joins both throws,
// wherever that can happen.
func (v *view) moving(k *model.Contact) {
	made := system.On(k.Made)
	for _, at := range [...]system.Condition{system.Not(made), made} {
		for _, ends := range [...]system.Condition{
			system.All(v.live(k.Rest), v.returns(k.Work)),
			system.All(v.returns(k.Rest), v.live(k.Work)),
			system.All(v.live(k.Rest), v.live(k.Work)),
		} {
			st, ok := v.find(&k.Info, system.All(at, ends, v.sound(k.Rest, k.Work)))
			if ok != yes {
				continue
			}
			both := st.without(v.fault(k.WorkElem, model.FaultStuckMade), v.fault(k.RestElem, model.FaultStuckMade))
			if both == nil {
				continue
			}
			amps := through(both, v.d, k)
			if amps < joinAmps {
				continue
			}
			way, _ := both.PathThrough(k.WorkElem)
			v.p.Report(diag.Finding{
				Message: fmt.Sprintf("%s joins both throws while it moves: %s between %s and %s", k.Path, evidence.Amps(amps),
					v.d.Nodes[k.Rest].Path, v.d.Nodes[k.Work].Path),
				Place:   evidence.Site(v.d, &k.Info),
				Subject: k.Path,
				Help:    "use a changeover that breaks first",
				Evidence: append([]diag.Evidence{evidence.Path(v.d, "the way of the current in that moment", way)},
					evidence.Moves("where it can move so", st.trace)...),
			})
			return
		}
	}
}

// through is the current that goes in at one throw of a changeover and out at the other,
// with both of them closed, in A.
func through(s *circuit.Solution, d *model.Design, k *model.Contact) float64 {
	into := func(e model.ElementID) float64 { // towards the common
		if d.Elements[e].B == k.Common {
			return s.Amps(e)
		}
		return -s.Amps(e)
	}
	rest, work := into(k.RestElem), into(k.WorkElem)
	if rest*work >= 0 {
		return 0
	}
	return math.Min(math.Abs(rest), math.Abs(work))
}

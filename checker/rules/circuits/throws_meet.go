package circuits

import (
	"fmt"
	"math"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func throwsMeet() rule.Rule {
	return rule.Rule{
		Name:     "throws-meet",
		Severity: diag.Error,
		Summary:  "both throws of a changeover are joined: permanently outside it, or for a moment while it moves, because it makes first",
		Why:      "two feeds, or a feed and an earth, meet through the contact: it welds, or a fuse blows",
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
				Why:     "the contact joins the same points either way: it switches nothing, and neither does what moves it",
				Help:    "lead one of the throws elsewhere, or use a make contact",
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
			system.All(ask.Live(k.Rest), v.returns(k.Work)),
			system.All(v.returns(k.Rest), ask.Live(k.Work)),
			system.All(ask.Live(k.Rest), ask.Live(k.Work)),
		} {
			st, ok := v.find(&k.Info, system.All(at, ends, v.sound(k.Rest, k.Work)))
			if ok != ask.Yes {
				continue
			}
			both := st.without(v.fault(k.WorkElem, model.FaultStuckMade), v.fault(k.RestElem, model.FaultStuckMade))
			if both == nil {
				continue
			}
			throw := through(both.Solution, v.d, k)
			if throw == model.None || math.Abs(both.Amps(throw)) < joinAmps {
				continue
			}
			way, _ := both.PathThrough(k.WorkElem)
			amps := both.Through(throw)
			v.p.Report(diag.Finding{
				Numbers: evidence.Numbers(amps),
				Message: fmt.Sprintf("%s joins both throws while it moves: %s between %s and %s", k.Path, amps,
					v.d.Nodes[k.Rest].Path, v.d.Nodes[k.Work].Path),
				Place:   evidence.Site(v.d, &k.Info),
				Subject: k.Path,
				Help:    "use a changeover that breaks first",
				Evidence: append([]diag.Evidence{both.Path("current path in that moment", way)},
					evidence.Moves("where it can move so", st.trace)...),
			})
			return
		}
	}
}

// through is the throw of a changeover that carries what goes in at one and out at the
// other, with both of them closed: the one with less current. None: nothing goes through both.
func through(s *circuit.Solution, d *model.Design, k *model.Contact) model.ElementID {
	into := func(e model.ElementID) float64 { // towards the common
		if d.Elements[e].B == k.Common {
			return s.Amps(e)
		}
		return -s.Amps(e)
	}
	rest, work := into(k.RestElem), into(k.WorkElem)
	if rest*work >= 0 {
		return model.None
	}
	if math.Abs(work) < math.Abs(rest) {
		return k.WorkElem
	}
	return k.RestElem
}

package circuits

import (
	"fmt"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func alwaysEnergised() rule.Rule {
	return rule.Rule{
		Name:       "always-energised",
		Severity:   diag.Warning,
		Summary:    "a switch that never opens, so the load or winding behind it acts in every reachable state",
		Why:        "it cannot be switched off, runs the battery flat and wears out",
		Doc:        pages.Of("always-energised"),
		Needs:      rule.States,
		Everywhere: true,
		Run:        findAlwaysOn,
	}
}

func findAlwaysOn(p *rule.Pass) {
	v := look(p)
	if v.d.Bench {
		return
	}
	told := map[model.ElementID]bool{}
	for i := range v.consumers {
		c := &v.consumers[i]
		if c.element == model.None || c.shares || c.Kind == "coil" && c.memory == model.None || v.d.Elsewhere(c.Info) {
			continue
		}
		if c.load == nil && c.Kind != "coil" {
			continue // a controller may well be powered always
		}
		if v.restless(c) {
			continue
		}
		off, ok := v.s.PossibleHere(p.Ctx, system.Not(v.acts(c)))
		p.StopOn(ok)
		if off.Outcome != system.Fails {
			p.Clear(c.Path)
			continue
		}
		got, err := v.s.Always(p.Ctx, v.acts(c))
		p.StopOn(err)
		if got.Outcome != system.Holds || got.NominalOnly {
			p.Clear(c.Path)
			continue
		}
		st, on := v.find(c.Info, v.acts(c))
		if on != ask.Yes {
			continue
		}
		stuck := v.neverOpens(c, st)
		if stuck == model.None {
			p.Clear(c.Path)
			continue
		}
		e := &v.d.Elements[stuck]
		told[stuck] = true
		p.Report(diag.Finding{
			Message:  fmt.Sprintf("%s is on in every state: %s never opens", c.Path, evidence.Way(v.d, stuck)),
			Place:    evidence.Site(v.d, c.Info),
			Subject:  c.Path,
			Help:     "change when the switch is made, or leave it out if the load is to run always",
			Related:  []diag.Related{{Place: e.Place, Note: "conducts in every reachable state"}},
			Evidence: []diag.Evidence{st.Path("current path", st.way(c.element))},
		})
	}
	v.alwaysMade(told)
}

// alwaysMade reports the contacts that something outside keeps made whatever is done. What
// depends on iron, thresholds or times has a finding about these.
func (v *view) alwaysMade(told map[model.ElementID]bool) {
	for i := range v.d.Contacts {
		k := &v.d.Contacts[i]
		if k.Broken || k.Sometimes || k.By != model.None || k.When == nil || !k.When.Known() ||
			told[k.WorkElem] || told[k.RestElem] || v.always(k.When) || !v.byHand(k.When) || v.d.Elsewhere(&k.Info) {
			continue
		}
		got, err := v.s.PossibleHere(v.p.Ctx, system.Not(system.On(k.When)))
		v.p.StopOn(err)
		if got.Outcome != system.Fails || len(got.Assumptions) > 0 { // what an assumption keeps so is so on purpose
			v.p.Clear(k.Path)
			continue
		}
		v.p.Report(diag.Finding{
			Message: fmt.Sprintf("%s never opens: %s whatever is done", k.Path, v.d.Words(k.When)),
			Place:   evidence.Site(v.d, &k.Info),
			Subject: k.Path,
			Help:    "check the condition with which it is made, or write `made when always`",
			Related: []diag.Related{{Place: k.When.Place, Note: "true in every reachable state"}},
		})
	}
}

// byHand reports whether a condition speaks of inputs only: settings and quantities.
func (v *view) byHand(c *model.Cond) bool {
	only := true
	c.Atoms(func(c *model.Cond) {
		switch c.Atom.Kind {
		case model.AtomSetting, model.AtomQuantity:
		case model.AtomCondition:
			only = only && v.byHand(v.d.Conditions[c.Atom.Index].Cond)
		default:
			only = false
		}
	})
	return only
}

// neverOpens is a switch on the way to a consumer that could cut it off, and conducts in
// every reachable state. One whose condition is `always` says what it means.
func (v *view) neverOpens(c *consumer, st *state) model.ElementID {
	for _, s := range st.way(c.element) {
		e := &v.d.Elements[s.Element]
		if !v.switched(s.Element) || e.Type == model.ElemSupply || v.always(e.Closed) {
			continue
		}
		if then := st.without(v.broken(s.Element)); then == nil || then.Carries(c.element) {
			continue
		}
		got, err := v.s.PossibleHere(v.p.Ctx, system.Not(v.closed(s.Element)))
		v.p.StopOn(err)
		if got.Outcome == system.Fails {
			return s.Element
		}
	}
	return model.None
}

// always reports whether a condition says by itself that it always holds: apart from power.
func (v *view) always(c *model.Cond) bool {
	switch c.Op {
	case model.CondTrue:
		return true
	case model.CondAnd:
		for _, k := range c.Kids {
			if !v.always(k) {
				return false
			}
		}
		return true
	case model.CondAtom:
		return c.Atom.Kind == model.AtomMemory && v.d.Memories[c.Atom.Index].MemKind == model.MemPowered
	}
	return false
}

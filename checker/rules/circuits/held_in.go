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

func heldInThroughLoad() rule.Rule {
	return rule.Rule{
		Name:     "held-in-through-load",
		Severity: diag.Warning,
		Summary:  "a winding that stays in through a lamp, motor or another winding after its own feed has opened",
		Why:      "a relay holds in with far fewer volts than it needs to pull in: the current back through a lamp keeps it in, and what it feeds stays on",
		Doc:      pages.Of("held-in-through-load"),
		Needs:    rule.States,
		Run:      findHeldIn,
	}
}

func findHeldIn(p *rule.Pass) {
	v := look(p)
	for i := range v.consumers {
		c := &v.consumers[i]
		if c.Kind != "coil" || c.memory == model.None || c.shares {
			continue
		}
		if _, ok := v.can(c.Info, system.All(v.direct(c), ask.Remembers(c.memory))); ok != ask.Yes {
			continue // it always works through something else
		}
		held := system.All(ask.Remembers(c.memory), system.Not(v.direct(c)), v.feelsAny(c), v.sound(c.a, c.b))
		if v.heldIn(c, held, "") {
			continue
		}
		// At nominal values it lets go. Whether it does within the tolerances too is asked of the
		// corner in which it first does not; what that leaves undecided is no finding.
		got, err := v.s.Never(p.Ctx, held)
		p.StopOn(err)
		if got.Outcome == system.HoldsNominally && got.Offsets.Exact() {
			v.in(got.Where).heldIn(c, held, "with "+got.Corner+", ")
		}
	}
}

// heldIn looks for a state in which a winding is held in by what comes through other consumers,
// and reports it. with says in which corner the view is.
func (v *view) heldIn(c *consumer, cond system.Condition, with string) bool {
	for range manyWays {
		st, ok := v.find(c.Info, cond)
		if ok != ask.Yes {
			break
		}
		way := st.way(c.element)
		if v.heldBy(st, c, way) {
			v.reportHeld(st, c, way, with)
			return true
		}
		var closed []system.Condition
		for _, w := range way {
			if v.switched(w.Element) && v.d.Elements[w.Element].Type != model.ElemSupply {
				closed = append(closed, v.closed(w.Element))
			}
		}
		if len(closed) == 0 {
			break
		}
		cond = system.All(cond, system.Not(system.All(closed...)))
	}
	return false
}

// heldBy reports whether a winding is in only because of what comes through other
// consumers: either over its own contact, or with fewer volts than it would pull in at.
// Where its own feed would be there as soon as its armature is at rest, a load in series
// while it is in is a saving resistor, and meant.
func (v *view) heldBy(st *state, c *consumer, way []circuit.Step) bool {
	if len(v.on(way)) < 2 || !v.selfHeld(c, way) && math.Abs(volts(st.Solution, c)) >= c.runs {
		return false
	}
	var rest []model.FaultAction
	for i := range v.d.Contacts {
		k := &v.d.Contacts[i]
		if k.By != c.memory {
			continue
		}
		mode := model.FaultStuckOpen
		if k.Form == model.Break {
			mode = model.FaultStuckMade
		}
		rest = append(rest, model.FaultAction{
			Thing: model.Thing{Kind: model.ThingContact, Index: i, Path: k.Path}, Mode: mode, Place: k.Place,
		})
	}
	then := st.without(rest...)
	return then != nil && !v.fedIn(then.Solution, c)
}

// fedIn reports whether a consumer has its feed and earth by metal in a solution.
func (v *view) fedIn(s *circuit.Solution, c *consumer) bool {
	back := func(n model.NodeID) bool {
		if v.d.Ground != model.None && s.Grounded(n) {
			return true
		}
		for _, i := range v.isolated {
			if s.Joined(n, v.d.Supplies[i].Minus) {
				return true
			}
		}
		return false
	}
	return s.Live(c.a) && back(c.b) || s.Live(c.b) && back(c.a)
}

func (v *view) reportHeld(st *state, c *consumer, way []circuit.Step, with string) {
	var others []*consumer
	for _, o := range v.on(way) {
		if o.element != c.element {
			others = append(others, o)
		}
	}
	coil := &v.d.Coils[v.d.Elements[c.element].Of]
	u := st.across(c)
	lets := ""
	if coil.HasDrop {
		lets = fmt.Sprintf(", and it lets go below %s", coil.DropOut)
	}
	v.p.Report(diag.Finding{
		Message: fmt.Sprintf("%s%s stays in through %s: %s across it with its own feed open%s", with, c.Path, list(paths(others)), u, lets), Numbers: evidence.Numbers(u),
		Place:   evidence.Site(v.d, c.Info),
		Subject: c.Path,
		Help:    "put a diode in series with the load that leads back, or take the load's other end to earth",
		Related: related(others, "the current that holds it in runs through this"),
		Evidence: append([]diag.Evidence{
			st.Path("current path", way), st.voltsOf(v.on(way)),
		}, evidence.Moves("how it comes about", st.trace)...),
	})
}

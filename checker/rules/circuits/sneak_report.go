package circuits

import (
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// link is a switch on a way that is there to put its consumers in series: it carries
// nothing while one of them has its feed and earth by itself.
func (s *sneaks) link(c *consumer, way []circuit.Step, cs []*consumer) model.ElementID {
	var alone []system.Condition
	for _, o := range cs {
		if o.runs > 0 {
			alone = append(alone, system.All(s.direct(o), ask.AtLeast(ask.VoltsAcross(o.a, o.b), o.runs)))
		}
	}
	for _, w := range way {
		if !s.switched(w.Element) || s.d.Elements[w.Element].Type == model.ElemSupply {
			continue
		}
		used := system.All(ask.AtLeast(ask.Current(w.Element), math.Abs(w.Amps)*feels), ask.AnyOf(alone))
		if _, ok := s.can(c.Info, used); ok != ask.Yes { // not known is not taken for an accident
			return w.Element
		}
	}
	return model.None
}

// wayShare is the share of a consumer's current that has to come over a way for that way to
// count as what works it. Common practice, no source: up to ten equal ways side by side are
// found, and what trickles through a consumer that others feed is not.
const wayShare = 0.10

// worksBy reports whether a good part of a consumer's current comes over a way, of which the
// smallest current runs all along it.
func worksBy(st *state, way []circuit.Step, c *consumer) bool {
	all := math.Inf(1)
	for _, w := range way {
		all = math.Min(all, w.Amps)
	}
	return all >= wayShare*math.Abs(st.Amps(c.element))
}

// victim is the consumer that a finding is about: of those on the way that act by what
// comes over it, the last one before earth. One that has its feed and earth by metal, and
// acts with the others on the way taken out, runs by these: what comes to it besides, as
// between two earth straps, is a trickle.
func (s *sneaks) victim(st *state, way []circuit.Step, cs []*consumer) *consumer {
	for _, c := range slices.Backward(cs) {
		if s.worth(c) && s.ordinary(c).direct && math.Abs(volts(st.Solution, c)) >= c.runs && worksBy(st, way, c) && !s.byItself(st, c, cs) {
			return c
		}
	}
	return nil
}

// byItself reports whether a consumer with feed and earth by metal acts without the others on
// a way.
func (s *sneaks) byItself(st *state, c *consumer, cs []*consumer) bool {
	if !s.fedIn(st.Solution, c) {
		return false
	}
	var out []model.FaultAction
	for _, o := range cs {
		if o != c {
			out = append(out, s.broken(o.element))
		}
	}
	then := st.without(out...)
	return then != nil && math.Abs(volts(then, c)) >= c.runs
}

// selfHeld reports whether a winding's own contact is on a way.
func (v *view) selfHeld(c *consumer, way []circuit.Step) bool {
	if c.memory == model.None {
		return false
	}
	for _, w := range way {
		if e := &v.d.Elements[w.Element]; e.Type == model.ElemContact && v.d.Contacts[e.Of].By == c.memory {
			return true
		}
	}
	return false
}

func (s *sneaks) report(st *state, way []circuit.Step, cs []*consumer, victim, reversed *consumer) {
	for _, c := range cs {
		s.told[c.element] = true
	}
	var through []string
	for _, c := range cs {
		if c != victim {
			through = append(through, c.Path)
		}
	}
	u := volts(st.Solution, victim)
	doing := victim.level(u)
	if victim.load == nil {
		doing = "pulls in"
		if victim.memory != model.None && s.d.Memories[victim.memory].MemKind == model.MemPowered {
			doing = "has power"
		}
	}
	message := fmt.Sprintf("%s %s through %s", victim.Path, doing, list(through))
	if reversed == nil && s.lodger(victim) {
		switch {
		case cs[0] == victim:
			message += ", because it has no earth of its own"
		case cs[len(cs)-1] == victim:
			message += ", because it has no feed of its own"
		}
	}
	if reversed != nil && reversed != victim {
		message += fmt.Sprintf(", backwards through %s", reversed.Path)
		through = slices.DeleteFunc(through, func(t string) bool { return t == reversed.Path })
		message = fmt.Sprintf("%s %s backwards through %s", victim.Path, doing, reversed.Path)
		if len(through) > 0 {
			message += ", and through " + list(through)
		}
	} else if reversed == victim {
		message = fmt.Sprintf("%s %s with its current reversed, through %s", victim.Path, doing, list(through))
	}
	gets, takes := st.across(victim), st.Through(victim.element)
	s.p.Report(diag.Finding{
		Message: fmt.Sprintf("%s: %s, %s", message, gets, takes),
		Numbers: evidence.Numbers(gets, takes),
		Place:   evidence.Site(s.d, victim.Info),
		Subject: victim.Path,
		Help:    "put a diode where the current must not flow back, or give each side its own feed and earth",
		Related: related(slices.DeleteFunc(slices.Clone(cs), func(c *consumer) bool { return c == victim }), "on the way of the same current"),
		Evidence: append([]diag.Evidence{
			st.Path("current path", way), st.voltsOf(cs),
		}, evidence.Moves("how it comes about", st.trace)...),
	})
}

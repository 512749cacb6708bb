package circuits

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// lack is what keeps a consumer from ever acting.
type lack uint8

const (
	unsure     lack = iota // not known, or not ours to judge
	nothing                // it acts in some state
	lacksFeed              // no way to any plus
	lacksEarth             // no way back to any minus
	apartInTime
	neverOn       // both are there, and switches or volts keep it still
	standsAgainst // two supplies in series that take their volts away from each other
)

// starved is a consumer with what it lacks.
type starved struct {
	*consumer
	lack    lack
	common  model.NodeID // the end without a way of its own that others are connected to too, or None
	reason  string       // for unsure: what could not be decided
	against *opposed     // for standsAgainst
	// there leads to where it does work, with other volts of a supply than the nominal ones.
	there system.Verdict
}

// starving is worked out once for the five rules that share it.
var starving = rule.Share(func(p *rule.Pass) *starvation {
	v := look(p)
	s := &starvation{view: v}
	// What a bench leaves out is left out on purpose, and without any supply nothing is
	// said about feeds. What could not be read might be the feed.
	if v.d.Bench || len(v.d.Supplies) == 0 || len(v.d.Incomplete) > 0 {
		return s
	}
	s.reach()
	for i := range v.consumers {
		c := &v.consumers[i]
		if p.Ctx.Err() != nil || v.d.Elsewhere(c.Info) {
			continue
		}
		got := s.judge(c)
		if got.lack != nothing && s.onLoose(c) {
			got.lack = unsure
		}
		got.consumer, got.common = c, model.None
		if got.lack != nothing && got.lack != unsure {
			if got.against = s.standing(c); got.against != nil {
				got.lack = standsAgainst
				s.all = append(s.all, got)
				continue
			}
		}
		if end, l := s.common(c); end != model.None && got.lack != unsure {
			got.lack, got.common = l, end
		}
		s.all = append(s.all, got)
	}
	return s
})

type starvation struct {
	*view
	all []starved
	// By node: metal that may conduct at some time joins it to a plus, a minus.
	feed, earth []bool
	at          [][]model.ElementID // by node: the elements that end there
	excluded    map[[2]circuit.Switch]bool
	pairs       *[]opposed // supplies that stand against one another, once asked for
}

// restless reports whether what never settles affects whether a consumer acts, or in what
// its ends are joined to.
func (v *view) restless(c *consumer) bool {
	return consequence.Restless(v.p, v.acts(c), ask.Live(c.a), ask.Live(c.b), v.returns(c.a), v.returns(c.b))
}

// lacking lists the consumers with a lack, reports what is undecided about the others
// and clears those that have none of it.
func lacking(p *rule.Pass, of lack) (*starvation, []*starved) {
	s := starving.Of(p)
	v := *s.view
	v.p = p
	var out []*starved
	for i := range s.all {
		switch c := &s.all[i]; {
		case c.lack == unsure && c.reason != "":
			p.Undecided(c.Place, c.Path, c.reason)
		case c.lack == of:
			out = append(out, c)
		case c.lack != unsure:
			p.Clear(c.Path)
		}
	}
	return &starvation{view: &v, feed: s.feed, earth: s.earth, at: s.at}, out
}

// each calls f for the consumers with a lack; see lacking.
func each(p *rule.Pass, of lack, f func(*starvation, *starved)) {
	s, cs := lacking(p, of)
	for _, c := range cs {
		f(s, c)
	}
}

// onLoose reports whether a consumer is fed by nothing but supplies with an end that nothing
// is joined to, which have a finding of their own.
func (s *starvation) onLoose(c *consumer) bool {
	some := false
	sound := make([]bool, len(s.d.Nodes))
	for i := range s.d.Supplies {
		if len(consequence.LooseEnds(s.p, model.SupplyID(i))) > 0 {
			some = true
		} else {
			sound[s.d.Supplies[i].Plus] = true
		}
	}
	if !some {
		return false
	}
	from := func(plus []bool) bool {
		return s.search(c.a, c.element, plus, s.earth) || s.search(c.b, c.element, plus, s.earth)
	}
	return from(s.feed) && !from(sound)
}

func (s *starvation) judge(c *consumer) starved {
	if s.restless(c) {
		// What it does is not known for good, but that no way at all leads to it is.
		if lack := s.why(c); lack == lacksFeed || lack == lacksEarth {
			return starved{consumer: c, lack: lack}
		}
		return starved{consumer: c}
	}
	works := s.works(c)
	if s.momentary(c) && (c.part != pulls || s.sometimes(works)) {
		return starved{consumer: c}
	}
	got, err := s.s.Never(s.p.Ctx, works)
	s.p.StopOn(err)
	switch got.Outcome {
	case system.Holds:
		if got.NominalOnly {
			return starved{consumer: c}
		}
	case system.HoldsNominally:
		return s.onlyThere(c, works)
	case system.Undecided:
		if got.Unsettled != nil || got.Round != nil {
			return starved{consumer: c} // what never settles has its own finding
		}
		return starved{consumer: c, reason: got.Why}
	case system.Unknown:
		return starved{consumer: c}
	default:
		return starved{consumer: c, lack: nothing}
	}
	// With a current in some state it has a way to both sides.
	some, err := s.s.PossibleHere(s.p.Ctx, s.feelsAny(c))
	s.p.StopOn(err)
	switch some.Outcome {
	case system.Holds:
		if c.part == releases && s.letsGo(c) {
			return starved{consumer: c, lack: nothing}
		}
		return s.unlessFaulty(c, neverOn)
	case system.Fails:
		return s.unlessFaulty(c, s.why(c))
	}
	return starved{consumer: c}
}

// sometimes reports whether a condition holds in some state at nominal values.
func (s *starvation) sometimes(c system.Condition) bool {
	got, err := s.s.PossibleHere(s.p.Ctx, c)
	s.p.StopOn(err)
	return got.Outcome == system.Holds
}

// onlyThere judges a consumer that works with other volts of a supply, and never with the
// nominal ones, whatever the tolerances. Without a current at nominal volts it waits for
// something else that is so, and has a finding.
func (s *starvation) onlyThere(c *consumer, works system.Condition) starved {
	if c.word() == "controller" || !s.sometimes(s.feelsAny(c)) { // driver-unpowered speaks of boxes
		return starved{consumer: c, lack: nothing}
	}
	there, never := consequence.OnlyThere(s.p, works)
	if !never {
		return starved{consumer: c, lack: nothing}
	}
	out := s.unlessFaulty(c, neverOn)
	out.there = there
	return out
}

// letsGo reports whether a winding that releases a latching armature does so in passing,
// without standing under its volts in any state that lasts.
func (s *starvation) letsGo(c *consumer) bool {
	got, err := s.s.CanLeave(s.p.Ctx, ask.Remembers(c.memory))
	s.p.StopOn(err)
	return got.Outcome != system.Fails
}

// momentary reports whether what a winding gets depends on the iron that it moves itself: it
// may be there to act only until that has moved, as the pull-in winding of a starter is,
// and be dead in every state that lasts.
func (v *view) momentary(c *consumer) bool {
	if c.memory == model.None || c.load != nil || c.Kind != "coil" {
		return false
	}
	e, err := v.feelsAny(c).Of(v.p.Ctx, v.s)
	v.p.StopOn(err)
	return slices.Contains(e.Vars(), v.s.MemoryVar(c.memory))
}

// why reports what a consumer lacks that never acts.
func (s *starvation) why(c *consumer) lack {
	plusA, minusA := s.leads(c.a, c.element)
	plusB, minusB := s.leads(c.b, c.element)
	looseA, looseB := !plusA && !minusA, !plusB && !minusB
	switch {
	case looseA && looseB && evidence.OfPart(s.d, c.Info), (looseA || looseB) && s.spare(c, looseA):
		return unsure // a part of which this is not used
	case looseA && looseB:
		return lacksFeed
	case plusA && minusB, plusB && minusA:
		return s.apart(c)
	case !minusA && !minusB && (s.charges(c.a, c.b) || s.charges(c.b, c.a)):
		return neverOn
	case !minusA && !minusB:
		return lacksEarth
	case !plusA && !plusB:
		return lacksFeed
	case looseB: // both at the other end: what is written second is the way back
		return lacksEarth
	}
	return lacksFeed
}

// spare reports whether the loose end of a consumer is a pin of its fit that nothing at all
// is wired to, while something else in that fit is wired at both ends: one filament of
// a lamp that has two.
func (s *starvation) spare(c *consumer, looseA bool) bool {
	n := c.b
	if looseA {
		n = c.a
	}
	if c.Fit == model.None || !s.d.Nodes[n].IsPin || s.d.Nodes[n].Fit != c.Fit {
		return false
	}
	for _, e := range s.at[n] {
		if s.d.Elements[e].Fit != c.Fit {
			return false
		}
	}
	for i := range s.consumers {
		o := &s.consumers[i]
		if o.Fit != c.Fit || o.Info == c.Info || o.a == n || o.b == n {
			continue
		}
		plusA, minusA := s.leads(o.a, o.element)
		plusB, minusB := s.leads(o.b, o.element)
		if plusA && minusB || plusB && minusA {
			return true
		}
	}
	return false
}

// apart reports whether feed and way back are each there at times, and never together.
func (s *starvation) apart(c *consumer) lack {
	one := func(x, y model.NodeID) bool {
		for _, part := range [...]system.Condition{ask.Live(x), s.returns(y)} {
			got, err := s.s.PossibleHere(s.p.Ctx, part)
			s.p.StopOn(err)
			if got.Outcome != system.Holds {
				return false
			}
		}
		return true
	}
	if !one(c.a, c.b) && !one(c.b, c.a) {
		return neverOn
	}
	got, err := s.s.Never(s.p.Ctx, s.direct(c))
	s.p.StopOn(err)
	if got.Outcome == system.Holds {
		return apartInTime
	}
	return neverOn
}

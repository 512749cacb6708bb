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

// reach marks what metal may join to a plus and to a minus at some time.
func (s *starvation) reach() { s.reachWithout(model.None) }

// reachWithout is the same with one element taken out.
func (s *starvation) reachWithout(but model.ElementID) {
	n := len(s.d.Nodes)
	s.feed, s.earth, s.at = make([]bool, n), make([]bool, n), make([][]model.ElementID, n)
	for i := range s.d.Elements {
		if e := &s.d.Elements[i]; s.conductible(e) && model.ElementID(i) != but {
			s.at[e.A] = append(s.at[e.A], model.ElementID(i))
			if e.B != e.A {
				s.at[e.B] = append(s.at[e.B], model.ElementID(i))
			}
		}
	}
	absent := consequence.NeverPresent(s.p)
	for i := range s.d.Supplies {
		if k := &s.d.Supplies[i]; !slices.Contains(absent, k.Element) {
			s.feed[k.Plus], s.earth[k.Minus] = true, true
		}
	}
	// A way that goes on beyond earth or beyond the stud of the battery is no feed.
	pluses, minuses := slices.Clone(s.feed), slices.Clone(s.earth)
	if s.d.Ground != model.None {
		minuses[s.d.Ground] = true
	}
	feed, earth := s.metalFrom(s.feed, minuses, true, anyTwo), s.metalFrom(s.earth, pluses, false, anyTwo)
	for n := range feed {
		if feed[n] && earth[n] {
			// The two throws of a changeover lead to both, and no way leads through both: what
			// a feed is must not depend on that.
			feed, earth = s.metalFrom(s.feed, minuses, true, s.exclude), s.metalFrom(s.earth, pluses, false, s.exclude)
			break
		}
	}
	s.feed, s.earth = feed, earth
}

// mostWaysTo is how many ways to one point are distinguished, by the switches on them; beyond that
// they count as one that nothing excludes.
const mostWaysTo = 8

func anyTwo(a, b circuit.Switch) bool { return false }

// metalFrom marks what metal and diodes may join to some nodes at some time, by ways on which
// no two switches exclude one another; and not beyond nodes that are barred. Forward is along
// a current, backward against it.
func (s *starvation) metalFrom(start, bar []bool, forward bool, exclude func(a, b circuit.Switch) bool) []bool {
	type place struct {
		n    model.NodeID
		over []circuit.Switch // on the way, ascending
	}
	marks := make([]bool, len(s.d.Nodes))
	ways := make([][][]circuit.Switch, len(s.d.Nodes))
	var queue []place
	enter := func(n model.NodeID, over []circuit.Switch) {
		if slices.ContainsFunc(ways[n], func(w []circuit.Switch) bool { return subset(w, over) }) {
			return
		}
		if len(ways[n]) == mostWaysTo {
			over = nil
		}
		marks[n], ways[n] = true, append(ways[n], over)
		queue = append(queue, place{n, over})
	}
	for n, is := range start {
		if is {
			enter(model.NodeID(n), nil)
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		for _, id := range s.at[at.n] {
			e := &s.d.Elements[id]
			if !e.Metal && (e.Type != model.ElemDiode || (at.n == e.A) != forward) {
				continue
			}
			next := e.A + e.B - at.n
			if bar[next] {
				continue
			}
			over := at.over
			if w, switched, _ := s.c.SwitchOf(id); switched && !slices.Contains(over, w) {
				if slices.ContainsFunc(over, func(other circuit.Switch) bool { return exclude(min(w, other), max(w, other)) }) {
					continue
				}
				over = slices.Sorted(slices.Values(append(slices.Clone(over), w)))
			}
			enter(next, over)
		}
	}
	return marks
}

func subset(a, b []circuit.Switch) bool {
	return !slices.ContainsFunc(a, func(w circuit.Switch) bool { return !slices.Contains(b, w) })
}

// exclude reports whether two switches each conduct in some state that is reached, and never
// both. What one of them alone never does is no matter of the other.
func (s *starvation) exclude(a, b circuit.Switch) bool {
	key := [2]circuit.Switch{a, b}
	if known, ok := s.excluded[key]; ok {
		return known
	}
	infos := s.c.Switches()
	one, other := system.On(infos[a].Cond), system.On(infos[b].Cond)
	got, err := s.s.PossibleHere(s.p.Ctx, system.All(one, other))
	s.p.StopOn(err)
	is := got.Outcome == system.Fails && s.sometimes(one) && s.sometimes(other) && !consequence.Restless(s.p, one, other)
	if s.excluded == nil {
		s.excluded = map[[2]circuit.Switch]bool{}
	}
	s.excluded[key] = is
	return is
}

func (s *starvation) conductible(e *model.Element) bool {
	return e.Type != model.ElemSupply && e.Type != model.ElemPull && (e.Closed == nil || e.Closed.Op != model.CondFalse)
}

// leads reports whether a current could come to a node from a plus, and go from it to a
// minus, other than through one element: by metal, or through other consumers and
// resistors. Beyond metal that is at a plus there is no way to a minus, and the other
// way round.
func (s *starvation) leads(n model.NodeID, but model.ElementID) (plus, minus bool) {
	return s.search(n, but, s.feed, s.earth), s.search(n, but, s.earth, s.feed)
}

func (s *starvation) search(n model.NodeID, but model.ElementID, to, bar []bool) bool {
	seen := map[model.NodeID]bool{n: true}
	for queue := []model.NodeID{n}; len(queue) > 0; queue = queue[1:] {
		x := queue[0]
		if to[x] {
			return true
		}
		if bar[x] {
			continue
		}
		for _, id := range s.at[x] {
			e := &s.d.Elements[id]
			if y := e.A + e.B - x; id != but && !seen[y] {
				seen[y] = true
				queue = append(queue, y)
			}
		}
	}
	return false
}

package circuits

import (
	"fmt"
	"slices"

	"pintle/checker/rule"
	"pintle/checker/system"
	"pintle/lang/diag"
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
	neverOn // both are there, and switches or volts keep it still
)

// starved is a consumer with what it lacks.
type starved struct {
	*consumer
	lack   lack
	reason string // for unsure: what could not be decided
}

// starving is worked out once for the five rules that share it.
var starving = rule.Share(func(p *rule.Pass) *starvation {
	v := look(p)
	s := &starvation{view: v}
	// What a bench leaves out is left out on purpose, and without any supply nothing is
	// said about feeds. What could not be read might be the feed.
	if v.d.Bench || len(v.d.Supplies) == 0 || len(v.d.Incomplete) > 0 || v.restless() {
		return s
	}
	s.reach()
	for i := range v.consumers {
		c := &v.consumers[i]
		if p.Ctx.Err() != nil || v.elsewhere(c.Info) {
			continue
		}
		s.all = append(s.all, s.judge(c))
	}
	return s
})

type starvation struct {
	*view
	all []starved
	// By node: metal that may conduct at some time joins it to a plus, a minus.
	feed, earth []bool
	at          [][]model.ElementID // by node: the elements that end there
}

// each calls f for the consumers with a lack, reports what is undecided about the others
// and clears those that act.
func each(p *rule.Pass, of lack, f func(*starvation, *consumer)) {
	s := starving.Of(p)
	v := *s.view
	v.p = p
	for i := range s.all {
		switch c := &s.all[i]; {
		case c.lack == unsure && c.reason != "":
			p.Undecided(c.Place, c.Path, c.reason)
		case c.lack == of:
			f(&starvation{view: &v, feed: s.feed, earth: s.earth, at: s.at}, c.consumer)
		case c.lack != unsure:
			p.Clear(c.Path)
		}
	}
}

func (s *starvation) judge(c *consumer) starved {
	if s.momentary(c) {
		return starved{consumer: c}
	}
	acts := s.acts(c)
	if c.Kind == "coil" { // whether it pulls in is another rule's matter
		acts = s.feelsAny(c)
	}
	got, err := s.s.Never(s.p.Ctx, acts)
	s.p.StopOn(err)
	switch got.Outcome {
	case system.Holds:
		if got.NominalOnly {
			return starved{consumer: c}
		}
	case system.Undecided:
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
		return starved{consumer: c, lack: neverOn}
	case system.Fails:
		return starved{consumer: c, lack: s.why(c)}
	}
	return starved{consumer: c}
}

// restless tells whether hardware never settles, or assumptions leave nothing that can
// move: then hardly any state can be reached, and nothing is to be concluded from what
// is never so. Both have findings of their own.
func (v *view) restless() bool {
	hunts, err := v.s.Hunts(v.p.Ctx)
	v.p.StopOn(err)
	blocks, err := v.s.Blocks(v.p.Ctx)
	v.p.StopOn(err)
	return len(hunts) > 0 || len(blocks) > 0
}

// momentary tells whether what a winding gets turns on the iron that it moves itself: it
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

// why tells what a consumer lacks that never acts.
func (s *starvation) why(c *consumer) lack {
	plusA, minusA := s.leads(c.a, c.element)
	plusB, minusB := s.leads(c.b, c.element)
	looseA, looseB := !plusA && !minusA, !plusB && !minusB
	switch {
	case looseA && looseB && s.inPart(c.Info), (looseA || looseB) && s.spare(c, looseA):
		return unsure // a part of which this is not used
	case looseA && looseB:
		return lacksFeed
	case plusA && minusB, plusB && minusA:
		return s.apart(c)
	case !minusA && !minusB:
		return lacksEarth
	case !plusA && !plusB:
		return lacksFeed
	case looseB: // both at the other end: what is written second is the way back
		return lacksEarth
	}
	return lacksFeed
}

// spare tells whether the loose end of a consumer is a pin of a part that nothing at all
// is wired to, while something else in that part is wired at both ends: one filament of
// a lamp that has two.
func (s *starvation) spare(c *consumer, looseA bool) bool {
	n := c.b
	if looseA {
		n = c.a
	}
	if !s.inPart(c.Info) || !s.d.Nodes[n].IsPin || s.d.Nodes[n].Fit != c.Fit {
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

// apart tells whether feed and way back are each there at times, and never together.
func (s *starvation) apart(c *consumer) lack {
	one := func(x, y model.NodeID) bool {
		for _, part := range [...]system.Condition{s.live(x), s.returns(y)} {
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
	for i := range s.d.Supplies {
		s.feed[s.d.Supplies[i].Plus] = true
		s.earth[s.d.Supplies[i].Minus] = true
	}
	// A way that goes on beyond earth or beyond the stud of the battery is no feed.
	spread := func(marks, bar []bool, forward bool) {
		for changed := true; changed; {
			changed = false
			for i := range s.d.Elements {
				e := &s.d.Elements[i]
				if model.ElementID(i) == but || !s.conductible(e) || !e.Metal && e.Type != model.ElemDiode {
					continue
				}
				for _, x := range [...][2]model.NodeID{{e.A, e.B}, {e.B, e.A}} {
					if e.Type == model.ElemDiode && (x[0] == e.A) != forward {
						continue
					}
					if marks[x[0]] && !marks[x[1]] && !bar[x[1]] {
						marks[x[1]], changed = true, true
					}
				}
			}
		}
	}
	pluses, minuses := append([]bool{}, s.feed...), append([]bool{}, s.earth...)
	if s.d.Ground != model.None {
		minuses[s.d.Ground] = true
	}
	spread(s.feed, minuses, true)
	spread(s.earth, pluses, false)
}

func (s *starvation) conductible(e *model.Element) bool {
	return e.Type != model.ElemSupply && e.Type != model.ElemPull && (e.Closed == nil || e.Closed.Op != model.CondFalse)
}

// leads tells whether a current could come to a node from a plus, and go from it to a
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

func floatingGround() rule.Rule {
	return rule.Rule{
		Name:       "floating-ground",
		Severity:   diag.Error,
		Summary:    "a load, winding, driver or controller with no way back to earth in any state",
		Why:        "without its earth it never works, or works only over a way that nobody meant",
		Doc:        page("floating-ground"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			each(p, lacksEarth, func(s *starvation, c *consumer) {
				p.Report(diag.Finding{
					Message:  fmt.Sprintf("%s has no way to earth: %s leads nowhere", c.Path, s.dead(c, s.earth)),
					Place:    s.site(c.Info),
					Subject:  c.Path,
					Help:     "wire that end to ground, or to what is to switch its earth",
					Evidence: []diag.Evidence{s.stretch(c, s.earth)},
				})
			})
			s := starving.Of(p)
			s.drivers(p, false)
		},
	}
}

func noFeed() rule.Rule {
	return rule.Rule{
		Name:       "no-feed",
		Severity:   diag.Error,
		Summary:    "a load, winding, driver or controller that no supply can feed in any state",
		Why:        "it never works",
		Doc:        page("no-feed"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			each(p, lacksFeed, func(s *starvation, c *consumer) {
				p.Report(diag.Finding{
					Message:  fmt.Sprintf("%s has no feed: %s leads to no supply", c.Path, s.dead(c, s.feed)),
					Place:    s.site(c.Info),
					Subject:  c.Path,
					Help:     "wire that end to a fuse, or to what is to switch its feed",
					Evidence: []diag.Evidence{s.stretch(c, s.feed)},
				})
			})
			s := starving.Of(p)
			s.drivers(p, true)
		},
	}
}

// drivers looks at the pins behind drivers whose outputs are wired.
func (s *starvation) drivers(p *rule.Pass, feeds bool) {
	if s.at == nil {
		return
	}
	for i := range s.d.Drivers {
		k := &s.d.Drivers[i]
		if k.Broken || k.Feeds != feeds || s.elsewhere(&k.Info) {
			continue
		}
		controller := &s.d.Controllers[k.Controller]
		marks, what, own := s.earth, "earth", controller.Minus
		if feeds {
			marks, what, own = s.feed, "feed", controller.Plus
		}
		wired := false
		for _, e := range s.at[k.Pin] {
			wired = wired || e != k.Element
		}
		if marks[k.From] || !wired {
			p.Clear(k.Path)
			continue
		}
		if k.From == own {
			continue // said of the controller
		}
		p.Report(diag.Finding{
			Message: fmt.Sprintf("%s has no %s to switch: nothing wires %s to one", k.Path, what, s.d.Nodes[k.From].Path),
			Place:   s.site(&k.Info),
			Subject: k.Path,
			Help:    fmt.Sprintf("wire %s to %s", s.d.Nodes[k.From].Path, map[bool]string{true: "a fused feed", false: "ground"}[feeds]),
		})
	}
}

// dead names the end of a consumer that does not lead where it should.
func (s *starvation) dead(c *consumer, marks []bool) string {
	return s.d.Nodes[s.deadEnd(c, marks)].Path
}

func (s *starvation) deadEnd(c *consumer, marks []bool) model.NodeID {
	other := s.feed
	if &marks[0] == &s.feed[0] {
		other = s.earth
	}
	if other[c.b] && !other[c.a] {
		return c.a
	}
	if other[c.a] && !other[c.b] {
		return c.b
	}
	if &marks[0] == &s.feed[0] {
		return c.a
	}
	return c.b
}

// stretch lists what metal joins to the end that leads nowhere.
func (s *starvation) stretch(c *consumer, marks []bool) diag.Evidence {
	end := s.deadEnd(c, marks)
	ev := diag.Evidence{Kind: diag.Path, Title: "as far as " + s.d.Nodes[end].Path + " goes"}
	seen := map[model.NodeID]bool{end: true}
	for queue := []model.NodeID{end}; len(queue) > 0; queue = queue[1:] {
		for _, id := range s.at[queue[0]] {
			e := &s.d.Elements[id]
			y := e.A + e.B - queue[0]
			if !e.Metal || seen[y] {
				continue
			}
			seen[y] = true
			queue = append(queue, y)
			ev.Lines = append(ev.Lines, diag.Line{
				Text:  fmt.Sprintf("%s: %s to %s", e.Path, s.d.Nodes[queue[0]].Path, s.d.Nodes[y].Path),
				Place: e.Place,
			})
		}
	}
	if len(ev.Lines) == 0 {
		ev.Lines = []diag.Line{{Text: "nothing ends there but " + c.Path, Place: c.Place}}
	}
	return ev
}

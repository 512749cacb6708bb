package circuits

import (
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func sneakPath() rule.Rule {
	return rule.Rule{
		Name:     "sneak-path",
		Severity: diag.Error,
		Summary:  "a load or winding that runs through other loads, on a path that nobody intended",
		Why:      "something glows, turns or pulls in although its own switch is open, and every part is sound",
		Doc:      pages.Of("sneak-path"),
		Source:   "sneak circuit analysis: MIL-STD-785B task 205",
		Needs:    rule.States,
		Run:      findSneaks,
	}
}

func findSneaks(p *rule.Pass) {
	s := &sneaks{view: look(p), ways: map[model.ElementID]*ordinaryRun{}, told: map[model.ElementID]bool{}}
	s.bound()
	for i := range s.consumers {
		s.backwards(&s.consumers[i])
	}
	for i := range s.consumers {
		s.forwards(&s.consumers[i])
	}
	if !slices.ContainsFunc(s.consumers, func(c consumer) bool { return s.strange(&c) || s.lodger(&c) }) {
		return // no neighbour could be told of
	}
	for i := range s.consumers {
		s.neighbours(&s.consumers[i])
	}
	for i := range s.consumers {
		s.lodgers(&s.consumers[i])
	}
}

// habit is how a consumer works when it has its feed and earth by metal alone.
type ordinaryRun struct {
	direct     bool // it does at some time
	aToB, bToA bool // with the current in this direction
}

type sneaks struct {
	*view
	ways map[model.ElementID]*ordinaryRun
	told map[model.ElementID]bool
}

// worth reports whether a consumer is looked at. Windings that share an armature are often
// meant to run in series; requirements speak of those.
func (s *sneaks) worth(c *consumer) bool { return c.element != model.None && c.runs > 0 && !c.shares }

// habit asks how a consumer works by itself.
func (s *sneaks) ordinary(c *consumer) *ordinaryRun {
	h := s.ways[c.element]
	if h == nil {
		h = &ordinaryRun{}
		s.ways[c.element] = h
		if s.worth(c) {
			alone := system.All(s.direct(c), s.sound(c.a, c.b))
			_, one := s.can(c.Info, system.All(alone, ask.AtLeast(ask.Volts(c.a, c.b), c.runs)))
			_, other := s.can(c.Info, system.All(alone, ask.AtLeast(ask.Volts(c.b, c.a), c.runs)))
			h.aToB, h.bToA = one == ask.Yes, other == ask.Yes
			// What is not known of one direction is not taken for never.
			h.direct = (h.aToB || h.bToA) && one != ask.Unknown && other != ask.Unknown
		}
	}
	return h
}

// backwards looks for a consumer that has a direction of its own and carries current
// against it, in series, while somebody on the way acts.
func (s *sneaks) backwards(c *consumer) {
	h := s.ordinary(c)
	if !h.direct || h.aToB && h.bToA {
		return
	}
	against := ask.AtLeast(ask.Volts(c.b, c.a), feels*c.rated)
	if h.bToA {
		against = ask.AtLeast(ask.Volts(c.a, c.b), feels*c.rated)
	}
	s.search(c, system.All(system.Not(s.direct(c)), against, s.sound(c.a, c.b)), func(st *state, way []circuit.Step, cs []*consumer) bool {
		victim := s.victim(st, way, cs)
		if victim == nil || s.told[victim.element] {
			return false
		}
		s.report(st, way, cs, victim, c)
		return true
	})
}

// forwards looks for a consumer that acts in series with others each of which works by
// itself at other times. A load with two levels or more has one for this: what it does
// at half its volts is meant.
func (s *sneaks) forwards(c *consumer) {
	if s.told[c.element] || !s.worth(c) || c.load != nil && len(c.load.Levels) > 1 || !s.ordinary(c).direct {
		return
	}
	acts := system.All(ask.AtLeast(ask.VoltsAcross(c.a, c.b), c.runs), system.Not(s.direct(c)), s.sound(c.a, c.b))
	s.search(c, acts, func(st *state, way []circuit.Step, cs []*consumer) bool {
		if s.selfHeld(c, way) || !worksBy(st, way, c) {
			return false // the former is reported by held-in-through-load
		}
		for _, o := range cs {
			if !s.ordinary(o).direct || s.told[o.element] {
				return false
			}
		}
		s.report(st, way, cs, c, nil)
		return true
	})
}

// neighbours looks for a load with a switch of its own that reaches its lowest level with that
// switch open, through a load that never has a feed and an earth by itself: one that is connected to
// the wrong point. What has no switch of its own, as the field of an alternator behind its charge
// lamp, is in series by design.
func (s *sneaks) neighbours(c *consumer) {
	if s.told[c.element] || !s.worth(c) || c.load == nil || !s.ordinary(c).direct || !s.hasSwitch(c) {
		return
	}
	acts := system.All(ask.AtLeast(ask.VoltsAcross(c.a, c.b), c.runs), system.Not(s.direct(c)), s.sound(c.a, c.b))
	s.search(c, acts, func(st *state, way []circuit.Step, cs []*consumer) bool {
		if !worksBy(st, way, c) || slices.ContainsFunc(way, func(w circuit.Step) bool { return s.d.Elements[w.Element].OneWay }) {
			return false // feeds-back tells of alternators
		}
		strange := false
		for _, o := range cs {
			if s.told[o.element] || s.lacks(o) {
				return false
			}
			strange = strange || o != c && s.strange(o)
		}
		if !strange {
			return false
		}
		s.report(st, way, cs, c, nil)
		return true
	})
}

// lodgers looks for a load or winding that never has a feed and an earth by itself and acts through others that
// do: they serve it for a wire, in states in which they do nothing themselves, and it goes out as
// soon as one of them works. What only tells of something, as a tell-tale between two lines, is
// meant so, and so is what states what it does with a share of the volts.
func (s *sneaks) lodgers(c *consumer) {
	if s.told[c.element] || !s.worth(c) || !s.lodger(c) {
		return
	}
	cond := system.All(ask.AtLeast(ask.VoltsAcross(c.a, c.b), c.runs), s.sound(c.a, c.b))
	for range manyWays {
		st, ok := s.find(c.Info, cond)
		if ok != ask.Yes {
			return
		}
		way := st.way(c.element)
		cs := s.on(way)
		if s.lodges(st, way, cs, c) {
			s.report(st, way, cs, c, nil)
			return
		}
		var closed []system.Condition
		for _, w := range way {
			if s.switched(w.Element) && s.d.Elements[w.Element].Type != model.ElemSupply {
				closed = append(closed, s.closed(w.Element))
			}
		}
		if len(closed) == 0 {
			return
		}
		cond = system.All(cond, system.Not(system.All(closed...)))
	}
}

// lodger reports whether a consumer is one that lodgers looks at: a load that states one level at
// most and is no tell-tale, or a winding with iron of its own.
func (s *sneaks) lodger(c *consumer) bool {
	if c.element == model.None || s.ordinary(c).direct || s.lacks(c) {
		return false
	}
	if c.load != nil {
		return len(c.load.Levels) <= 1 && !s.tellTale(c)
	}
	return c.Kind == "coil" && c.memory != model.None && !c.shares
}

// lodges reports whether a load acts over a way by others that work by themselves at other times
// and do nothing now.
func (s *sneaks) lodges(st *state, way []circuit.Step, cs []*consumer, c *consumer) bool {
	if len(cs) < 2 || !worksBy(st, way, c) || slices.ContainsFunc(way, func(w circuit.Step) bool { return s.d.Elements[w.Element].OneWay }) {
		return false
	}
	for _, o := range cs {
		if o == c {
			continue
		}
		if !s.ordinary(o).direct || s.told[o.element] || math.Abs(volts(st.Solution, o)) >= o.runs {
			return false
		}
		// Where the two act together at times, the one is no mere wire for the other.
		if _, both := s.can(c.Info, system.All(ask.AtLeast(ask.VoltsAcross(c.a, c.b), c.runs), s.direct(o), ask.AtLeast(ask.VoltsAcross(o.a, o.b), o.runs))); both != ask.No {
			return false
		}
	}
	return true
}

// tellTale reports whether a load is so small that it only tells of something.
func (s *sneaks) tellTale(c *consumer) bool {
	ohm := s.d.Elements[c.element].Ohm.Nominal
	return ohm > 0 && c.rated*c.rated/ohm <= s.p.Limits.TellTale*1.001
}

// strange reports whether a consumer is a load that never has a feed and an earth by itself.
// One that lacks its feed or its earth altogether has a finding of its own.
func (s *sneaks) strange(c *consumer) bool {
	return c.load != nil && c.element != model.None && !s.ordinary(c).direct && !s.lacks(c)
}

// lacks reports whether a consumer has no feed or no earth of its own, which has a finding.
func (s *sneaks) lacks(c *consumer) bool {
	return slices.ContainsFunc(starving.Of(s.p).all, func(k starved) bool {
		return k.Info == c.Info && (k.lack == lacksFeed || k.lack == lacksEarth)
	})
}

// hasSwitch reports whether a switch lies between a consumer and its feed or its earth.
func (s *sneaks) hasSwitch(c *consumer) bool {
	at := starving.Of(s.p)
	if at.at == nil {
		return false
	}
	for _, x := range [...]struct {
		from  model.NodeID
		marks []bool
	}{{c.a, at.plain(true)}, {c.b, at.plain(false)}, {c.b, at.plain(true)}, {c.a, at.plain(false)}} {
		for _, id := range at.metalWay(x.from, x.marks) {
			if s.switched(id) && s.d.Elements[id].Type != model.ElemSupply {
				return true
			}
		}
	}
	return false
}

// search goes through the states in which a condition about a consumer holds and its
// current runs through other consumers too, and over no switch that is there to put them
// in series, until found says that it was right.
func (s *sneaks) search(c *consumer, cond system.Condition, found func(*state, []circuit.Step, []*consumer) bool) {
	for range manyWays {
		st, ok := s.find(c.Info, cond)
		if ok != ask.Yes {
			return
		}
		way := st.way(c.element)
		cs := s.on(way)
		if len(cs) > 1 {
			if link := s.link(c, way, cs); link != model.None {
				cond = system.All(cond, system.Not(s.closed(link)))
				continue
			}
			if found(st, way, cs) {
				return
			}
		}
		var closed []system.Condition
		for _, w := range way {
			if s.switched(w.Element) && s.d.Elements[w.Element].Type != model.ElemSupply {
				closed = append(closed, s.closed(w.Element))
			}
		}
		if len(closed) == 0 {
			return
		}
		cond = system.All(cond, system.Not(system.All(closed...)))
	}
}

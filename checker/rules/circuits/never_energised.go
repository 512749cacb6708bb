package circuits

import (
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func feedAndGroundNeverTogether() rule.Rule {
	return rule.Rule{
		Name:       "feed-and-ground-never-together",
		Severity:   diag.Error,
		Summary:    "a load or winding that has a feed at times and an earth at times, and never both at once",
		Why:        "each side measures right, and the load never works",
		Doc:        pages.Of("feed-and-ground-never-together"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			each(p, apartInTime, func(s *starvation, c *starved) {
				a, b := c.a, c.b
				fed, ok := s.can(c.Info, ask.Live(a))
				earthed, ok2 := s.can(c.Info, s.returns(b))
				if ok != ask.Yes || ok2 != ask.Yes {
					a, b = b, a
					fed, _ = s.can(c.Info, ask.Live(a))
					earthed, _ = s.can(c.Info, s.returns(b))
				}
				shown := evidence.Moves("to where "+s.d.Nodes[a].Path+" is live", fed)
				shown = append(shown, evidence.Moves("to where "+s.d.Nodes[b].Path+" is earthed", earthed)...)
				p.Report(diag.Finding{
					Message:  fmt.Sprintf("%s never has its feed and its earth at the same time", c.Path),
					Place:    evidence.Site(s.d, c.Info),
					Subject:  c.Path,
					Help:     "compare the two conditions: there must be a state in which both the feed and the earth are switched on",
					Evidence: shown,
				})
			})
		},
	}
}

func neverEnergised() rule.Rule {
	return rule.Rule{
		Name:         "never-energised",
		Severity:     diag.Warning,
		Summary:      "a load, winding or controller with feed and earth that acts in no reachable state",
		Why:          "it is on the vehicle and does nothing",
		Doc:          pages.Of("never-energised"),
		Fixable:      true,
		Needs:        rule.States,
		Everywhere:   true,
		SuppressedBy: []string{"driver-unpowered", "nothing-starts-it"},
		Run: func(p *rule.Pass) {
			s, cs := lacking(p, neverOn)
			cs = s.tooFewVolts(cs)
			for _, c := range cs {
				s.neverActs(p, c)
			}
		},
	}
}

// neverActs reports a consumer that has its feed and its earth, and does not act.
func (s *starvation) neverActs(p *rule.Pass, c *starved) {
	if _, others := s.inSeries(c.consumer); others != nil {
		return // series-share tells it
	}
	f := diag.Finding{
		Place:   evidence.Site(s.d, c.Info),
		Subject: c.Path,
		Message: fmt.Sprintf("%s never runs", c.Path),
		Help:    "change the conditions so that they can be true together, or remove it",
	}
	if c.load == nil {
		f.Message = fmt.Sprintf("%s, a %s, is never energised", c.Path, c.word())
	}
	if never := s.neverMade(c.consumer); never != model.None {
		e := &s.d.Elements[never]
		own := e.Type == model.ElemContact && c.memory != model.None && s.d.Contacts[e.Of].By == c.memory ||
			e.Type == model.ElemDriver && c.word() == "controller" && s.d.Controllers[s.d.Drivers[e.Of].Controller].Powered == c.memory
		if !own && consequence.Reported(p, e.Closed) {
			return // what keeps it open has a finding of its own
		}
		f.Message += fmt.Sprintf(": %s is never %s", evidence.Way(s.d, never), map[bool]string{true: "on", false: "made"}[e.Type == model.ElemDriver])
		f.Related = []diag.Related{{Place: e.Place, Note: "conducts in no reachable state"}}
		if own {
			f.Message = fmt.Sprintf("%s, a %s, is never energised: only its own %s would bring it a current", c.Path, c.word(), s.thing(e))
			f.Help = "wire it to what is to feed it first"
			if c.word() == "controller" {
				f.Message = fmt.Sprintf("%s never has power: only its own driver %s would bring it a current", c.Path, e.Path)
				f.Help = "wire its feed and its earth to where they are without it; two of its pins may be exchanged"
				f.Evidence = s.over(c.consumer, never)
			}
			if bare := s.bare(c.consumer); bare != model.None {
				f.Message += fmt.Sprintf(", and %s has no wire", s.d.Nodes[bare].Path)
				f.Help = fmt.Sprintf("wire %s to what is to feed it first", s.d.Nodes[bare].Path)
			}
		}
	} else if apart := s.neverTogether(c.consumer); apart != nil {
		var names []string
		for _, id := range apart {
			e := &s.d.Elements[id]
			names = append(names, evidence.Way(s.d, id))
			f.Related = append(f.Related, diag.Related{Place: evidence.Site(s.d, &e.Info), Note: "conducts while " + s.d.Words(e.Closed)})
		}
		f.Message += fmt.Sprintf(": %s never conduct at once", list(names))
	}
	if against := s.blocking(c.consumer); against != model.None {
		s.blocks(&f, against)
	}
	switch st, ok := s.find(c.Info, system.All(s.feelsAny(c.consumer), s.sound(c.a, c.b))); {
	case ok == ask.Yes:
		f.Message, f.Help = c.tooLittle()
		f.Fixes = nil
		if c.element != model.None {
			f.Evidence = append(f.Evidence, st.Path("current path", st.way(c.element)), st.voltsOf([]*consumer{c.consumer}))
		}
		f.Evidence = append(f.Evidence, evidence.Moves("how that comes about", st.trace)...)
		f.Evidence = append(f.Evidence, evidence.Moves("how it comes about with "+c.there.Corner, c.there.Trace)...)
		if c.word() == "controller" {
			f.Related = append(f.Related, diag.Related{Place: c.Place, Note: "its power"})
		}
		f.Related = append(f.Related, evidence.Feeding(s.d, s.c, c.a, c.b)...)
	case s.sometimes(s.feelsAny(c.consumer)):
		return // a short takes its volts
	case f.Related == nil:
		if against := s.turned(c.consumer); against != model.None {
			s.blocks(&f, against)
		}
	}
	p.Report(f)
}

// tooLittle says of a consumer with a current what it lacks, and what to do about that.
func (c *starved) tooLittle() (message, help string) {
	switch {
	case c.Kind != "coil":
		message = fmt.Sprintf("%s never gets the %s that it needs", c.Path, evidence.Volts(c.runs))
		help = "look for what drops the volts on its way, or state the level that is meant"
	case c.runs > 0:
		message = fmt.Sprintf("%s never gets the %s that move its iron", c.Path, evidence.Volts(c.runs))
		help = "look for what drops the volts on its way, or take a winding that pulls in lower"
	case c.assumed > 0:
		message = fmt.Sprintf("%s never gets the %s that are assumed to move its iron", c.Path, evidence.Volts(c.assumed))
		help = "look for what drops the volts on its way, or say at what volts it pulls in"
	default:
		message = fmt.Sprintf("%s has a current, and never enough to move its iron", c.Path)
		help = "look for what takes the current on its way, or take an armature that pulls in lower"
	}
	if c.there.Trace != nil {
		message += fmt.Sprintf(" at nominal volts; it does with %s", c.there.Corner)
		help = "take one for the nominal volts of its supply, or " + help
	}
	return message, help
}

// over shows the way between an end of a consumer and a supply or ground that leads over an element.
func (s *starvation) over(c *consumer, id model.ElementID) []diag.Evidence {
	for _, from := range [...]model.NodeID{c.a, c.b} {
		for _, plus := range [...]bool{true, false} {
			way := s.metalWay(from, s.plain(plus))
			if !slices.Contains(way, id) {
				continue
			}
			end := from
			for _, k := range slices.Backward(way) {
				end = s.d.Elements[k].A + s.d.Elements[k].B - end
			}
			return []diag.Evidence{s.metalOf("the path through that", end, way)}
		}
	}
	return nil
}

// neverMade is a switch between a consumer and its feed or earth that conducts in no
// reachable state, where there is one.
func (s *starvation) neverMade(c *consumer) model.ElementID {
	for _, x := range [...]struct {
		from model.NodeID
		to   []bool
	}{{c.a, s.plain(true)}, {c.b, s.plain(false)}, {c.b, s.plain(true)}, {c.a, s.plain(false)}} {
		for _, id := range s.metalWay(x.from, x.to) {
			if !s.switched(id) {
				continue
			}
			if got, err := s.s.PossibleHere(s.p.Ctx, s.closed(id)); err == nil && got.Outcome == system.Fails {
				return id
			}
		}
	}
	return model.None
}

// bare is an end of a consumer that is a pin of its fit to which nothing leads from outside.
func (s *starvation) bare(c *consumer) model.NodeID {
	for _, n := range [...]model.NodeID{c.a, c.b} {
		k := &s.d.Nodes[n]
		if k.IsPin && k.Fit != model.None && !slices.ContainsFunc(s.at[n], func(id model.ElementID) bool { return s.d.Elements[id].Fit != k.Fit }) {
			return n
		}
	}
	return model.None
}

// neverTogether are the switches on the way to a consumer and back that each conduct at
// times, and never all at once; nil where there are none.
func (s *starvation) neverTogether(c *consumer) []model.ElementID {
	for _, ends := range [...][2]model.NodeID{{c.a, c.b}, {c.b, c.a}} {
		var on []model.ElementID
		var closed []system.Condition
		for i, plus := range [...]bool{true, false} {
			for _, id := range s.metalWay(ends[i], s.plain(plus)) {
				if s.switched(id) {
					on, closed = append(on, id), append(closed, s.closed(id))
				}
			}
		}
		if len(on) < 2 {
			continue
		}
		if got, err := s.s.PossibleHere(s.p.Ctx, system.All(closed...)); err == nil && got.Outcome == system.Fails {
			return on
		}
	}
	return nil
}

// blocking is a diode that keeps any current from a consumer, or None.
func (s *starvation) blocking(c *consumer) model.ElementID {
	if c.element == model.None {
		return model.None
	}
	if diodes := s.c.Blocking(c.element, consequence.NeverPresent(s.p)...); len(diodes) > 0 {
		return diodes[0]
	}
	return model.None
}

// plain marks the plus terminals, or ground and the minus ones.
func (s *starvation) plain(plus bool) []bool {
	marks := make([]bool, len(s.d.Nodes))
	for i := range s.d.Supplies {
		if plus {
			marks[s.d.Supplies[i].Plus] = true
		} else {
			marks[s.d.Supplies[i].Minus] = true
		}
	}
	if !plus && s.d.Ground != model.None {
		marks[s.d.Ground] = true
	}
	return marks
}

// metalWay is the shortest way through metal and diodes from a node to a marked one,
// whatever conducts.
func (s *starvation) metalWay(from model.NodeID, to []bool) []model.ElementID {
	return s.wayOver(from, to, func(e *model.Element) bool { return e.Metal || e.Type == model.ElemDiode })
}

// heldWay is the shortest way through metal that always conducts.
func (s *starvation) heldWay(from model.NodeID, to []bool) []model.ElementID {
	return s.wayOver(from, to, func(e *model.Element) bool { return e.Metal && e.Closed == nil })
}

// wayOver is the shortest way from a node to a marked one over some elements, the last
// one first.
func (s *starvation) wayOver(from model.NodeID, to []bool, over func(*model.Element) bool) []model.ElementID {
	via := map[model.NodeID]model.ElementID{from: model.None}
	for queue := []model.NodeID{from}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		if to[n] {
			var out []model.ElementID
			for via[n] != model.None {
				e := &s.d.Elements[via[n]]
				out = append(out, via[n])
				n = e.A + e.B - n
			}
			return out
		}
		for _, id := range s.at[n] {
			e := &s.d.Elements[id]
			if !over(e) {
				continue
			}
			y := e.A + e.B - n
			if _, seen := via[y]; !seen {
				via[y] = id
				queue = append(queue, y)
			}
		}
	}
	return nil
}

func seriesShare() rule.Rule {
	return rule.Rule{
		Name:       "series-share",
		Severity:   diag.Warning,
		Summary:    "a load that stays below its lowest level only because another load is in series with it",
		Why:        "the two share the volts: a lamp stays dark, a motor hums and does not turn, and each part is sound",
		Doc:        pages.Of("series-share"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			each(p, neverOn, func(s *starvation, c *starved) {
				st, others := s.inSeries(c.consumer)
				if others == nil {
					p.Clear(c.Path)
					return
				}
				u := st.across(c.consumer)
				p.Report(diag.Finding{
					Message: fmt.Sprintf("%s gets %s of the %s that it needs, in series with %s", c.Path, u, evidence.Volts(c.runs), list(paths(others))),
					Numbers: evidence.Numbers(u),
					Place:   evidence.Site(s.d, c.Info),
					Subject: c.Path,
					Help:    "feed each separately, or state the level that it should have in series",
					Related: related(others, "in series with it"),
					Evidence: append([]diag.Evidence{
						st.Path("current path", st.way(c.element)),
						st.voltsOf(append([]*consumer{c.consumer}, others...)),
					}, evidence.Moves("how it comes about", st.trace)...),
				})
			})
		},
	}
}

func related(cs []*consumer, note string) []diag.Related {
	var out []diag.Related
	for _, c := range cs {
		out = append(out, diag.Related{Place: c.Place, Note: note})
	}
	return out
}

// inSeries finds a state in which a load that never acts has current, together with the
// consumers in series with it, if it would act with those bridged.
func (s *starvation) inSeries(c *consumer) (*state, []*consumer) {
	if c.load == nil {
		return nil, nil
	}
	st, ok := s.find(c.Info, system.All(s.feelsAny(c), s.sound(c.a, c.b)))
	if ok != ask.Yes {
		return nil, nil
	}
	var others []*consumer
	var bridges []model.FaultAction
	for _, o := range s.on(st.way(c.element)) {
		if o.element != c.element {
			others = append(others, o)
			bridges = append(bridges, s.bridged(o.element))
		}
	}
	if others == nil {
		return nil, nil
	}
	if then := st.without(bridges...); then == nil || math.Abs(volts(then.Solution, c)) < c.runs {
		return nil, nil
	}
	return st, others
}

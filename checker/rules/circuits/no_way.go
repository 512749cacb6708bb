package circuits

import (
	"fmt"
	"slices"

	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func floatingGround() rule.Rule {
	return rule.Rule{
		Name:       "floating-ground",
		Severity:   diag.Error,
		Summary:    "a load, winding, driver or controller with no return path to earth in any state",
		Why:        "without its earth it never works, or works only through a path that nobody intended",
		Doc:        pages.Of("floating-ground"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			s, cs := lacking(p, lacksEarth)
			s.together(lacksEarth, cs, s.earth)
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
		Doc:        pages.Of("no-feed"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			s, cs := lacking(p, lacksFeed)
			s.together(lacksFeed, cs, s.feed)
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
		if k.Broken || k.Feeds != feeds || s.d.Elsewhere(&k.Info) {
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
			Place:   evidence.Site(s.d, &k.Info),
			Subject: k.Path,
			Help:    fmt.Sprintf("wire %s to %s", s.d.Nodes[k.From].Path, map[bool]string{true: "a fused feed", false: "ground"}[feeds]),
		})
	}
}

// deadEnd is the end of a consumer that does not lead where it should.
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

// stretch lists what metal joins to the end of a consumer that leads nowhere.
func (s *starvation) stretch(c *consumer, end model.NodeID) diag.Evidence {
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
		ev.Lines = []diag.Line{{Text: "no wire ends there", Place: c.Place}}
	}
	return ev
}

// toPlus is the shortest way over metal and diodes from the end of a consumer to the plus of a
// supply that is ever present: where there is one, the end leads somewhere, but not to earth.
func (s *starvation) toPlus(end model.NodeID) (ev diag.Evidence, supply string) {
	absent := consequence.NeverPresent(s.p)
	via := map[model.NodeID]model.ElementID{end: model.None}
	for queue := []model.NodeID{end}; len(queue) > 0; queue = queue[1:] {
		n := queue[0]
		for i := range s.d.Supplies {
			if k := &s.d.Supplies[i]; !k.Broken && k.Plus == n && n != end && !slices.Contains(absent, k.Element) {
				return s.wayFrom(end, n, via), k.Path
			}
		}
		for _, id := range s.at[n] {
			e := &s.d.Elements[id]
			y := e.A + e.B - n
			if _, seen := via[y]; !seen && (e.Metal || e.Type == model.ElemDiode && n == e.A) {
				via[y] = id
				queue = append(queue, y)
			}
		}
	}
	return ev, ""
}

// driverOn is the driver nearest to the end of a consumer on its way to the plus of a supply.
func (s *starvation) driverOn(end model.NodeID) model.ElementID {
	pluses := make([]bool, len(s.d.Nodes))
	for i := range s.d.Supplies {
		pluses[s.d.Supplies[i].Plus] = true
	}
	way := s.metalWay(end, pluses)
	for i := len(way) - 1; i >= 0; i-- {
		if s.d.Elements[way[i]].Type == model.ElemDriver {
			return way[i]
		}
	}
	return model.None
}

// wayFrom tells a way that a search has found, element by element.
func (s *starvation) wayFrom(end, to model.NodeID, via map[model.NodeID]model.ElementID) diag.Evidence {
	ev := diag.Evidence{Kind: diag.Path, Title: "where " + s.d.Nodes[end].Path + " leads"}
	for n := to; n != end; {
		e := &s.d.Elements[via[n]]
		from := e.A + e.B - n
		ev.Lines = append(ev.Lines, diag.Line{Text: fmt.Sprintf("%s: %s to %s", e.Path, s.d.Nodes[from].Path, s.d.Nodes[n].Path), Place: e.Place})
		n = from
	}
	slices.Reverse(ev.Lines)
	return ev
}

package circuits

import (
	"fmt"
	"math"

	"pintle/checker/rule"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// backAmps is the current through a switch from which its direction counts. Common
// practice, no source: less lights no lamp and moves no winding.
const backAmps = 0.05

func backFeed() rule.Rule {
	return rule.Rule{
		Name:     "back-feed",
		Severity: diag.Warning,
		Summary:  "a load that is fed backwards through a switch while its own feed is off, or a driver that carries current against its direction",
		Why:      "what is switched off comes on with something else, and a rail that is thought dead is live",
		Doc:      page("back-feed"),
		Source:   "the H pattern of sneak circuit analysis: MIL-STD-785B task 205; worked case in sneak_test.go",
		Needs:    rule.States,
		Run:      findBackFeeds,
	}
}

func findBackFeeds(p *rule.Pass) {
	v := look(p)
	told := map[model.ElementID]bool{}
	for i := range v.d.Elements {
		e := &v.d.Elements[i]
		id := model.ElementID(i)
		if e.Broken || !v.switched(id) || e.A == e.B {
			continue
		}
		switch e.Type {
		case model.ElemContact, model.ElemChart:
			if v.betweenFeeds(id) && v.d.Ground != model.None {
				v.bridge(id, told)
			}
		case model.ElemDriver:
			if v.betweenFeeds(id) {
				v.driverBack(id)
			}
		}
	}
}

// betweenFeeds tells whether metal that may conduct at some time joins both ends of an
// element to a plus, or both to a minus, other than over the element. Only then can it
// carry current both ways.
func (v *view) betweenFeeds(but model.ElementID) bool {
	s := &starvation{view: v}
	s.reachWithout(but)
	e := &v.d.Elements[but]
	return s.feed[e.A] && s.feed[e.B] || s.earth[e.A] && s.earth[e.B]
}

// flows is where a current runs through an element, from A to B or back.
func (v *view) flows(id model.ElementID, reverse bool) system.Condition {
	e := &v.d.Elements[id]
	from, to := e.A, e.B
	if reverse {
		from, to = to, from
	}
	return system.All(v.closed(id), v.carries(id, backAmps), v.above(from, to, math.Max(e.Ohm.Nominal*backAmps/2, 1e-9)))
}

// bridge looks at a switch between two rails.
func (v *view) bridge(id model.ElementID, told map[model.ElementID]bool) {
	e := &v.d.Elements[id]
	for _, reverse := range [...]bool{false, true} {
		if _, ok := v.can(&e.Info, v.flows(id, reverse)); ok != yes {
			return // it carries one way only: that is a feed like any other
		}
	}
	type direction struct {
		depend  bool // a consumer works only by the current in this direction
		victims []*consumer
		st      *state
		against int // wires on the way that are run against how they are written
	}
	var cases [2]direction
	for k, reverse := range [...]bool{false, true} {
		for i := range v.consumers {
			c := &v.consumers[i]
			if c.element == model.None || c.runs <= 0 || told[c.element] {
				continue
			}
			st, own := v.fedBy(id, reverse, c)
			cases[k].depend = cases[k].depend || st != nil
			if st == nil || !own {
				continue
			}
			cases[k].victims = append(cases[k].victims, c)
			if cases[k].st == nil {
				cases[k].st = st
				for _, w := range st.way(c.element) {
					if x := &v.d.Elements[w.Element]; w.Reverse && (x.Type == model.ElemWire || w.Element == id) {
						cases[k].against++
					}
				}
			}
		}
	}
	if !cases[0].depend || !cases[1].depend {
		return // the one direction only charges a battery
	}
	// Which of the two ways is meant no circuit can tell; wires are written from the feed
	// to the load.
	worst := cases[1]
	if cases[1].st == nil || cases[0].st != nil && cases[0].against > cases[1].against {
		worst = cases[0]
	}
	if worst.st == nil {
		return
	}
	c := worst.victims[0]
	for _, o := range worst.victims {
		told[o.element] = true
	}
	v.p.Report(diag.Finding{
		Message: fmt.Sprintf("%s is fed backwards through %s: %s, %s", c.Path, v.thing(e), inVolts(volts(worst.st.Solution, c)), inAmps(worst.st.Amps(c.element))),
		Place:   v.site(c.Info),
		Subject: c.Path,
		Help:    fmt.Sprintf("put a diode in series with %s, or give what is behind it a feed of its own", v.thing(e)),
		Related: append([]diag.Related{{Place: e.Place, Note: "carries current both ways"}}, related(worst.victims[1:], "comes on with it")...),
		Evidence: append([]diag.Evidence{
			v.pathOf("the way of the current", worst.st.way(c.element)),
			worst.st.voltsOf(worst.victims),
		}, moves("how it comes about", worst.st.trace)...),
	})
}

// fedBy finds a state in which a consumer acts only by the current that a switch carries
// in one direction, and tells whether at other times it acts with that switch open.
func (v *view) fedBy(id model.ElementID, reverse bool, c *consumer) (st *state, own bool) {
	acts := system.All(v.direct(c), v.across(c.a, c.b, c.runs))
	st, ok := v.find(c.Info, system.All(acts, v.flows(id, reverse)))
	if ok != yes {
		return nil, false
	}
	if then := st.without(v.broken(id)); then == nil || math.Abs(volts(then, c)) >= c.runs {
		return nil, false
	}
	_, ok = v.can(c.Info, system.All(acts, system.Not(v.closed(id))))
	return st, ok == yes
}

// driverBack looks for current that runs through a driver against its direction.
func (v *view) driverBack(id model.ElementID) {
	e := &v.d.Elements[id]
	k := &v.d.Drivers[e.Of]
	from, to := k.From, k.Pin
	if !k.Feeds {
		from, to = k.Pin, k.From
	}
	if k.Broken {
		return
	}
	st, ok := v.find(&k.Info, v.flows(id, from == e.A))
	if ok != yes {
		return
	}
	v.p.Report(diag.Finding{
		Message: fmt.Sprintf("%s carries %s backwards, from %s to %s", k.Path, inAmps(st.Amps(id)), v.d.Nodes[to].Path, v.d.Nodes[from].Path),
		Place:   v.site(&k.Info),
		Subject: k.Path,
		Help:    "put a diode between the driver and what else is joined to its wire",
		Evidence: append([]diag.Evidence{v.pathOf("the way of the current", st.way(id))},
			moves("how it comes about", st.trace)...),
	})
}

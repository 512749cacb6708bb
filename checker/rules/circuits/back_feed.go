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

// backAmps is the current through a driver from which its direction counts. Common
// practice, no source: less lights no lamp and moves no winding.
const backAmps = 0.05

func backFeed() rule.Rule {
	return rule.Rule{
		Name:     "back-feed",
		Severity: diag.Warning,
		Summary:  "a load that is fed backwards through a switch while its own feed is off, or a driver that carries current backwards",
		Why:      "something that is switched off comes on with something else, and a rail that seems dead is live",
		Doc:      pages.Of("back-feed"),
		Source:   "the H pattern of sneak circuit analysis: MIL-STD-785B task 205",
		Needs:    rule.States,
		Run:      findBackFeeds,
	}
}

func findBackFeeds(p *rule.Pass) {
	v := look(p)
	v.bound()
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

// betweenFeeds reports whether metal that may conduct at some time joins both ends of an
// element to a plus, or both to a minus, other than over the element. Only then can it
// carry current both ways.
func (v *view) betweenFeeds(but model.ElementID) bool {
	s := &starvation{view: v}
	s.reachWithout(but)
	e := &v.d.Elements[but]
	return s.feed[e.A] && s.feed[e.B] || s.earth[e.A] && s.earth[e.B]
}

// cut is the circuit with one element taken out: what is live and earthed without it.
// Only metal is asked about, so that answers stay small however many loads there are.
type cut struct {
	*view
	c  *circuit.Circuit
	id model.ElementID
}

func (v *view) without(id model.ElementID) *cut {
	c, err := circuit.New(v.d, circuit.Overlay{v.broken(id)})
	v.p.StopOn(err)
	return &cut{v, c, id}
}

func (k *cut) ask(a model.Atom) system.Condition {
	q, ok := k.c.Register(a)
	if !ok {
		return system.On(model.Unknown)
	}
	d, err := k.c.Decide(k.p.Ctx, q, circuit.Nominal)
	k.p.StopOn(err)
	return system.On(k.c.Cond(d, func(l *circuit.Leaf) bool { return l.Answer == circuit.Yes }))
}

func (k *cut) live(n model.NodeID) system.Condition {
	return k.ask(model.Atom{Kind: model.AtomLive, Index: int(n)})
}

func (k *cut) returns(n model.NodeID) system.Condition {
	var any []system.Condition
	if k.d.Ground != model.None {
		any = append(any, k.ask(model.Atom{Kind: model.AtomGrounded, Index: int(n)}))
	}
	for _, s := range k.isolated {
		if minus := k.d.Supplies[s].Minus; minus == n {
			any = append(any, system.On(model.True))
		} else {
			any = append(any, k.ask(model.Atom{Kind: model.AtomJoined, Index: int(n), Other: int(minus)}))
		}
	}
	return ask.AnyOf(any)
}

func (k *cut) direct(c *consumer) system.Condition {
	return system.Any(
		system.All(k.live(c.a), k.returns(c.b)),
		system.All(k.live(c.b), k.returns(c.a)))
}

// flows is where the element closes and passes feed, or earth, that only one of its ends
// has without it, and nothing is shorted: a current then runs from A to B, or back, as far
// as there is a consumer on the other side.
func (k *cut) flows(reverse bool) system.Condition {
	e := &k.d.Elements[k.id]
	from, to := e.A, e.B
	if reverse {
		from, to = to, from
	}
	return system.All(k.closed(k.id), k.sound(from, to), system.Any(
		system.All(k.live(from), system.Not(k.live(to))),
		system.All(k.returns(to), system.Not(k.returns(from)))))
}

// bridge looks at a switch between two rails.
func (v *view) bridge(id model.ElementID, told map[model.ElementID]bool) {
	e := &v.d.Elements[id]
	k := v.without(id)
	for _, reverse := range [...]bool{false, true} {
		if _, ok := v.can(&e.Info, k.flows(reverse)); ok != ask.Yes {
			return // it carries one way only: that is a feed like any other
		}
	}
	var ways [2]direction
	for i, reverse := range [...]bool{false, true} {
		ways[i] = k.direction(reverse, told)
		if !ways[i].depend {
			return // nothing needs it this way
		}
	}
	// Which of the two ways is meant no circuit can tell; wires are written from the feed
	// to the load.
	worst := ways[1]
	if ways[1].st == nil || ways[0].st != nil && ways[0].against > ways[1].against {
		worst = ways[0]
	}
	if worst.st == nil {
		return
	}
	c := worst.victims[0]
	for _, o := range worst.victims {
		told[o.element] = true
	}
	gets, takes := worst.st.across(c), worst.st.Through(c.element)
	v.p.Report(diag.Finding{
		Message: fmt.Sprintf("%s is fed backwards through %s: %s, %s", c.Path, v.thing(e), gets, takes), Numbers: evidence.Numbers(gets, takes),
		Place:   evidence.Site(v.d, c.Info),
		Subject: c.Path,
		Help:    fmt.Sprintf("put a diode in series with %s, or give what is behind it a feed of its own", v.thing(e)),
		Related: append([]diag.Related{{Place: e.Place, Note: "carries current both ways"}}, related(worst.victims[1:], "comes on with it")...),
		Evidence: append([]diag.Evidence{
			worst.st.Path("current path", worst.st.way(c.element)),
			worst.st.voltsOf(worst.victims[:1]),
		}, evidence.Moves("how it comes about", worst.st.trace)...),
	})
}

// direction is what a switch does with the current one way.
type direction struct {
	depend  bool        // a consumer works only by it
	victims []*consumer // of those, the ones that at other times work with the switch open
	st      *state      // in which the first of them works so
	against int         // elements on its way that are run against how they are written
}

func (k *cut) direction(reverse bool, told map[model.ElementID]bool) direction {
	var out direction
	flows := k.flows(reverse)
	for i := range k.consumers {
		c := &k.consumers[i]
		if c.element == model.None || c.runs <= 0 || told[c.element] {
			continue
		}
		needs := system.All(k.view.direct(c), system.Not(k.direct(c)), flows)
		if _, ok := k.can(c.Info, needs); ok != ask.Yes {
			continue
		}
		out.depend = true
		if _, ok := k.can(c.Info, system.All(k.view.direct(c), system.Not(k.closed(k.id)))); ok != ask.Yes {
			continue
		}
		if out.st != nil {
			out.victims = append(out.victims, c)
			continue
		}
		st, ok := k.find(c.Info, needs)
		if ok != ask.Yes || math.Abs(volts(st.Solution, c)) < c.runs {
			continue
		}
		out.st = st
		out.victims = append(out.victims, c)
		for _, w := range st.way(c.element) {
			if x := &k.d.Elements[w.Element]; w.Reverse && (x.Type == model.ElemWire || w.Element == k.id) {
				out.against++
			}
		}
	}
	return out
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
	// Some consumer has to live by it: what a driver takes off another feed on the same
	// wire is nothing.
	c := v.without(id)
	flows := c.flows(from == e.A)
	if _, ok := v.can(&k.Info, flows); ok != ask.Yes {
		return
	}
	var st *state
	for i := range v.consumers {
		x := &v.consumers[i]
		if x.element == model.None {
			continue
		}
		s, ok := v.find(x.Info, system.All(v.direct(x), system.Not(c.direct(x)), flows))
		if ok == ask.Yes && math.Abs(s.Amps(id)) >= backAmps {
			st = s
			break
		}
	}
	if st == nil {
		return
	}
	carries := st.Through(id)
	v.p.Report(diag.Finding{
		Message: fmt.Sprintf("%s carries %s backwards, from %s to %s", k.Path, carries, v.d.Nodes[to].Path, v.d.Nodes[from].Path),
		Numbers: evidence.Numbers(carries),
		Place:   evidence.Site(v.d, &k.Info),
		Subject: k.Path,
		Help:    "put a diode between the driver and what else is joined to its wire",
		Evidence: append([]diag.Evidence{st.Path("current path", st.way(id))},
			evidence.Moves("how it comes about", st.trace)...),
	})
}

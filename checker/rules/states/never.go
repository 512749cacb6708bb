package states

import (
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/system"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Bounds on what is told of a condition that never comes true.
const (
	neverDepth = 7
	neverWide  = 2
	mostApart  = 4
)

// whyNever tells of a condition that never comes true what it waits for: the first thing
// on its way that never comes either, and what that waits for in turn.
func whyNever(p *rule.Pass, c *model.Cond) []diag.Evidence {
	n := &nevers{p: p, d: p.Design, seen: map[string]bool{}}
	n.cond(c, 0)
	n.assumed(c)
	if len(n.lines) == 0 {
		return nil
	}
	return []diag.Evidence{{Kind: diag.Chain, Title: "because", Lines: n.lines}}
}

type nevers struct {
	p     *rule.Pass
	d     *model.Design
	lines []diag.Line
	seen  map[string]bool
}

// say adds a line, once; it reports whether to go on with its causes.
func (n *nevers) say(depth int, at diag.Place, format string, args ...any) bool {
	text := fmt.Sprintf(format, args...)
	if n.seen[text] {
		return false
	}
	n.seen[text] = true
	n.lines = append(n.lines, diag.Line{Text: strings.Repeat("  ", depth) + text, Place: at})
	return depth+1 < neverDepth
}

func (n *nevers) impossible(c system.Condition) bool { return impossible(n.p, c) }

// assumed names the assumptions without which a condition would come true.
func (n *nevers) assumed(c *model.Cond) {
	got, err := n.p.System().PossibleHere(n.p.Ctx, system.On(c))
	n.p.StopOn(err)
	for _, path := range got.Assumptions {
		i := slices.IndexFunc(n.d.Assumptions, func(a model.Assumption) bool { return a.Path == path })
		if i >= 0 {
			n.say(0, n.d.Assumptions[i].NamePlace, "the assumption %s forbids what leads there", path)
		}
	}
}

// cond tells why a condition that never holds does not.
func (n *nevers) cond(c *model.Cond, depth int) {
	if c == nil || depth >= neverDepth {
		return
	}
	switch c.Op {
	case model.CondAnd, model.CondOr:
		told := 0
		for _, k := range c.Kids {
			if told < neverWide && n.impossible(system.On(k)) {
				n.cond(k, depth)
				told++
			}
		}
		if told == 0 {
			n.apart(c, depth)
		}
	case model.CondNot:
		n.say(depth, c.Place, "always: %s", n.d.Words(c.Kids[0]))
	case model.CondAtom:
		n.atom(c, depth)
	}
}

// apart tells of things that each come at times, and never at once, when each of them comes.
func (n *nevers) apart(c *model.Cond, depth int) {
	if !n.say(depth, c.Place, "never at once: %s", n.d.Words(c)) {
		return
	}
	for i, k := range c.Kids {
		if i == mostApart {
			return
		}
		words := n.d.Words(k)
		when, err := n.p.System().When(n.p.Ctx, system.On(k))
		n.p.StopOn(err)
		switch when {
		case "", words: // it says when it is by itself
		case "always":
			n.say(depth+1, k.Place, "%s: always", words)
		default:
			n.say(depth+1, k.Place, "%s: only while %s", words, when)
		}
	}
}

func (n *nevers) atom(c *model.Cond, depth int) {
	d, a := n.d, &c.Atom
	switch a.Kind {
	case model.AtomCondition:
		k := &d.Conditions[a.Index]
		if n.say(depth, k.NamePlace, "%s is never true", k.Path) {
			n.cond(k.Cond, depth+1)
		}
	case model.AtomResult:
		if n.say(depth, d.Results[a.Index].NamePlace, "never: %s", d.Words(c)) {
			for i, row := range a.In {
				if i < neverWide {
					n.cond(d.Results[a.Index].Rows[row].When, depth+1)
				}
			}
		}
	case model.AtomMemory:
		n.memory(c, depth)
	case model.AtomMachine:
		n.machine(c, depth)
	case model.AtomTimer:
		t := &d.Timers[a.Index]
		switch {
		case !n.say(depth, t.NamePlace, "never: %s", d.Words(c)):
		case n.impossible(system.On(t.Run)):
			n.cond(t.Run, depth+1)
		case slices.Contains(a.In, model.TimerDone):
			n.say(depth+1, t.NamePlace, "it runs at times, and never to its end")
		}
	case model.AtomMeasure:
		n.measure(c, depth)
	case model.AtomFed:
		n.fed(c, depth)
	default:
		n.say(depth, c.Place, "never: %s", d.Words(c))
	}
}

func (n *nevers) memory(c *model.Cond, depth int) {
	m := &n.d.Memories[c.Atom.Index]
	at := m.NamePlace
	if at.IsZero() {
		at = c.Place
	}
	if !n.say(depth, at, "never: %s", n.d.Words(c)) {
		return
	}
	for _, r := range m.Rules {
		if slices.Contains(c.Atom.In, r.To) && !slices.Contains(r.From, r.To) && n.impossible(system.On(r.When)) {
			n.cond(r.When, depth+1)
			return
		}
	}
}

// machine tells of a mode that is never entered what the transitions into it wait for.
func (n *nevers) machine(c *model.Cond, depth int) {
	m := &n.d.Machines[c.Atom.Index]
	if !n.say(depth, m.NamePlace, "never: %s", n.d.Words(c)) {
		return
	}
	id := model.MachineID(c.Atom.Index)
	told := 0
	for k := range m.Transitions {
		t := &m.Transitions[k]
		if told == neverWide || !slices.Contains(c.Atom.In, t.To) || slices.Contains(t.From, t.To) {
			continue
		}
		told++
		froms := make([]system.Condition, len(t.From))
		for i, from := range t.From {
			froms[i] = system.InMode(id, from)
		}
		if len(froms) > 0 && n.impossible(system.Any(froms...)) {
			n.atom(&model.Cond{Op: model.CondAtom, Place: t.Place, Atom: model.Atom{Kind: model.AtomMachine, Index: c.Atom.Index, In: t.From}}, depth+1)
			continue
		}
		if n.say(depth+1, t.Place, "the transition to %s waits for %s", m.Modes[t.To].Name, n.d.Words(t.When)) && n.impossible(system.On(t.When)) {
			n.cond(t.When, depth+2)
		}
	}
}

// measure tells of a load or winding that never gets its volts what is open on its way
// for good.
func (n *nevers) measure(c *model.Cond, depth int) {
	if !n.say(depth, c.Place, "never: %s", n.d.Words(c)) {
		return
	}
	e := c.Atom.Measure.Element
	if e == model.None {
		return
	}
	at, k := &n.d.Elements[e], n.p.Circuit()
	type side func(model.NodeID, ...model.ElementID) ([]model.ElementID, bool)
	sides := []struct {
		way  side
		what string
	}{{k.FeedWay, "feed"}, {k.GroundWay, "earth"}}
	if n.d.Ground == model.None {
		sides = sides[:1]
	}
	// As it is written, or the other way round.
	for _, ends := range [...][2]model.NodeID{{at.A, at.B}, {at.B, at.A}} {
		var blocked []model.ElementID // on the side of the feed, and on that of the earth
		ok := true
		for i, s := range sides {
			way, found := s.way(ends[i], e)
			ok = ok && found
			if k := slices.IndexFunc(way, n.stays); k >= 0 {
				blocked = append(blocked, way[k])
			}
		}
		if !ok {
			continue
		}
		for _, id := range blocked {
			x := &n.d.Elements[id]
			word := "made"
			if x.Type == model.ElemDriver {
				word = "on"
			}
			if n.say(depth+1, x.NamePlace, "%s is never %s", evidence.Way(n.d, id), word) {
				n.cond(x.Closed, depth+2)
			}
		}
		return
	}
	if against := k.Blocking(e, consequence.NeverPresent(n.p)...); len(against) > 0 {
		x := &n.d.Elements[against[0]]
		n.say(depth+1, x.NamePlace, "%s lets no current through to %s: it conducts from %s to %s only",
			evidence.Thing(n.d, x), evidence.Thing(n.d, at), n.d.Nodes[x.A].Path, n.d.Nodes[x.B].Path)
		return
	}
	for i, s := range sides {
		if _, found := s.way([...]model.NodeID{at.A, at.B}[i], e); !found {
			n.say(depth+1, at.Place, "%s has no way to its %s", evidence.Thing(n.d, at), s.what)
		}
	}
}

// stays reports whether an element conducts in no reachable state.
func (n *nevers) stays(id model.ElementID) bool {
	w, switched, conducts := n.p.Circuit().SwitchOf(id)
	if !switched {
		return !conducts
	}
	return n.d.Elements[id].Type != model.ElemSupply && n.impossible(system.On(n.p.Circuit().Switches()[w].Cond))
}

// fed tells of a port that is never fed what stands in the way: a passage that passes the
// other way only, one that never opens, an origin that is never present.
func (n *nevers) fed(c *model.Cond, depth int) {
	if !n.say(depth, c.Place, "never: %s", n.d.Words(c)) {
		return
	}
	port := model.PortID(c.Atom.Index)
	f := n.p.Fluid()
	way, found := f.Way(port, false, func(*model.Cond) bool { return true })
	if !found {
		if _, against := f.WayAgainst(port); len(against) > 0 {
			k := &n.d.Passages[against[0]]
			n.say(depth+1, k.NamePlace, "%s passes from %s to %s only", k.Path, n.d.Ports[k.A].Path, n.d.Ports[k.B].Path)
		} else {
			n.say(depth+1, n.d.Ports[port].NamePlace, "no way leads to %s", n.d.Ports[port].Path)
		}
		return
	}
	for _, id := range way {
		k := &n.d.Passages[id]
		if k.Open != nil && n.impossible(system.On(k.Open)) {
			if n.say(depth+1, k.NamePlace, "%s never opens", k.Path) {
				n.cond(k.Open, depth+2)
			}
			return
		}
	}
	for i := range n.d.Origins {
		if o := &n.d.Origins[i]; len(way) > 0 && o.Present != nil && n.impossible(system.On(o.Present)) &&
			(n.d.Passages[way[0]].A == o.Port || n.d.Passages[way[0]].B == o.Port) {
			if n.say(depth+1, o.NamePlace, "%s is never present", o.Path) {
				n.cond(o.Present, depth+2)
			}
			return
		}
	}
}

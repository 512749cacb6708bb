package compare

import (
	"slices"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
)

// movers finds what moves a variable.
type movers struct {
	elements map[logic.Var]*reach.Element
	machines map[logic.Var]*reach.ModeMachine
	clocks   map[logic.Var]*reach.Clock
	beats    map[logic.Var]*reach.Beat
	edges    map[logic.Var]*reach.EdgeMemory
}

func moversOf(s *reach.System) *movers {
	m := &movers{map[logic.Var]*reach.Element{}, map[logic.Var]*reach.ModeMachine{}, map[logic.Var]*reach.Clock{}, map[logic.Var]*reach.Beat{}, map[logic.Var]*reach.EdgeMemory{}}
	for i := range s.Elements {
		m.elements[s.Elements[i].Var] = &s.Elements[i]
	}
	for i := range s.Machines {
		m.machines[s.Machines[i].Var] = &s.Machines[i]
	}
	for i := range s.Clocks {
		m.clocks[s.Clocks[i].Var] = &s.Clocks[i]
	}
	for i := range s.Beats {
		m.beats[s.Beats[i].Var] = &s.Beats[i]
	}
	for i := range s.Edges {
		m.edges[s.Edges[i].Var] = &s.Edges[i]
	}
	return m
}

// share finds the most variables of the new system that may be one with their peers: supposing
// that all of them are, each is moved by the same rules as its peer, whatever the state. What is
// not is taken out, until nothing more has to be. By induction over the steps of a run, the two
// then always have the same value: whatever one may do next the other may, too, and where
// something is open, which of two relays is faster or when within its interval a timer is over, it is
// open to both in the same way.
func (p *product) share() {
	old, fresh := moversOf(p.a.reach()), moversOf(p.b.reach())
	was, is := p.a.reach(), p.b.reach()
	for again := true; again && p.ctx.Err() == nil; {
		again = false
		p.taken = nil
		for i, shared := range p.shared {
			v := logic.Var(i)
			if !shared || p.isInput(v) {
				continue
			}
			w := p.peer[i]
			if int(w) >= len(was.Vars) || i >= len(is.Vars) || was.Vars[w].Kind != is.Vars[v].Kind ||
				was.Vars[w].Initial != is.Vars[v].Initial || !p.movedAlike(old, fresh, w, v) {
				p.shared[i], again = false, true
				p.taken = nil
			}
		}
	}
	p.taken = nil
}

func (p *product) isInput(v logic.Var) bool {
	vars := p.b.reach().Vars
	return int(v) < len(vars) && vars[v].Kind == reach.Input
}

// movedAlike reports whether the same rules move two variables.
func (p *product) movedAlike(old, fresh *movers, w, v logic.Var) bool {
	switch {
	case old.elements[w] != nil && fresh.elements[v] != nil:
		return p.sameRules(old.elements[w], fresh.elements[v])
	case old.machines[w] != nil && fresh.machines[v] != nil:
		return p.sameTransitions(old.machines[w], fresh.machines[v])
	case old.clocks[w] != nil && fresh.clocks[v] != nil:
		x, y := old.clocks[w], fresh.clocks[v]
		return x.Kind == y.Kind && p.same(p.lift(x.Run), p.take(y.Run)) && slices.EqualFunc(x.Lasts, y.Lasts, func(s, t reach.Timed) bool {
			return s.Span == t.Span && p.same(p.lift(s.When), p.take(t.When))
		})
	case old.beats[w] != nil && fresh.beats[v] != nil:
		x, y := old.beats[w], fresh.beats[v]
		return x.Half == y.Half && p.same(p.lift(x.Enable), p.take(y.Enable))
	case old.edges[w] != nil && fresh.edges[v] != nil:
		return p.same(p.lift(old.edges[w].Of), p.take(fresh.edges[v].Of))
	}
	return p.a.reach().Vars[w].Kind == reach.Fixed
}

// sameRules reports whether two elements change in the same states to the same values.
func (p *product) sameRules(x, y *reach.Element) bool {
	n := p.space.Size(x.Var)
	for from := range n {
		for to := range n {
			for _, waits := range [...]bool{false, true} {
				if from != to && !p.same(p.changes(x.Rules, from, to, waits, p.lift), p.changes(y.Rules, from, to, waits, p.take)) {
					return false
				}
			}
		}
	}
	return true
}

// changes is where an element goes from one value to another, by rules that wait until all is at
// rest, or by others.
func (p *product) changes(rules []reach.Rule, from, to int, waits bool, bring func(*logic.Expr) *logic.Expr) *logic.Expr {
	var ways, before []*logic.Expr
	for _, r := range rules {
		if !r.From.Has(from) || r.To == from {
			continue
		}
		when := bring(r.When)
		if r.To == to && r.AtRest == waits {
			ways = append(ways, p.space.And(when, p.space.Not(p.space.Or(before...))))
		}
		before = append(before, when)
	}
	return p.space.Or(ways...)
}

// sameTransitions reports whether two machines step in the same states to the same modes.
func (p *product) sameTransitions(x, y *reach.ModeMachine) bool {
	steps := func(ts []reach.Transition, from, to int, bring func(*logic.Expr) *logic.Expr) *logic.Expr {
		var ways, before []*logic.Expr
		for _, t := range ts {
			if !t.From.Has(from) {
				continue
			}
			when := bring(t.When)
			if t.To == to {
				ways = append(ways, p.space.And(when, p.space.Not(p.space.Or(before...))))
			}
			before = append(before, when)
		}
		return p.space.Or(ways...)
	}
	n := p.space.Size(x.Var)
	for from := range n {
		for to := range n {
			if from != to && !p.same(steps(x.Transitions, from, to, p.lift), steps(y.Transitions, from, to, p.take)) {
				return false
			}
		}
	}
	return true
}

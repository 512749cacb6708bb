package compare

import (
	"slices"

	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
)

// merge makes the system of the product: what moves the old one, with what moves the variables
// that only the new one has. A common input moves where both let it.
func (p *product) merge() {
	old, fresh := p.a.reach(), p.b.reach()
	fixed := func(v logic.Var) reach.Var { return reach.Var{Kind: reach.Fixed, Initial: logic.Full(p.space.Size(v))} }
	out := &reach.System{Space: p.space}
	for v := range p.first {
		if v < len(old.Vars) {
			out.Vars = append(out.Vars, old.Vars[v])
		} else {
			out.Vars = append(out.Vars, fixed(logic.Var(v))) // nothing is known of it
		}
	}
	for v := range p.b.vars() {
		switch {
		case p.shared[v]: // stands in nothing
			out.Vars = append(out.Vars, reach.Var{Kind: reach.Fixed, Initial: logic.SetOf(0)})
		case v < len(fresh.Vars):
			out.Vars = append(out.Vars, fresh.Vars[v])
		default:
			out.Vars = append(out.Vars, fixed(logic.Var(p.first+v)))
		}
	}
	p.mergeInputs(out, old, fresh)
	p.mergeElements(out, old, fresh)
	p.mergeTimed(out, old, fresh)
	p.sys = out
}

func (p *product) mergeInputs(out, old, fresh *reach.System) {
	guards := func(gs []reach.Guard, bring func(*logic.Expr) *logic.Expr) []reach.Guard {
		var all []reach.Guard
		for _, g := range gs {
			all = append(all, reach.Guard{When: bring(g.When), Assumption: g.Assumption})
		}
		return all
	}
	type way struct {
		v        logic.Var
		from, to int
	}
	common := map[way]*reach.Move{}
	both := map[logic.Var]bool{}
	for _, in := range fresh.Inputs {
		v := p.at(in.Var)
		both[v] = p.shared[in.Var]
		one := reach.InputMoves{Var: v}
		for _, m := range in.Moves {
			from, to := p.value(in.Var, m.From), p.value(in.Var, m.To)
			if from < 0 || to < 0 {
				continue
			}
			moved := reach.Move{From: from, To: to, Least: m.Least, Guards: guards(m.Guards, p.take)}
			common[way{v, from, to}] = &moved
			one.Moves = append(one.Moves, moved)
		}
		if !p.shared[in.Var] {
			out.Inputs = append(out.Inputs, one)
		}
	}
	for _, in := range old.Inputs {
		one := reach.InputMoves{Var: in.Var}
		for _, m := range in.Moves {
			moved := reach.Move{From: m.From, To: m.To, Least: m.Least, Guards: guards(m.Guards, p.lift)}
			if both[in.Var] {
				other, can := common[way{in.Var, m.From, m.To}]
				if !can {
					continue
				}
				moved.Least = max(moved.Least, other.Least)
				moved.Guards = append(moved.Guards, other.Guards...)
			}
			one.Moves = append(one.Moves, moved)
		}
		out.Inputs = append(out.Inputs, one)
	}
	for _, inv := range old.Invariants {
		out.Invariants = append(out.Invariants, reach.Invariant{Assumption: inv.Assumption, Holds: p.lift(inv.Holds)})
	}
	for _, inv := range fresh.Invariants {
		holds := p.take(inv.Holds)
		if !slices.ContainsFunc(out.Invariants, func(i reach.Invariant) bool { return i.Holds == holds }) {
			out.Invariants = append(out.Invariants, reach.Invariant{Assumption: inv.Assumption, Holds: holds})
		}
	}
}

func (p *product) mergeElements(out, old, fresh *reach.System) {
	element := func(el *reach.Element, v logic.Var, bring func(*logic.Expr) *logic.Expr) {
		one := reach.Element{Var: v}
		for _, r := range el.Rules {
			one.Rules = append(one.Rules, reach.Rule{From: r.From, To: r.To, When: bring(r.When), AtRest: r.AtRest})
		}
		out.Elements = append(out.Elements, one)
	}
	machine := func(m *reach.ModeMachine, v logic.Var, bring func(*logic.Expr) *logic.Expr) {
		one := reach.ModeMachine{Var: v}
		for _, t := range m.Transitions {
			one.Transitions = append(one.Transitions, reach.Transition{From: t.From, To: t.To, When: bring(t.When)})
		}
		out.Machines = append(out.Machines, one)
	}
	for i := range old.Elements {
		element(&old.Elements[i], old.Elements[i].Var, p.lift)
	}
	for i := range old.Machines {
		machine(&old.Machines[i], old.Machines[i].Var, p.lift)
	}
	for i := range fresh.Elements {
		if el := &fresh.Elements[i]; !p.shared[el.Var] {
			element(el, p.at(el.Var), p.take)
		}
	}
	for i := range fresh.Machines {
		if m := &fresh.Machines[i]; !p.shared[m.Var] {
			machine(m, p.at(m.Var), p.take)
		}
	}
}

func (p *product) mergeTimed(out, old, fresh *reach.System) {
	clock := func(c *reach.Clock, v logic.Var, bring func(*logic.Expr) *logic.Expr) {
		one := reach.Clock{Var: v, Kind: c.Kind, Run: bring(c.Run)}
		for _, l := range c.Lasts {
			one.Lasts = append(one.Lasts, reach.Timed{When: bring(l.When), Span: l.Span})
		}
		out.Clocks = append(out.Clocks, one)
	}
	for i := range old.Clocks {
		clock(&old.Clocks[i], old.Clocks[i].Var, p.lift)
	}
	for i := range fresh.Clocks {
		if c := &fresh.Clocks[i]; !p.shared[c.Var] {
			clock(c, p.at(c.Var), p.take)
		}
	}
	for _, b := range old.Beats {
		out.Beats = append(out.Beats, reach.Beat{Var: b.Var, Enable: p.lift(b.Enable), Half: b.Half})
	}
	for _, b := range fresh.Beats {
		if !p.shared[b.Var] {
			out.Beats = append(out.Beats, reach.Beat{Var: p.at(b.Var), Enable: p.take(b.Enable), Half: b.Half})
		}
	}
	for _, e := range old.Edges {
		out.Edges = append(out.Edges, reach.EdgeMemory{Var: e.Var, Of: p.lift(e.Of)})
	}
	for _, e := range fresh.Edges {
		if !p.shared[e.Var] {
			out.Edges = append(out.Edges, reach.EdgeMemory{Var: p.at(e.Var), Of: p.take(e.Of)})
		}
	}
}

package reach

import (
	"slices"

	"pintle/checker/engine/logic"
)

// wait puts into the condition of each rule AtRest that nothing else would change which has
// to do with its element. A System in which that has been done stays as it is.
func wait(sys *System) {
	var deps [][]logic.Var
	for i := range sys.Elements {
		el := &sys.Elements[i]
		if !slices.ContainsFunc(el.Rules, func(r Rule) bool { return r.AtRest && r.own == nil }) {
			continue
		}
		if deps == nil { // as long as no rule waits for another
			deps = dependencies(sys)
		}
		rest := sys.Space.Not(stirs(sys, around(deps, el.Var)))
		el.Rules = slices.Clone(el.Rules)
		for k := range el.Rules {
			if r := &el.Rules[k]; r.AtRest {
				r.own, r.When = r.When, sys.Space.And(r.When, rest)
			}
		}
	}
}

// queue puts into the conditions of elements and clocks that what is to change first is not due.
func queue(sys *System) {
	s := sys.Space
	steady := func(after []logic.Var) *logic.Expr {
		var due []*logic.Expr
		for _, el := range sys.Elements {
			if slices.Contains(after, el.Var) {
				for _, r := range el.Rules {
					due = append(due, s.And(s.In(el.Var, r.From.Minus(logic.SetOf(r.To))), r.When))
				}
			}
		}
		return s.Not(s.Or(due...))
	}
	for i := range sys.Elements {
		el := &sys.Elements[i]
		if len(el.After) == 0 {
			continue
		}
		is := steady(el.After)
		for k := range el.Rules {
			el.Rules[k].When = s.And(el.Rules[k].When, is)
		}
		el.After = nil // so that a System in which that has been done stays as it is
	}
	for i := range sys.Clocks {
		if c := &sys.Clocks[i]; len(c.After) > 0 {
			c.steady, c.After = steady(c.After), nil
		}
	}
}

// around marks what a variable depends on, what depends on it, and what that depends on: a relay
// that would still pull in because another one is about to is not at rest.
func around(deps [][]logic.Var, v logic.Var) []bool {
	back := make([][]logic.Var, len(deps))
	for w, on := range deps {
		for _, u := range on {
			back[u] = append(back[u], logic.Var(w))
		}
	}
	in := make([]bool, len(deps))
	for _, u := range cone(deps, cone(back, []logic.Var{v})) {
		in[u] = true
	}
	return in
}

// stirs is where one of some variables would change with nothing moving and no time passing:
// by a rule that does not wait, or by a transition that reads no edge.
func stirs(sys *System, of []bool) *logic.Expr {
	s := sys.Space
	var any []*logic.Expr
	for _, el := range settlingRules(sys) {
		for _, r := range el.Rules {
			if of[el.Var] && !r.AtRest {
				any = append(any, s.And(s.In(el.Var, r.From.Minus(logic.SetOf(r.To))), r.When))
			}
		}
	}
	edge := func(v logic.Var) bool { return sys.Vars[v].Kind == Edge }
	for _, m := range sys.Machines {
		if !of[m.Var] {
			continue
		}
		var before []*logic.Expr
		for _, t := range m.Transitions {
			if slices.ContainsFunc(t.When.Vars(), edge) {
				continue
			}
			here := s.And(s.In(m.Var, t.From), t.When)
			any = append(any, s.And(here, s.Not(s.Is(m.Var, t.To)), s.Not(s.Or(before...))))
			before = append(before, here)
		}
	}
	return s.Or(any...)
}

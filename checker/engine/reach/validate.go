package reach

import (
	"errors"
	"fmt"
	"slices"

	"pintle/checker/engine/logic"
)

// ErrSystem is wrapped by every error about a System that New refuses.
var ErrSystem = errors.New("reach: not a sound system")

// checker collects what is wrong with a System.
type checker struct {
	sys   *System
	owned []int // how many movers each variable has
	errs  []error
}

func (c *checker) bad(format string, args ...any) {
	c.errs = append(c.errs, fmt.Errorf("%w: "+format, append([]any{ErrSystem}, args...)...))
}

func (c *checker) name(v logic.Var) string { return c.sys.Space.Name(v) }

// own notes that something moves v and that v is of the kind for it.
func (c *checker) own(v logic.Var, kind VarKind, size int) bool {
	if v < 0 || int(v) >= len(c.sys.Vars) {
		c.bad("no variable %d", v)
		return false
	}
	c.owned[v]++
	if got := c.sys.Vars[v].Kind; got != kind {
		c.bad("%s is %v, not %v", c.name(v), got, kind)
	}
	if size > 0 && c.sys.Space.Size(v) != size {
		c.bad("%s has %d values, not %d", c.name(v), c.sys.Space.Size(v), size)
	}
	return true
}

// value notes a value outside the domain of v.
func (c *checker) value(v logic.Var, x int) {
	if x < 0 || x >= c.sys.Space.Size(v) {
		c.bad("%s has no value %d", c.name(v), x)
	}
}

// reads notes variables of e that may not be read here.
func (c *checker) reads(where string, e *logic.Expr, allowed ...VarKind) {
	if e == nil {
		return
	}
	for _, v := range e.Vars() {
		switch {
		case int(v) >= len(c.sys.Vars):
			c.bad("%s reads variable %d, which does not exist", where, v)
		case len(allowed) == 0:
			if c.sys.Vars[v].Kind == Edge {
				c.bad("%s reads the edge %s, which lasts no longer than one step of the machines", where, c.name(v))
			}
		case !slices.Contains(allowed, c.sys.Vars[v].Kind):
			c.bad("%s reads %s, which is %v", where, c.name(v), c.sys.Vars[v].Kind)
		}
	}
}

func (c *checker) span(v logic.Var, s Span) {
	if s.Min < 0 || s.Max < s.Min {
		c.bad("%s lasts from %d to %d ns", c.name(v), s.Min, s.Max)
	}
}

// check returns everything that is wrong with sys.
func check(sys *System) error {
	if sys == nil || sys.Space == nil {
		return fmt.Errorf("%w: nothing there", ErrSystem)
	}
	c := &checker{sys: sys, owned: make([]int, len(sys.Vars))}
	if len(sys.Vars) != sys.Space.Len() {
		c.bad("%d variables described, %d in the space", len(sys.Vars), sys.Space.Len())
		return errors.Join(c.errs...)
	}
	for i, v := range sys.Vars {
		if !v.Initial.SubsetOf(logic.Full(sys.Space.Size(logic.Var(i)))) {
			c.bad("%s may start with a value that it does not have", c.name(logic.Var(i)))
		}
	}
	every := []VarKind{Fixed, Input, Hardware, Machine, Timing, Beating, Edge}
	for _, in := range sys.Inputs {
		if !c.own(in.Var, Input, 0) {
			continue
		}
		for _, m := range in.Moves {
			c.value(in.Var, m.From)
			c.value(in.Var, m.To)
			if m.Least < 0 {
				c.bad("crossing a region of %s takes %d ns", c.name(in.Var), m.Least)
			}
			for _, g := range m.Guards {
				c.reads("a guard of "+c.name(in.Var), g.When, every...)
			}
		}
	}
	for _, inv := range sys.Invariants {
		c.reads("assumption "+inv.Assumption, inv.Holds, Input, Fixed)
	}
	for _, el := range sys.Elements {
		if c.own(el.Var, Hardware, 0) {
			for _, r := range el.Rules {
				c.value(el.Var, r.To)
				c.reads("a rule of "+c.name(el.Var), r.When)
			}
		}
	}
	for _, m := range sys.Machines {
		if c.own(m.Var, Machine, 0) {
			for _, t := range m.Transitions {
				c.value(m.Var, t.To)
				c.reads("a transition of "+c.name(m.Var), t.When, every...)
			}
		}
	}
	c.timers()
	for _, e := range sys.Edges {
		if c.own(e.Var, Edge, 2) {
			c.reads("the edge "+c.name(e.Var), e.Of)
		}
	}
	for v, n := range c.owned {
		if want := sys.Vars[v].Kind != Fixed; (want && n != 1) || n > 1 {
			c.bad("%s is moved by %d things", c.name(logic.Var(v)), n)
		}
	}
	return errors.Join(c.errs...)
}

func (c *checker) timers() {
	for _, k := range c.sys.Clocks {
		if !c.own(k.Var, Timing, 3) {
			continue
		}
		c.reads("the clock "+c.name(k.Var), k.Run)
		for _, l := range k.Lasts {
			c.reads("a duration of "+c.name(k.Var), l.When)
			c.span(k.Var, l.Span)
		}
	}
	for _, b := range c.sys.Beats {
		if c.own(b.Var, Beating, 2) {
			c.reads("the beat "+c.name(b.Var), b.Enable)
			c.span(b.Var, b.Half)
		}
	}
}

// normal returns a copy of sys in which no expression is nil and no initial
// set is empty.
func normal(sys *System) *System {
	yes := sys.Space.True()
	or := func(e *logic.Expr) *logic.Expr {
		if e == nil {
			return yes
		}
		return e
	}
	out := *sys
	out.Vars = slices.Clone(sys.Vars)
	for i := range out.Vars {
		if out.Vars[i].Initial.IsEmpty() {
			out.Vars[i].Initial = logic.SetOf(0)
		}
	}
	out.Inputs = slices.Clone(sys.Inputs)
	for i := range out.Inputs {
		moves := slices.Clone(out.Inputs[i].Moves)
		for j := range moves {
			moves[j].Guards = slices.Clone(moves[j].Guards)
			for g := range moves[j].Guards {
				moves[j].Guards[g].When = or(moves[j].Guards[g].When)
			}
		}
		out.Inputs[i].Moves = moves
	}
	out.Invariants = slices.Clone(sys.Invariants)
	for i := range out.Invariants {
		out.Invariants[i].Holds = or(out.Invariants[i].Holds)
	}
	out.Elements = slices.Clone(sys.Elements)
	for i := range out.Elements {
		rules := slices.Clone(out.Elements[i].Rules)
		for j := range rules {
			rules[j].When = or(rules[j].When)
		}
		out.Elements[i].Rules = rules
	}
	out.Machines = slices.Clone(sys.Machines)
	for i := range out.Machines {
		ts := slices.Clone(out.Machines[i].Transitions)
		for j := range ts {
			ts[j].When = or(ts[j].When)
		}
		out.Machines[i].Transitions = ts
	}
	out.Clocks = slices.Clone(sys.Clocks)
	for i := range out.Clocks {
		out.Clocks[i].Run = or(out.Clocks[i].Run)
		lasts := slices.Clone(out.Clocks[i].Lasts)
		for j := range lasts {
			lasts[j].When = or(lasts[j].When)
		}
		out.Clocks[i].Lasts = lasts
	}
	out.Beats = slices.Clone(sys.Beats)
	for i := range out.Beats {
		out.Beats[i].Enable = or(out.Beats[i].Enable)
	}
	out.Edges = slices.Clone(sys.Edges)
	for i := range out.Edges {
		out.Edges[i].Of = or(out.Edges[i].Of)
	}
	return &out
}

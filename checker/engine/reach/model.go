package reach

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
)

// model is a System, or the slice of it that matters to a question, compiled
// to decision diagrams.
type model struct {
	sys      *System
	f        *logic.Manager
	vars     []logic.Var // rising
	in       []bool      // by variable
	events   []event
	elems    []element
	readers  [][]int // by variable: the elems that read it
	machines []machine
	edges    []edge
	moving   logic.Ref // some machine would change its mode
	shadows  logic.Ref // bits of all shadows
	raw      logic.Ref // where a run may start, before settling
	images   int

	reached *reached
	during  *during

	rings     bool // something in it may go on switching for ever
	patient   []patient
	unsettled *unsettled
}

// patient is a change that waits until all else that has to do with it is at rest: see
// Rule.AtRest. The condition is the one without that.
type patient struct {
	v    logic.Var
	to   int
	when *logic.Expr
}

// event is what a move does first: from pre, one variable takes a new value.
// For the idle event v is -1.
type event struct {
	Happening
	pre   logic.Ref
	after logic.Ref // invariants that must hold after it
}

// element is a settling variable: hardware, the phase of a clock, a beat.
type element struct {
	v       logic.Var
	fires   []fire // never two at once
	excited logic.Ref
}

type fire struct {
	to   int
	when *logic.Expr // includes that the element has another value now
	pre  logic.Ref
}

type machine struct {
	index    int // in System.Machines
	v        logic.Var
	takes    []*logic.Expr // when each transition is the one taken
	relation logic.Ref     // from the state before to the shadow of v
	spent    []logic.Var   // machine variables that no later relation reads
}

type edge struct {
	v    logic.Var
	expr *logic.Expr
	of   logic.Ref
}

// compile builds the model of sys restricted to vars, which must be closed
// under deps, the dependencies of sys.
func compile(ctx context.Context, sys *System, deps [][]logic.Var, vars []logic.Var, maxNodes int) (*model, error) {
	m := &model{sys: sys, vars: vars, in: make([]bool, len(sys.Vars)), readers: make([][]int, len(sys.Vars))}
	for _, v := range vars {
		m.in[v] = true
	}
	m.gather()
	var modes []logic.Var
	for _, k := range m.machines {
		modes = append(modes, k.v)
	}
	f, err := logic.NewManager(sys.Space, logic.ManagerOptions{
		Order: logic.Order(vars, m.groups(deps)), Shadowed: modes, MaxNodes: maxNodes,
	})
	if err != nil {
		return nil, err
	}
	f.Watch(ctx)
	m.f = f
	m.build()
	return m, f.Err()
}

// settlingRules lists what settles, in the order of the System, each with its
// rules: hardware as it is written, clocks and beats by what their phases
// follow.
func settlingRules(sys *System) []Element {
	s := sys.Space
	out := slices.Clone(sys.Elements)
	for _, c := range sys.Clocks {
		idle, running, done := logic.SetOf(ClockIdle), logic.SetOf(ClockRunning), logic.SetOf(ClockDone)
		rules := []Rule{
			{From: idle, To: ClockRunning, When: c.Run},
			{From: running.Union(done), To: ClockIdle, When: s.Not(c.Run)},
		}
		if c.Kind == OffDelay {
			rules = []Rule{
				{From: idle.Union(running), To: ClockDone, When: c.Run},
				{From: done, To: ClockRunning, When: s.Not(c.Run)},
			}
		}
		for k := range rules {
			if c.steady != nil {
				rules[k].When = s.And(rules[k].When, c.steady)
			}
		}
		out = append(out, Element{Var: c.Var, Rules: rules})
	}
	for _, b := range sys.Beats {
		out = append(out, Element{Var: b.Var, Rules: []Rule{{From: logic.SetOf(1), To: 0, When: s.Not(b.Enable)}}})
	}
	return out
}

// gather collects the settling elements and the machines of the slice, with
// the conditions under which each of their changes is the one that happens.
func (m *model) gather() {
	s := m.sys.Space
	add := func(v logic.Var, rules []Rule) {
		if !m.in[v] {
			return
		}
		el := element{v: v}
		var before []*logic.Expr
		for _, r := range rules {
			here := s.And(s.In(v, r.From.Minus(logic.SetOf(r.To))), r.When)
			when := s.And(here, s.Not(s.Or(before...)))
			before = append(before, here)
			if r.AtRest {
				m.patient = append(m.patient, patient{v, r.To, s.And(s.In(v, r.From.Minus(logic.SetOf(r.To))), r.own)})
			}
			if when != s.False() {
				el.fires = append(el.fires, fire{to: r.To, when: when})
			}
		}
		m.elems = append(m.elems, el)
	}
	for _, el := range settlingRules(m.sys) {
		add(el.Var, el.Rules)
	}
	m.rank()
	for i, el := range m.elems {
		seen := map[logic.Var]bool{}
		for _, fr := range el.fires {
			for _, v := range fr.when.Vars() {
				if !seen[v] {
					seen[v] = true
					m.readers[v] = append(m.readers[v], i)
				}
			}
		}
	}
	for i, k := range m.sys.Machines {
		if m.in[k.Var] {
			m.machines = append(m.machines, machine{index: i, v: k.Var, takes: takes(s, k)})
		}
	}
	for _, e := range m.sys.Edges {
		if m.in[e.Var] {
			m.edges = append(m.edges, edge{v: e.Var, expr: e.Of})
		}
	}
}

// takes gives for each transition of k when it is the one that is taken.
func takes(s *logic.Space, k ModeMachine) []*logic.Expr {
	out := make([]*logic.Expr, len(k.Transitions))
	var before []*logic.Expr
	for i, t := range k.Transitions {
		here := s.And(s.In(k.Var, t.From), t.When)
		out[i] = s.And(here, s.Not(s.Or(before...)))
		before = append(before, here)
	}
	return out
}

// rank sorts the elements so that, cycles aside, each comes after those that
// it reads: settling then mostly goes round once.
func (m *model) rank() {
	place := make(map[logic.Var]int, len(m.elems))
	for i, el := range m.elems {
		place[el.v] = i
	}
	deps := make([][]logic.Var, len(m.sys.Vars))
	for _, el := range m.elems {
		for _, fr := range el.fires {
			for _, v := range fr.when.Vars() {
				if _, settles := place[v]; settles && v != el.v && !slices.Contains(deps[el.v], v) {
					deps[el.v] = append(deps[el.v], v)
				}
			}
		}
	}
	var sorted []element
	for _, comp := range components(deps, func(v logic.Var) bool { _, ok := place[v]; return ok }) {
		for _, v := range comp {
			sorted = append(sorted, m.elems[place[v]])
		}
	}
	m.elems = sorted
}

// groups are the variables that stand together in a rule, for the order.
func (m *model) groups(deps [][]logic.Var) [][]logic.Var {
	var out [][]logic.Var
	for _, v := range m.vars {
		kind := m.sys.Vars[v].Kind
		if kind == Edge || kind == Beating {
			continue
		}
		group := []logic.Var{v}
		for _, w := range deps[v] {
			if m.in[w] {
				group = append(group, w)
			}
		}
		out = append(out, group)
	}
	return out
}

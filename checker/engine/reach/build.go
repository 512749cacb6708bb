package reach

import (
	"slices"

	"pintle/checker/engine/logic"
)

// build turns what gather found into decision diagrams.
func (m *model) build() {
	f, s := m.f, m.sys.Space
	for i := range m.elems {
		el := &m.elems[i]
		el.excited = logic.Never
		for j := range el.fires {
			el.fires[j].pre = f.Of(el.fires[j].when)
			el.excited = f.Or(el.excited, el.fires[j].pre)
		}
		f.Pin(el.excited)
	}
	m.buildMachines()
	for i := range m.edges {
		m.edges[i].of = f.Of(m.edges[i].expr)
	}
	m.raw = f.Valid()
	for i := len(f.Order()) - 1; i >= 0; i-- {
		v := f.Order()[i]
		if m.sys.Vars[v].Kind != Edge {
			m.raw = f.And(f.In(v, m.sys.Vars[v].Initial), m.raw)
		}
	}
	for _, inv := range m.sys.Invariants {
		if m.has(inv.Holds) {
			m.raw = f.And(m.raw, f.Of(inv.Holds))
		}
	}
	for _, e := range m.edges { // an edge can't be read before it has its value
		m.raw = f.Assign(m.raw, e.v, 0)
	}
	f.Pin(m.raw)
	m.buildEvents(s)
}

// has reports whether e speaks of the slice. The slice is closed, so an
// invariant is either wholly inside it or has nothing to do with it. One
// without variables belongs everywhere.
func (m *model) has(e *logic.Expr) bool {
	vars := e.Vars()
	return len(vars) == 0 || m.in[vars[0]]
}

func (m *model) buildMachines() {
	f := m.f
	m.moving = logic.Never
	var modes []logic.Var
	for i := range m.machines {
		k := &m.machines[i]
		ts := m.sys.Machines[k.index].Transitions
		stays := f.Same(k.v)
		relation, taken := logic.Never, logic.Never
		for j, e := range k.takes {
			take := f.Of(e)
			taken = f.Or(taken, take)
			relation = f.Or(relation, f.And(take, f.ShadowIs(k.v, ts[j].To)))
			m.moving = f.Or(m.moving, f.Diff(take, f.Is(k.v, ts[j].To)))
		}
		k.relation = f.Pin(f.Or(relation, f.Diff(stays, taken)))
		modes = append(modes, k.v)
	}
	f.Pin(m.moving)
	m.shadows = f.ShadowBits(modes...)
	for _, v := range modes {
		last := -1
		for i, k := range m.machines {
			if k.v == v || slices.ContainsFunc(k.takes, func(e *logic.Expr) bool { return slices.Contains(e.Vars(), v) }) {
				last = i
			}
		}
		m.machines[last].spent = append(m.machines[last].spent, v)
	}
}

func (m *model) buildEvents(s *logic.Space) {
	f := m.f
	add := func(h Happening, when *logic.Expr, after logic.Ref) {
		pre := f.Pin(f.And(f.Is(h.Var, h.From), f.Of(when)))
		if h.From != h.To && pre != logic.Never {
			m.events = append(m.events, event{Happening: h, pre: pre, after: after})
		}
	}
	for _, in := range m.sys.Inputs {
		if !m.in[in.Var] {
			continue
		}
		after := logic.Always
		for _, inv := range m.sys.Invariants {
			if slices.Contains(inv.Holds.Vars(), in.Var) {
				after = f.And(after, f.Of(inv.Holds))
			}
		}
		f.Pin(after)
		for _, mv := range in.Moves {
			var guards []*logic.Expr
			for _, g := range mv.Guards {
				guards = append(guards, g.When)
			}
			add(Happening{Kind: MoveInput, Var: in.Var, From: mv.From, To: mv.To}, s.And(guards...), after)
		}
	}
	for _, c := range m.sys.Clocks {
		if m.in[c.Var] {
			to := ClockDone
			if c.Kind == OffDelay {
				to = ClockIdle
			}
			add(Happening{Kind: MoveElapse, Var: c.Var, From: ClockRunning, To: to}, s.True(), logic.Always)
		}
	}
	for _, b := range m.sys.Beats {
		if m.in[b.Var] {
			add(Happening{Kind: MoveToggle, Var: b.Var, From: 0, To: 1}, b.Enable, logic.Always)
			add(Happening{Kind: MoveToggle, Var: b.Var, From: 1, To: 0}, b.Enable, logic.Always)
		}
	}
	if len(m.machines) > 0 {
		m.events = append(m.events, event{Happening: Happening{Kind: MoveIdle, Var: -1}, pre: m.moving})
	}
}

package wiring

import (
	"math"
	"slices"

	"pintle/checker/circuit"
	"pintle/checker/evidence"
	"pintle/checker/logic"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// peak is a reachable state in which a measure stands high, with its solution.
type peak struct {
	*evidence.Solved
	v     *view
	m     model.Measure
	only  []circuit.Switch
	value float64 // magnitude of the measure: V, A or At
	trace *system.Trace
	when  *logic.Expr // how the switches stand
}

// leadsTo says how the state of a peak is come to.
func (p *peak) leadsTo(t *system.Trace) {
	p.trace, p.Solved = t, evidence.At(p.v.d, t, p.Solution).Only(p.only)
}

// most is the measure of a peak.
func (p *peak) most() diag.Number { return p.Of(p.m, p.value) }

// worst looks over all reachable states of a system for one in which a measure exceeds a
// level and a condition holds. It first tries states in which much is switched on, since
// to find one is faster than to prove that there is none, and then asks; that nothing
// exceeds the level is always proved. The state that it gives is the highest that it
// came to. What can't be decided is said about subject.
func (v *view) worst(s *system.System, subject *model.Info, m model.Measure, level float64, also system.Condition) (*peak, answer) {
	if best := v.search(s, m, also).climb(nil); best != nil && best.value > level {
		if trace, ok := v.can(s, subject, system.All(system.Literal(best.when), also)); ok == yes {
			best.leadsTo(trace)
			return best, yes
		}
	}
	trace, ok := v.can(s, subject, system.All(above(m, level), also))
	if ok != yes {
		return nil, ok
	}
	x := v.search(s, m, also)
	if best := x.climb(trace); best != nil && best.value > level {
		if there, ok := v.can(s, subject, system.All(system.Literal(best.when), also)); ok == yes {
			best.leadsTo(there)
			return best, yes
		}
		x = v.search(s, m, also)
	}
	best := x.at(trace)
	if best == nil {
		return nil, unknown
	}
	best.leadsTo(trace)
	return best, yes
}

// searching looks for states of the switches of some islands. It counts until the next
// question to the system.
type searching struct {
	v     *view
	s     *system.System
	m     model.Measure
	order []circuit.Switch
	stand []*logic.Expr // by place in order: where that switch is closed
	f     *logic.Forest
	in    logic.Ref // the reachable states in which the condition holds
}

// search prepares to look for states of the islands that a measure reads. It is nil where
// something that they turn on could not be read.
func (v *view) search(s *system.System, m model.Measure, also system.Condition) *searching {
	x := &searching{v: v, s: s, m: m}
	want, err := also.Of(v.p.Ctx, s)
	v.p.StopOn(err)
	vars := slices.Clone(want.Vars())
	infos, islands := v.c.Switches(), v.c.Islands()
	for _, i := range v.islandsOf(m) {
		for _, w := range islands[i].Switches {
			if slices.Contains(x.order, w) {
				continue
			}
			e, err := s.Expr(v.p.Ctx, infos[w].Cond)
			v.p.StopOn(err)
			x.order, x.stand = append(x.order, w), append(x.stand, e)
			vars = append(vars, e.Vars()...)
		}
	}
	slices.Sort(vars)
	vars = slices.Compact(vars)
	engine := s.Engine()
	doubtful := func(x logic.Var) bool { return s.Role(x).Kind == system.RoleUnknown }
	if slices.ContainsFunc(vars, doubtful) || slices.ContainsFunc(engine.Slice(vars...), doubtful) {
		return nil
	}
	f, reachable, err := engine.Reachable(v.p.Ctx, vars...)
	v.p.StopOn(err)
	x.f, x.in = f, f.And(reachable, f.Of(want))
	return x
}

// islandsOf lists the islands that a measure reads.
func (v *view) islandsOf(m model.Measure) []circuit.IslandID {
	var nodes []model.NodeID
	switch m.Kind {
	case model.Volts, model.AbsVolts:
		nodes = []model.NodeID{m.A, m.B}
	case model.Amps:
		nodes = []model.NodeID{v.d.Elements[m.Element].A, v.d.Elements[m.Element].B}
	default:
		for _, w := range m.Windings {
			nodes = append(nodes, v.d.Elements[w.Element].A, v.d.Elements[w.Element].B)
		}
	}
	var out []circuit.IslandID
	for _, n := range nodes {
		if i, ok := v.c.IslandOf(n); ok && !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	return out
}

// within bounds the states to those that agree with where a trace ends.
func (x *searching) within(in logic.Ref, trace *system.Trace) logic.Ref {
	last := trace.Last()
	for _, at := range x.f.Order() {
		if slices.Contains(trace.Vars, at) {
			in = x.f.And(in, x.f.Is(at, int(last[at])))
		}
	}
	return in
}

// at solves the state where a trace ends. Of what the trace leaves open, switches are
// open where they can be.
func (x *searching) at(trace *system.Trace) *peak {
	if x == nil {
		return nil
	}
	return x.solve(x.pick(x.within(x.in, trace), make([]bool, len(x.order))))
}

// climb goes from the state where a trace ends, or from one in which as much is closed as
// can be, to better ones until none is better: one switch at a time is changed, and of the
// others as few as have to go with it.
func (x *searching) climb(trace *system.Trace) *peak {
	if x == nil {
		return nil
	}
	open := make([]bool, len(x.order))
	var closed []bool
	if trace != nil {
		closed = x.pick(x.within(x.in, trace), open)
	} else {
		all := slices.Repeat([]bool{true}, len(open))
		closed = x.pick(x.in, all)
	}
	best := x.solve(closed)
	for better := best != nil; better; {
		better = false
		for i, e := range x.stand {
			x.v.p.StopOn(x.v.p.Ctx.Err())
			in := x.f.And(x.in, x.f.Of(e))
			if closed[i] {
				in = x.f.Diff(x.in, x.f.Of(e))
			}
			other := x.pick(in, closed)
			if next := x.solve(other); next != nil && next.value > best.value*(1+hair) {
				best, closed, better = next, other, true
			}
		}
	}
	return best
}

// pick chooses how the switches stand in some state of a set: each as it is preferred, as
// far as those before it leave it the choice. It is nil for an empty set.
func (x *searching) pick(in logic.Ref, prefer []bool) []bool {
	if in == logic.Never {
		return nil
	}
	closed := slices.Clone(prefer)
	for i, e := range x.stand {
		is := x.f.Of(e)
		first, second := x.f.Diff(in, is), x.f.And(in, is)
		if prefer[i] {
			first, second = second, first
		}
		if in = first; first == logic.Never {
			in, closed[i] = second, !prefer[i]
		}
	}
	x.v.p.StopOn(x.f.Err())
	return closed
}

// solve solves the circuit as the switches stand. It gives nil for nil.
func (x *searching) solve(closed []bool) *peak {
	if closed == nil {
		return nil
	}
	v, space := x.v, x.f.Space()
	when := make([]*logic.Expr, len(closed))
	for i, e := range x.stand {
		if when[i] = e; !closed[i] {
			when[i] = space.Not(e)
		}
	}
	sol, err := v.c.Solve(v.p.Ctx, func(w circuit.Switch) bool {
		i := slices.Index(x.order, w)
		return i >= 0 && closed[i]
	}, x.s.Corner())
	v.p.StopOn(err)
	value, err := sol.Measure(v.p.Ctx, x.m)
	v.p.StopOn(err)
	return &peak{Solved: evidence.At(v.d, nil, sol).Only(x.order), only: x.order, v: v, m: x.m, value: math.Abs(value), when: space.And(when...)}
}

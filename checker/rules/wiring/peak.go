package wiring

import (
	"math"
	"slices"

	"pintle/checker/circuit"
	"pintle/checker/logic"
	"pintle/checker/system"
	"pintle/lang/model"
)

// peak is a reachable state in which a measure stands high, with its solution.
type peak struct {
	*circuit.Solution
	value float64 // magnitude of the measure: V, A or At
	trace *system.Trace
}

// climbs bounds how often worst looks for a state in which a measure stands higher
// still, and climb is the least by which it has to. That something exceeds a level is
// exact; the number shown is that of the last state found.
const (
	climbs = 8
	climb  = 1.001
)

// worst looks over all reachable states of a system for one in which a measure exceeds a
// level and a condition holds, and goes on from there to one in which it exceeds it the
// most. What can't be decided is said about subject.
func (v *view) worst(s *system.System, subject *model.Info, m model.Measure, level float64, also system.Condition) (*peak, answer) {
	trace, ok := v.can(s, subject, system.All(above(m, level), also))
	if ok != yes {
		return nil, ok
	}
	x := v.search(s, m, also)
	if x == nil {
		return nil, unknown
	}
	var best *peak
	var when *logic.Expr
	for range climbs {
		next, at := x.higher(level, nil)
		if next == nil || best != nil && next.value <= best.value {
			break
		}
		best, when = next, at
		level = best.value * climb
	}
	if best != nil {
		if there, ok := v.can(s, subject, system.Literal(when)); ok == yes {
			best.trace = there
			return best, yes
		}
	}
	// That state is none that can be reached in time. The one that was shown to be is.
	if x = v.search(s, m, also); x == nil {
		return nil, unknown
	}
	if best, _ = x.higher(math.Inf(-1), trace); best == nil {
		return nil, unknown
	}
	best.trace = trace
	return best, yes
}

// searching looks for states of the switches of some islands.
type searching struct {
	v     *view
	s     *system.System
	m     model.Measure
	also  system.Condition
	stand map[circuit.Switch]*logic.Expr
	order []circuit.Switch
	f     *logic.Forest
	set   logic.Ref
}

// search prepares to look for states of the islands that a measure reads. It is nil where
// one of their switches could not be read.
func (v *view) search(s *system.System, m model.Measure, also system.Condition) *searching {
	x := &searching{v: v, s: s, m: m, also: also, stand: map[circuit.Switch]*logic.Expr{}}
	want, err := also.Of(v.p.Ctx, s)
	v.p.StopOn(err)
	vars := slices.Clone(want.Vars())
	infos, islands := v.c.Switches(), v.c.Islands()
	for _, i := range v.islandsOf(m) {
		for _, w := range islands[i].Switches {
			if x.stand[w] != nil {
				continue
			}
			x.order = append(x.order, w)
			x.stand[w], err = s.Expr(v.p.Ctx, infos[w].Cond)
			v.p.StopOn(err)
			vars = append(vars, x.stand[w].Vars()...)
		}
	}
	if q, err := above(m, 0).Of(v.p.Ctx, s); err == nil {
		vars = append(vars, q.Vars()...)
	}
	slices.Sort(vars)
	vars = slices.Compact(vars)
	engine := s.Engine()
	doubtful := func(x logic.Var) bool { return s.Role(x).Kind == system.RoleUnknown }
	if slices.ContainsFunc(vars, doubtful) || slices.ContainsFunc(engine.Slice(vars...), doubtful) {
		return nil
	}
	x.f, x.set, err = engine.Reachable(v.p.Ctx, vars...)
	v.p.StopOn(err)
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

// higher solves a reachable state in which the measure is more than a level, and says
// which it is. With a trace it is one that agrees with where that ends.
func (x *searching) higher(level float64, as *system.Trace) (*peak, *logic.Expr) {
	v := x.v
	want := x.also
	if !math.IsInf(level, -1) {
		want = system.All(above(x.m, level), x.also)
	}
	e, err := want.Of(v.p.Ctx, x.s)
	v.p.StopOn(err)
	if !x.f.Knows(e) {
		return nil, nil
	}
	in := x.f.And(x.set, x.f.Of(e))
	if as != nil {
		last := as.Last()
		for _, at := range x.f.Order() {
			if slices.Contains(as.Vars, at) {
				in = x.f.And(in, x.f.Is(at, int(last[at])))
			}
		}
	}
	point, ok := x.f.Least(in)
	v.p.StopOn(x.f.Err())
	if !ok {
		return nil, nil
	}
	space := x.f.Space()
	when := []*logic.Expr{e}
	closed := map[circuit.Switch]bool{}
	for _, w := range x.order {
		if closed[w] = x.stand[w].Eval(point); closed[w] {
			when = append(when, x.stand[w])
		} else {
			when = append(when, space.Not(x.stand[w]))
		}
	}
	sol, err := v.c.Solve(v.p.Ctx, func(w circuit.Switch) bool { return closed[w] }, x.s.Corner())
	v.p.StopOn(err)
	value, err := sol.Measure(v.p.Ctx, x.m)
	v.p.StopOn(err)
	return &peak{Solution: sol, value: math.Abs(value)}, space.And(when...)
}

package system

import (
	"context"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// Peak is a reachable state in which a measure stands high, or low, with its solution.
type Peak struct {
	*circuit.Solution
	Value    float64          // of the measure: V, A or At; its magnitude unless Search.Signed asked for the sign
	Switches []circuit.Switch // of the islands that the measure reads; the others count as open
	When     *logic.Expr      // how they stand
	closed   []bool           // the same, by place in the order of the Search
}

// Search looks for states of the switches of the islands that a measure reads, among the
// reachable states in which a condition holds. It counts until the next question to the
// system. It is the one home of what is highest: the rules, claims that could not be proved,
// and what an editor shows ask it. Nil finds nothing.
type Search struct {
	s     *System
	m     model.Measure
	order []circuit.Switch
	stand []*logic.Expr // by place in order: where that switch is closed
	f     *logic.Manager
	in    logic.Ref                    // the reachable states in which the condition holds
	sense float64                      // 1: the highest is looked for, -1: the lowest
	such  func(*circuit.Solution) bool // what else must hold of a state; nil: nothing
	sign  bool                         // of volts one way round: they may be negative
}

// Search prepares to look for states. It is nil where something that they depend on could not
// be read.
func (s *System) Search(ctx context.Context, m model.Measure, also Condition) (*Search, error) {
	want, err := also.Of(ctx, s)
	if err != nil {
		return nil, err
	}
	return s.search(ctx, m, want)
}

func (s *System) search(ctx context.Context, m model.Measure, want *logic.Expr) (*Search, error) {
	x := &Search{s: s, m: m, sense: 1}
	vars := slices.Clone(want.Vars())
	infos, islands := s.circuit.Switches(), s.circuit.Islands()
	for _, i := range s.circuit.IslandsOf(m) {
		for _, w := range islands[i].Switches {
			e, err := s.Expr(ctx, infos[w].Cond)
			if err != nil {
				return nil, err
			}
			x.order, x.stand = append(x.order, w), append(x.stand, e)
			vars = append(vars, e.Vars()...)
		}
	}
	slices.Sort(vars)
	vars = slices.Compact(vars)
	if err := s.need(ctx, vars); err != nil {
		return nil, err
	}
	doubtful := func(v logic.Var) bool { return s.role(v).Kind == RoleUnknown }
	if slices.ContainsFunc(vars, doubtful) || slices.ContainsFunc(s.engine.Slice(vars...), doubtful) {
		return nil, nil
	}
	f, reachable, err := s.engine.Reachable(ctx, vars...)
	if err != nil {
		return nil, err
	}
	x.f, x.in = f, f.And(reachable, f.Of(want))
	return x, f.Err()
}

// Lowest turns the search round: what is called better is lower.
func (x *Search) Lowest() *Search {
	if x == nil {
		return nil
	}
	y := *x
	y.sense = -1
	return &y
}

// Signed looks at a measure with its sign: the lowest volts may be negative ones.
func (x *Search) Signed() *Search {
	if x == nil {
		return nil
	}
	y := *x
	y.sign = true
	return &y
}

// Such passes over states of which the solution does not hold what is asked of it. Nil passes
// over none.
func (x *Search) Such(holds func(*circuit.Solution) bool) *Search {
	if x == nil {
		return nil
	}
	y := *x
	y.such = holds
	return &y
}

// At solves the state where a trace ends. Of what the trace leaves open, switches are open
// where they can be.
func (x *Search) At(ctx context.Context, t *Trace) (*Peak, error) {
	if x == nil {
		return nil, nil
	}
	return x.solve(ctx, x.pick(x.within(t), make([]bool, len(x.order))))
}

// manySwitches is how many switches an island may have for each to be tried in a climb. In
// larger ones those that something else than themselves is known of by the start are left.
const manySwitches = 48

// Climb goes from the state where a trace ends, or from the best of those in which as much
// and as little is closed as can be, to better ones until none is better: one switch at a
// time is changed, and of the others as few as have to go with it.
func (x *Search) Ascend(ctx context.Context, t *Trace) (*Peak, error) {
	if x == nil {
		return nil, nil
	}
	var best *Peak
	var closed []bool
	start := func(in logic.Ref, all bool) error {
		first := x.pick(in, slices.Repeat([]bool{all}, len(x.order)))
		p, err := x.solve(ctx, first)
		if err == nil && p != nil && (best == nil || x.better(p, best)) {
			best, closed = p, first
		}
		return err
	}
	if t != nil {
		if err := start(x.within(t), false); err != nil {
			return nil, err
		}
	} else {
		if err := start(x.in, true); err != nil {
			return nil, err
		}
		infos := x.s.circuit.Switches()
		// With another supply gone, the one that is left may give the most.
		for i, w := range x.order {
			if !slices.ContainsFunc(infos[w].Elements, func(e model.ElementID) bool { return x.s.circuit.Element(e).Type == model.ElemSupply }) {
				continue
			}
			if err := start(x.f.Diff(x.in, x.f.Of(x.stand[i])), true); err != nil {
				return nil, err
			}
		}
		if x.sense < 0 || x.sign {
			if err := start(x.in, false); err != nil {
				return nil, err
			}
		}
	}
	change := x.changeable()
	for better := best != nil; better; {
		better = false
		for _, i := range change {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			in := x.f.And(x.in, x.f.Of(x.stand[i]))
			if closed[i] {
				in = x.f.Diff(x.in, x.f.Of(x.stand[i]))
			}
			other := x.pick(in, closed)
			next, err := x.solve(ctx, other)
			if err != nil {
				return nil, err
			}
			if next != nil && x.better(next, best) {
				best, closed, better = next, other, true
			}
		}
	}
	return x.best(ctx, best)
}

// manyStands is up to how many ways in which the switches can stand all are tried: a climb may
// end on a top that is not the highest.
const manyStands = 256

// best is the best of all states, where they are few, else what a climb came to.
func (x *Search) best(ctx context.Context, climbed *Peak) (*Peak, error) {
	if climbed == nil {
		return nil, nil
	}
	stands := x.stands()
	for _, closed := range stands {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		p, err := x.solve(ctx, closed)
		if err != nil {
			return nil, err
		}
		if p != nil && x.better(p, climbed) {
			climbed = p
		}
	}
	return climbed, nil
}

// stands lists how the switches can stand together; nil where there are more than manyStands
// ways.
func (x *Search) stands() [][]bool {
	type part struct {
		closed []bool
		in     logic.Ref
	}
	parts := []part{{nil, x.in}}
	for i := range x.order {
		var next []part
		at := x.f.Of(x.stand[i])
		for _, p := range parts {
			if open := x.f.Diff(p.in, at); open != logic.Never {
				next = append(next, part{append(slices.Clone(p.closed), false), open})
			}
			if shut := x.f.And(p.in, at); shut != logic.Never {
				next = append(next, part{append(slices.Clone(p.closed), true), shut})
			}
		}
		if parts = next; len(parts) > manyStands || x.f.Err() != nil {
			return nil
		}
	}
	out := make([][]bool, len(parts))
	for i, p := range parts {
		out[i] = p.closed
	}
	return out
}

// better is by more than the rounding of solutions.
func (x *Search) better(p, than *Peak) bool {
	const hair = 1e-9
	return x.sense*(p.Value-than.Value) > hair*math.Abs(than.Value)
}

// changeable are the switches that a climb tries, by place: all of a small island, of a
// large one those nearest to what is measured.
func (x *Search) changeable() []int {
	near := x.order
	if len(near) > manySwitches {
		near = x.s.circuit.Near(x.m)
	}
	var out []int
	for _, w := range near {
		if i := slices.Index(x.order, w); i >= 0 {
			out = append(out, i)
		}
	}
	return out
}

// within bounds the states to those that agree with where a trace ends.
func (x *Search) within(t *Trace) logic.Ref {
	in, last := x.in, t.Last()
	for _, at := range x.f.Order() {
		if slices.Contains(t.Vars, at) {
			in = x.f.And(in, x.f.Is(at, int(last[at])))
		}
	}
	return in
}

// pick chooses how the switches stand in some state of a set: each as it is preferred, as
// far as those before it leave it the choice. It is nil for an empty set.
func (x *Search) pick(in logic.Ref, prefer []bool) []bool {
	if in == logic.Never {
		return nil
	}
	closed := slices.Clone(prefer)
	for i, e := range x.stand {
		is := x.f.Of(e)
		with, without := x.f.And, x.f.Diff
		if !prefer[i] {
			with, without = without, with
		}
		next := with(in, is)
		if next == logic.Never {
			next, closed[i] = without(in, is), !prefer[i]
		}
		in = next
	}
	if x.f.Err() != nil {
		return nil
	}
	return closed
}

// solve solves the circuit as the switches stand. It gives nil for nil.
func (x *Search) solve(ctx context.Context, closed []bool) (*Peak, error) {
	if closed == nil {
		return nil, x.f.Err()
	}
	space := x.f.Space()
	when := make([]*logic.Expr, len(closed))
	stands := make([]bool, len(x.s.circuit.Switches()))
	for i, e := range x.stand {
		if when[i] = e; !closed[i] {
			when[i] = space.Not(e)
		}
		stands[x.order[i]] = closed[i]
	}
	sol, err := x.s.circuit.Solve(ctx, func(w circuit.Switch) bool { return stands[w] }, x.s.opts.Corner)
	if err != nil {
		return nil, err
	}
	if x.such != nil && !x.such(sol) {
		return nil, nil
	}
	value, err := sol.Measure(ctx, x.m)
	if err != nil {
		return nil, err
	}
	if !x.sign {
		value = math.Abs(value)
	}
	return &Peak{Solution: sol, Switches: x.order, Value: value, When: space.And(when...), closed: closed}, nil
}

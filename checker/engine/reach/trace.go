package reach

import (
	"context"
	"errors"

	"pintle/checker/engine/logic"
)

// manyOutcomes bounds how many outcomes of one settling are tried for a trace.
// The exact search in time (zones) follows all of them.
const manyOutcomes = 16

// points yields the points of g, least first, at most limit of them.
func (m *model) points(g logic.Ref, limit int, yield func(logic.Point) bool) {
	for range limit {
		p, ok := m.f.Least(g)
		if !ok || !yield(p) {
			return
		}
		g = m.f.Diff(g, m.f.Point(p))
	}
}

// path finds a shortest list of element changes from p into target, preferring
// at each turn the element that settles first. It fails if there is none.
func (m *model) path(p logic.Point, target logic.Ref) ([]Change, logic.Point, bool) {
	f := m.f
	here := f.Point(p)
	through, _ := m.settle(here, m.allElements())
	layers := []logic.Ref{f.And(through, target)}
	near := layers[0]
	for f.And(near, here) == logic.Never {
		next := logic.Never
		for i := range m.elems {
			next = f.Or(next, m.firing(i, layers[len(layers)-1]))
		}
		next = f.Diff(f.And(next, through), near)
		if next == logic.Never {
			return nil, nil, false
		}
		layers = append(layers, next)
		near = f.Or(near, next)
	}
	var changes []Change
	for k := len(layers) - 2; k >= 0; k-- {
		for i := range m.elems {
			c, ok := m.change(i, p)
			if !ok {
				continue
			}
			if q := p.With(c.Var, c.To); f.Has(layers[k], q) {
				changes, p = append(changes, c), q
				break
			}
		}
	}
	return changes, p, f.Err() == nil
}

// change reports how element i would change in p, if it is excited.
func (m *model) change(i int, p logic.Point) (Change, bool) {
	el := &m.elems[i]
	for _, fr := range el.fires {
		if fr.when.Eval(p) {
			return Change{Var: el.v, From: int(p[el.v]), To: fr.to}, true
		}
	}
	return Change{}, false
}

// begin applies the first part of a move to one state.
func (m *model) begin(e *event, p logic.Point) (logic.Point, bool) {
	if !m.f.Has(e.pre, p) {
		return nil, false
	}
	if e.Kind == MoveIdle {
		return p, true
	}
	q := p.With(e.Var, e.To)
	return q, m.f.Has(e.after, q)
}

// machinesStep applies the machines to one state.
func (m *model) machinesStep(p logic.Point) (logic.Point, []Fired) {
	q := p.Clone()
	var fired []Fired
	for _, k := range m.machines {
		for j, take := range k.takes {
			if take.Eval(p) {
				q[k.v] = uint8(m.sys.Machines[k.index].Transitions[j].To)
				fired = append(fired, Fired{Machine: k.index, Transition: j})
				break
			}
		}
	}
	return q, fired
}

// edgesStep gives the edges of one state their values.
func (m *model) edgesStep(p logic.Point) (logic.Point, []Change) {
	q := p.Clone()
	var changes []Change
	for _, e := range m.edges {
		to := 0
		if e.expr.Eval(p) {
			to = 1
		}
		if int(p[e.v]) != to {
			changes = append(changes, Change{Var: e.v, From: int(p[e.v]), To: to})
			q[e.v] = uint8(to)
		}
	}
	return q, changes
}

// complete yields the ways in which a move that began from p in e can end in
// want, one for each outcome, at most limit of each settling.
func (m *model) complete(d *during, e *event, p logic.Point, want logic.Ref, limit int, yield func(Step) bool) {
	f := m.f
	q, ok := m.begin(e, p)
	if !ok {
		return
	}
	onStep := m.toFinal(d, want)
	_, rest := m.settle(f.Point(q), m.allElements())
	races := m.several(rest)
	final := f.And(m.refreshing(want), d.final)
	m.points(f.And(rest, onStep), limit, func(atStep logic.Point) bool {
		settled, _, ok := m.path(q, f.Point(atStep))
		if !ok {
			return false
		}
		stepped, fired := m.machinesStep(atStep)
		_, rest := m.settle(f.Point(stepped), m.allElements())
		races := races || m.several(rest)
		more := true
		m.points(f.And(rest, final), limit, func(end logic.Point) bool {
			changed, _, ok := m.path(stepped, f.Point(end))
			if !ok {
				return false
			}
			after, edges := m.edgesStep(end)
			more = yield(Step{Move: e.Happening, Settled: settled, Fired: fired, Changed: changed, Edges: edges, Races: races, After: after})
			return more
		})
		return more
	})
}

// partial follows a move that began from p in e into the middle of the goal.
func (r *route) partial(e *event, p logic.Point) (Step, bool) {
	m, f := r.m, r.m.f
	q, ok := m.begin(e, p)
	if !ok {
		return Step{}, false
	}
	st := Step{Move: e.Happening, Partial: true}
	if e.Kind != MoveIdle && r.goal.first != logic.Never {
		if st.Settled, st.After, ok = m.path(q, r.goal.first); ok {
			return st, true
		}
	}
	if r.goal.second == logic.Never {
		return Step{}, false
	}
	var atStep logic.Point
	if st.Settled, atStep, ok = m.path(q, r.onStep); !ok {
		return Step{}, false
	}
	// The chosen state is one from which the goal can be met after the step.
	var stepped logic.Point
	stepped, st.Fired = m.machinesStep(atStep)
	st.Changed, st.After, ok = m.path(stepped, f.And(r.goal.second, r.d.second))
	return st, ok
}

// start shows how a run can come to rest in p, a state of initial.
func (m *model) start(d *during, p logic.Point) (*Trace, bool) {
	f := m.f
	end := p.Clone()
	for _, e := range m.edges {
		end[e.v] = 0
	}
	raw, ok := f.Least(f.And(m.raw, m.before(f.Point(end), d.start)))
	if !ok {
		return nil, false
	}
	settled, _, ok := m.path(raw, f.Point(end))
	_, rest := m.settle(f.Point(raw), m.allElements())
	return &Trace{Vars: m.vars, Start: raw, Settled: settled, Initial: p, Races: m.several(rest)}, ok
}

// several reports whether a set has more than one point.
func (m *model) several(g logic.Ref) bool {
	p, ok := m.f.Least(g)
	return ok && m.f.Diff(g, m.f.Point(p)) != logic.Never
}

// walk yields traces to the goal with exactly n steps, in the order of their
// moves, from the first states to start from. budget bounds the moves tried.
func (r *route) walk(n int, budget *int, yield func(*Trace) bool) {
	m, f := r.m, r.m.f
	r.aim(n)
	m.points(f.And(r.left[n], m.reached.initial), manyOutcomes, func(p logic.Point) bool {
		if n > 0 && f.Has(r.near, p) {
			return true
		}
		t, ok := m.start(r.d, p)
		if !ok {
			return f.Err() == nil
		}
		return r.follow(t, p, n, budget, yield)
	})
}

// follow continues t from p for n more steps; false stops the search.
func (r *route) follow(t *Trace, p logic.Point, n int, budget *int, yield func(*Trace) bool) bool {
	m, f := r.m, r.m.f
	if n == 0 {
		out := *t
		out.Steps = append([]Step(nil), t.Steps...)
		return yield(&out)
	}
	want := r.left[n-1]
	if n > 1 { // a goal met earlier belongs to a shorter trace
		want = f.Diff(want, r.near)
	}
	more := true
	try := func(st Step) bool {
		if *budget--; *budget < 0 {
			more = false
			return false
		}
		t.Steps = append(t.Steps, st)
		more = r.follow(t, st.After, n-1, budget, yield)
		t.Steps = t.Steps[:len(t.Steps)-1]
		return more
	}
	for i := range m.events {
		e := &m.events[i]
		if n == 1 && r.partly != logic.Never && f.Has(r.partly, p) {
			if st, ok := r.partial(e, p); ok && !try(st) {
				return false
			}
		}
		m.complete(r.d, e, p, want, manyOutcomes, try)
		if !more || f.Err() != nil {
			return false
		}
	}
	return true
}

// shortest is the first of the shortest traces to g, or a detour if that takes
// too much work; nil if there is none.
func (m *model) shortest(g goal) (*Trace, error) {
	if t, err := m.duringStart(g.start); t != nil || err != nil {
		return t, err
	}
	r, err := m.route(g)
	if err != nil {
		return nil, err
	}
	c := &candidates{ctx: context.Background(), r: r, timed: &timing{m: m}, most: 1}
	left := m.f.Quota(shortestWork)
	if err = c.shortest(); errors.Is(err, logic.ErrTooLong) {
		m.f.Recover()
		m.f.Quota(left)
		err = c.detour()
	}
	m.f.Quota(left)
	return c.found, err
}

// duringStart looks for b while the start settles.
func (m *model) duringStart(b logic.Ref) (*Trace, error) {
	if b == logic.Never {
		return nil, nil
	}
	d, err := m.pass()
	if err != nil {
		return nil, err
	}
	raw, ok := m.f.Least(m.f.And(m.raw, m.before(b, d.start)))
	if !ok {
		return nil, m.f.Err()
	}
	settled, at, ok := m.path(raw, b)
	if !ok {
		return nil, m.f.Err()
	}
	return &Trace{Vars: m.vars, Start: raw, Settled: settled, Initial: at, Partial: true}, nil
}

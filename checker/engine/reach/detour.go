package reach

import (
	"slices"

	"pintle/checker/engine/logic"
)

// detour finds some trace to the goal, not a shortest one, by going back
// through the stages in which the reachable set grew: a single state at a time,
// so that it costs little however large the set is. It is nil without a trace.
func (r *route) detour() (*Trace, error) {
	m, f := r.m, r.m.f
	stages := m.reached.stages
	at := slices.IndexFunc(stages, func(s stage) bool { return f.And(s.all, f.Or(r.near, r.partly)) != logic.Never })
	if at < 0 {
		return nil, f.Err()
	}
	p, ok := f.Least(f.And(stages[at].all, r.near))
	partial := !ok
	if partial {
		p, ok = f.Least(f.And(stages[at].all, r.partly))
	}
	way := []logic.Point{p} // from the goal back
	for ok && at > 0 {
		if f.Has(stages[at-1].all, p) {
			at--
			continue
		}
		var back []logic.Point
		if back, ok = r.back(p, stages[at-1].all, stages[at].events); ok {
			way, p = append(way, back...), back[len(back)-1]
		}
	}
	if !ok {
		return nil, f.Err()
	}
	slices.Reverse(way)
	t, ok := m.start(r.d, p)
	if !ok {
		return nil, f.Err()
	}
	t.Detour = true
	for i := range way[1:] {
		st, ok := r.between(way[i], way[i+1])
		if !ok {
			return nil, f.Err()
		}
		t.Steps = append(t.Steps, st)
	}
	if partial {
		for i := range m.events {
			if st, ok := r.partial(&m.events[i], way[len(way)-1]); ok {
				t.Steps = append(t.Steps, st)
				return t, f.Err()
			}
		}
		return nil, f.Err()
	}
	return t, f.Err()
}

// back goes from p, by moves of the given events against their direction, until
// a state of target, which comes last in the result.
func (r *route) back(p logic.Point, target logic.Ref, events []int) ([]logic.Point, bool) {
	m, f := r.m, r.m.f
	layers := []logic.Ref{f.Point(p)}
	seen := layers[0]
	for f.And(seen, target) == logic.Never {
		next := f.Diff(m.precedingBy(r.d, layers[len(layers)-1], events), seen)
		if next == logic.Never { // an idle move lies between
			next = f.Diff(m.preceding(r.d, layers[len(layers)-1]), seen)
		}
		if next == logic.Never || f.Err() != nil {
			return nil, false
		}
		layers, seen = append(layers, next), f.Or(seen, next)
	}
	k := len(layers) - 1
	q, ok := f.Least(f.And(layers[k], target))
	out := []logic.Point{q}
	for k--; ok && k > 0; k-- {
		if q, ok = f.Least(f.And(m.onward(f.Point(q)), layers[k])); ok {
			out = append(out, q)
		}
	}
	slices.Reverse(out)
	return out, ok
}

// between shows a move from p that ends in q.
func (r *route) between(p, q logic.Point) (st Step, ok bool) {
	want := r.m.f.Point(q)
	for i := range r.m.events {
		r.m.complete(r.d, &r.m.events[i], p, want, 1, func(s Step) bool {
			st, ok = s, true
			return false
		})
		if ok {
			break
		}
	}
	return st, ok
}

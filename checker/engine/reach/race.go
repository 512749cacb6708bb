package reach

import (
	"context"
	"slices"

	"pintle/checker/engine/logic"
)

// Races finds settling whose outcome depends on the order of changes.
//
// Where any two excited elements can change in either order with the same
// result (the diamond), all orders end alike: so by Newman's lemma, and in the
// strong, one-step form used here even where hardware might hunt. Only pairs
// that read one another, and only states met in settling, are looked at. If a
// diamond is missing somewhere, the question is decided exactly: an element v
// downstream has a race if some state can settle both with v = c and with
// v = c'. The pair to blame is one whose two orders lead to surely different
// values. One Race is given for each pair; none is ever a mere possibility.
// An error may be Undecidable.
func (e *Engine) Races(ctx context.Context) ([]Race, error) {
	open, err := e.openPairs(ctx)
	if err != nil || len(open) == 0 {
		return nil, err
	}
	var out []Race
	blamed := map[[2]logic.Var]bool{}
	for _, v := range e.downstream(open) {
		found, err := e.racesOf(ctx, v, blamed)
		if err != nil {
			return nil, err
		}
		out = append(out, found...)
	}
	return out, nil
}

// openPairs lists the pairs of elements for which the diamond is missing in
// some state that is met.
func (e *Engine) openPairs(ctx context.Context) ([][2]logic.Var, error) {
	var out [][2]logic.Var
	for _, p := range e.readingPairs() {
		m, err := e.model(ctx, p[0], p[1])
		if err != nil {
			return nil, err
		}
		d, err := m.pass()
		if err != nil {
			return nil, err
		}
		a := slices.IndexFunc(m.elems, func(el element) bool { return el.v == p[0] })
		b := slices.IndexFunc(m.elems, func(el element) bool { return el.v == p[1] })
		missing := m.missing(d.any, a, b)
		if err := m.f.Err(); err != nil {
			return nil, err
		}
		if missing != logic.Never {
			out = append(out, p)
		}
	}
	return out, nil
}

// readingPairs lists the pairs of settling elements of which one reads the
// other.
func (e *Engine) readingPairs() [][2]logic.Var {
	var out [][2]logic.Var
	for v, deps := range e.deps {
		if !e.settling(logic.Var(v)) {
			continue
		}
		for _, w := range deps {
			p := [2]logic.Var{min(logic.Var(v), w), max(logic.Var(v), w)}
			if e.settling(w) && !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	return out
}

func (e *Engine) settling(v logic.Var) bool {
	k := e.sys.Vars[v].Kind
	return k == Hardware || k == Timing || k == Beating
}

// missing is the part of u in which elements a and b are both excited, and the
// change of one takes the other's away or turns it elsewhere.
func (m *model) missing(u logic.Ref, a, b int) logic.Ref {
	f, r := m.f, logic.Never
	for _, fa := range m.elems[a].fires {
		for _, fb := range m.elems[b].fires {
			both := f.And(u, f.And(fa.pre, fb.pre))
			if both == logic.Never {
				continue
			}
			kept := f.And(f.Fix(fa.pre, m.elems[b].v, fb.to), f.Fix(fb.pre, m.elems[a].v, fa.to))
			r = f.Or(r, f.Diff(both, kept))
		}
	}
	return r
}

// downstream lists the settling elements that something of pairs affects
// through settling elements, themselves included, in rising order.
func (e *Engine) downstream(pairs [][2]logic.Var) []logic.Var {
	in := make([]bool, len(e.sys.Vars))
	for _, p := range pairs {
		in[p[0]], in[p[1]] = true, true
	}
	for changed := true; changed; {
		changed = false
		for v, deps := range e.deps {
			if !in[v] && e.settling(logic.Var(v)) && slices.ContainsFunc(deps, func(w logic.Var) bool { return in[w] }) {
				in[v], changed = true, true
			}
		}
	}
	var out []logic.Var
	for v, is := range in {
		if is {
			out = append(out, logic.Var(v))
		}
	}
	return out
}

// racesOf finds the pairs that decide between two values of v.
func (e *Engine) racesOf(ctx context.Context, v logic.Var, blamed map[[2]logic.Var]bool) ([]Race, error) {
	m, err := e.model(ctx, v)
	if err != nil {
		return nil, err
	}
	d, err := m.pass()
	if err != nil {
		return nil, err
	}
	f := m.f
	rest := m.resting(d.any)
	ends := make([]logic.Ref, m.sys.Space.Size(v)) // can settle with v = x
	once, twice := logic.Never, logic.Never
	for x := range ends {
		ends[x] = m.before(f.And(rest, f.Is(v, x)), d.any)
		twice = f.Or(twice, f.And(once, ends[x]))
		once = f.Or(once, ends[x])
	}
	if err := f.Err(); err != nil || twice == logic.Never {
		return nil, err
	}
	var out []Race
	for a := range m.elems {
		for b := a + 1; b < len(m.elems); b++ {
			pair := [2]logic.Var{m.elems[a].v, m.elems[b].v}
			if blamed[pair] {
				continue
			}
			// From here each of the two leads to one value only, and to another.
			decide := logic.Never
			for x := range ends {
				here := m.firing(a, f.Diff(ends[x], twice))
				there := m.firing(b, f.Diff(f.Diff(once, twice), ends[x]))
				decide = f.Or(decide, f.And(here, there))
			}
			if decide = f.And(decide, d.any); decide == logic.Never {
				continue
			}
			r, err := m.race(d, decide, rest, a, b)
			if err != nil {
				return nil, err
			}
			if r != nil {
				blamed[pair] = true
				out = append(out, *r)
			}
		}
	}
	if len(out) == 0 && !m.explains(blamed) {
		// Both orders of every pair stay open: hardware that goes round in a
		// ring with more than one way out.
		r, err := m.wayOut(d, twice, rest, v, ends)
		if err != nil {
			return nil, err
		}
		if r != nil {
			blamed[[2]logic.Var{r.First.Var, r.Second.Var}] = true
			out = append(out, *r)
		}
	}
	return out, f.Err()
}

// explains reports whether a pair that has been blamed already lies in m.
func (m *model) explains(blamed map[[2]logic.Var]bool) bool {
	for p := range blamed { // order does not matter
		if m.in[p[0]] && m.in[p[1]] {
			return true
		}
	}
	return false
}

// race shows the pair a, b at work in the nearest state of decide.
func (m *model) race(d *during, decide, rest logic.Ref, a, b int) (*Race, error) {
	f := m.f
	t, err := m.shortest(goal{start: f.And(d.start, decide), first: f.And(d.first, decide), second: f.And(d.second, decide)})
	if err != nil || t == nil {
		return nil, err
	}
	p := t.Last()
	r := &Race{Trace: t}
	r.First, _ = m.change(a, p)
	r.Second, _ = m.change(b, p)
	var ok1, ok2 bool
	r.AfterFirst, r.OutcomeFirst, ok1 = m.path(p.With(r.First.Var, r.First.To), rest)
	r.AfterSecond, r.OutcomeSecond, ok2 = m.path(p.With(r.Second.Var, r.Second.To), rest)
	if !ok1 || !ok2 {
		return nil, f.Err()
	}
	return r, nil
}

// wayOut shows two outcomes of one state where no single pair decides: paths
// to different values of v, from their last common state on.
func (m *model) wayOut(d *during, twice, rest logic.Ref, v logic.Var, ends []logic.Ref) (*Race, error) {
	f := m.f
	t, err := m.shortest(goal{start: f.And(d.start, twice), first: f.And(d.first, twice), second: f.And(d.second, twice)})
	if err != nil || t == nil {
		return nil, err
	}
	p := t.Last()
	r := &Race{Trace: t}
	var ways [2][]Change
	var outs [2]logic.Point
	n := 0
	for x, end := range ends {
		if n < 2 && f.Has(end, p) {
			var ok bool
			if ways[n], outs[n], ok = m.path(p, f.And(rest, f.Is(v, x))); !ok {
				return nil, f.Err()
			}
			n++
		}
	}
	if n < 2 {
		return nil, f.Err()
	}
	common := 0
	for common < min(len(ways[0]), len(ways[1])) && ways[0][common] == ways[1][common] {
		common++
	}
	if common == min(len(ways[0]), len(ways[1])) {
		return nil, f.Err()
	}
	t.leadIn(ways[0][:common])
	r.First, r.AfterFirst, r.OutcomeFirst = ways[0][common], ways[0][common+1:], outs[0]
	r.Second, r.AfterSecond, r.OutcomeSecond = ways[1][common], ways[1][common+1:], outs[1]
	return r, nil
}

package logic

import (
	"cmp"
	"maps"
	"slices"
)

// Cube bounds some variables by sets of values; all others may have any value.
type Cube struct {
	Bounds map[Var]Set
	set    Ref
}

// Rows covers on with cubes over some variables, of which no two have a point of care in common
// and none has a point of care outside on. Only values that occur in a cube are named. No cube
// could take in another value that occurs, or do without a variable that tells its points from
// others, and no two can be joined into one. That there are no fewer cubes is not promised: the
// fewest are hard to find.
// The rest is what cubes over these variables can't tell from points outside on. False: there
// would be more than MaxTerms cubes, or the manager has failed.
//
// on lies within care.
func (f *Manager) Rows(on, care Ref, vars []Var, o SimplifyOptions) (rows []Cube, rest Ref, ok bool) {
	if o.Rank == nil {
		o.Rank = func(Var) int { return 0 }
	}
	s := &simplifier{f: f, o: o, vars: slices.Clone(vars)}
	slices.SortStableFunc(s.vars, func(a, b Var) int { return cmp.Compare(o.Rank(b), o.Rank(a)) })
	var hide []Var
	for _, v := range f.order {
		if !slices.Contains(vars, v) {
			hide = append(hide, v)
		}
	}
	blur := func(g Ref) Ref { return f.And(f.Exists(g, f.Bits(hide...)), f.valid) }
	rest = f.And(on, blur(f.Diff(care, on)))
	var terms []term
	for left := f.Diff(on, rest); left != Never; {
		p, ok := f.Least(left)
		if !ok || f.Err() != nil || len(terms) == o.MaxTerms {
			return nil, rest, false
		}
		// Whatever has a point of care that is not left belongs to others.
		t := s.prime(p, blur(f.Diff(care, left)).Not(), left)
		terms = append(terms, t)
		left = f.Diff(left, t.set)
	}
	for _, t := range s.merge(terms) {
		rows = append(rows, f.occurring(t, care, vars, o.Rank))
	}
	return rows, rest, f.Err() == nil
}

// occurring is a term as a cube that bounds variables by the values that occur in points of care:
// of a variable that the term leaves free, only if it is one that a reader knows best and its
// values have no order. Values that have one are bounded by a stretch.
func (f *Manager) occurring(t term, care Ref, vars []Var, rank func(Var) int) Cube {
	c := Cube{map[Var]Set{}, t.set}
	for _, v := range vars {
		d := f.space.Domain(v)
		was, bound := t.lits[v]
		if !bound {
			if d.Ordered || rank(v) != 0 {
				continue
			}
			was = Full(d.Size)
		}
		var now Set
		for x := range was.All() {
			if f.And(f.And(t.set, care), f.Is(v, x)) != Never {
				now = now.Union(SetOf(x))
			}
		}
		if d.Ordered {
			now = Range(now.Min(), now.Max()).Intersect(was)
		}
		if now != Full(d.Size) {
			c.Bounds[v] = now
			c.set = f.And(c.set, f.In(v, now))
		}
	}
	return c
}

// Set is the cube as a function, in the manager that made it.
func (c Cube) Set() Ref { return c.set }

// Expr is the cube as an expression.
func (c Cube) Expr(s *Space) *Expr {
	var out []*Expr
	for _, v := range slices.Sorted(maps.Keys(c.Bounds)) {
		out = append(out, s.In(v, c.Bounds[v]))
	}
	return s.And(out...)
}

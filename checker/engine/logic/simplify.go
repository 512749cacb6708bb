package logic

import (
	"cmp"
	"math/big"
	"slices"
)

// SimplifyOptions steer Simplify.
type SimplifyOptions struct {
	// Rank orders the variables by how well a reader knows them: of two ways to
	// say the same, the one with variables of lower rank is taken. Nil: all
	// alike.
	Rank func(Var) int
	// MaxTerms bounds the terms of the result; 0: 64.
	MaxTerms int
}

// Simplify finds a short condition that is equal to g wherever care holds: an
// irredundant sum of prime terms, or the same of the complement turned round,
// whichever says less, with what terms share taken out in front. A term bounds
// variables by sets of values; of an ordered variable by a stretch of them. The
// result consists of And, Or and In only, is made of variables that g depends
// on, and is the same every time. It is nil if more than MaxTerms terms would
// be needed, or if the manager has failed.
//
// The terms are found as primes are in two-level minimisers (Brayton et al.,
// Logic Minimization Algorithms for VLSI Synthesis, 1984): expand a point as
// far as it goes, cover, then drop what is covered twice; containment is decided
// by diagrams, so it is exact however many points there are.
func (f *Manager) Simplify(g, care Ref, o SimplifyOptions) *Expr {
	if o.MaxTerms <= 0 {
		o.MaxTerms = 64
	}
	if o.Rank == nil {
		o.Rank = func(Var) int { return 0 }
	}
	care = f.And(care, f.valid)
	s := &simplifier{f: f, o: o, vars: f.Support(g)}
	slices.SortStableFunc(s.vars, func(a, b Var) int { return cmp.Compare(o.Rank(b), o.Rank(a)) })
	on, off := f.And(g, care), f.Diff(care, g)
	sum, ok1 := s.cover(on, off.Not())
	rest, ok2 := s.cover(off, on.Not())
	if f.Err() != nil {
		return nil
	}
	var best *Expr
	if ok1 {
		best = s.factor(sum, Or)
	}
	if ok2 {
		// not (a and b or c) is (not a or not b) and not c
		for i := range rest {
			for v, set := range rest[i].lits {
				rest[i].lits[v] = Full(f.space.Size(v)).Minus(set)
			}
		}
		if turned := s.factor(rest, And); best == nil || f.space.Length(turned) < f.space.Length(best) {
			best = turned
		}
	}
	return best
}

// Length is how much there is to read in e: its literals, an ordered variable
// counting once for each stretch of its values.
func (s *Space) Length(e *Expr) int {
	if e.kind == In {
		if s.Domain(e.v).Ordered {
			return e.set.Runs()
		}
		return 1
	}
	n := 0
	for _, k := range e.kids {
		n += s.Length(k)
	}
	return n
}

// term is a conjunction of literals, or, turned round, a disjunction.
type term struct {
	lits map[Var]Set
	set  Ref
}

type simplifier struct {
	f    *Manager
	o    SimplifyOptions
	vars []Var // those that a reader knows least first
}

// cover finds terms that hold on all of lower and nowhere outside upper.
func (s *simplifier) cover(lower, upper Ref) ([]term, bool) {
	f := s.f
	var terms []term
	for left := lower; left != Never; {
		if len(terms) == s.o.MaxTerms || f.Err() != nil {
			return nil, false
		}
		p, ok := f.Least(left)
		if !ok {
			return nil, false
		}
		t := s.prime(p, upper, left)
		terms = append(terms, t)
		left = f.Diff(left, t.set)
	}
	terms = s.merge(terms)
	// Drop what the others cover, the wordiest first.
	for _, t := range slices.SortedStableFunc(slices.Values(terms), func(a, b term) int { return cmp.Compare(len(b.lits), len(a.lits)) }) {
		others := Never
		for _, u := range terms {
			if u.set != t.set {
				others = f.Or(others, u.set)
			}
		}
		if f.Diff(f.And(lower, t.set), others) == Never {
			terms = slices.DeleteFunc(terms, func(u term) bool { return u.set == t.set })
		}
	}
	return terms, f.Err() == nil
}

// prime expands p to a term within upper that can't be expanded further. Each
// variable in turn is tried as the one to be kept longest.
func (s *simplifier) prime(p Point, upper, left Ref) term {
	var best term
	var bestGain *big.Int
	for keep := -1; keep < len(s.vars); keep++ {
		order := slices.Clone(s.vars)
		if keep >= 0 {
			order = append(slices.Delete(order, keep, keep+1), s.vars[keep])
		}
		t := s.expand(p, upper, order)
		gain := s.f.Count(s.f.And(t.set, left))
		d := 1
		if bestGain != nil {
			if d = cmp.Compare(len(best.lits), len(t.lits)); d == 0 {
				if d = gain.Cmp(bestGain); d == 0 {
					d = cmp.Compare(s.rank(best), s.rank(t))
				}
			}
		}
		if d > 0 {
			best, bestGain = t, gain
		}
	}
	return best
}

func (s *simplifier) rank(t term) int {
	sum := 0
	for v := range t.lits {
		sum += s.o.Rank(v)
	}
	return sum
}

// expand drops literals of p in the given order as long as upper allows, then
// widens those that stay.
func (s *simplifier) expand(p Point, upper Ref, order []Var) term {
	f := s.f
	lits := map[Var]Set{}
	for _, v := range order {
		lits[v] = SetOf(int(p[v]))
	}
	try := func() (Ref, bool) {
		set := s.set(lits)
		return set, f.Diff(set, upper) == Never
	}
	for _, v := range order {
		was := lits[v]
		delete(lits, v)
		if _, ok := try(); !ok {
			lits[v] = was
		}
	}
	for _, v := range order {
		if _, kept := lits[v]; kept {
			s.widen(lits, v, int(p[v]), func() bool { _, ok := try(); return ok })
		}
	}
	for v, set := range lits {
		if set == Full(f.space.Size(v)) {
			delete(lits, v)
		}
	}
	return term{lits: lits, set: s.set(lits)}
}

// widen adds values to the literal of v: to an ordered one only next to those
// that it has.
func (s *simplifier) widen(lits map[Var]Set, v Var, from int, ok func() bool) {
	d := s.f.space.Domain(v)
	add := func(x int) bool {
		was := lits[v]
		lits[v] = was.Union(SetOf(x))
		if !ok() {
			lits[v] = was
			return false
		}
		return true
	}
	if !d.Ordered {
		for x := range d.Size {
			add(x)
		}
		return
	}
	for x := from + 1; x < d.Size && add(x); x++ {
	}
	for x := from - 1; x >= 0 && add(x); x-- {
	}
}

// set is the function of a term.
func (s *simplifier) set(lits map[Var]Set) Ref {
	r := s.f.valid
	for _, v := range s.vars {
		if set, ok := lits[v]; ok {
			r = s.f.And(r, s.f.In(v, set))
		}
	}
	return r
}

// merge joins terms that differ in the literal of one variable only.
func (s *simplifier) merge(terms []term) []term {
	for i := 0; i < len(terms); i++ {
		for j := i + 1; j < len(terms); j++ {
			v, ok := differ(terms[i].lits, terms[j].lits)
			if !ok {
				continue
			}
			lits := terms[i].lits
			lits[v] = lits[v].Union(terms[j].lits[v])
			if lits[v] == Full(s.f.space.Size(v)) {
				delete(lits, v)
			}
			terms[i].set = s.set(lits)
			terms = slices.Delete(terms, j, j+1)
			i, j = 0, 0 // the joined term may now match an earlier one
		}
	}
	return terms
}

// differ finds the only variable whose literals differ.
func differ(a, b map[Var]Set) (Var, bool) {
	if len(a) != len(b) {
		return 0, false
	}
	var at Var
	n := 0
	for v, set := range a {
		other, ok := b[v]
		if !ok {
			return 0, false
		}
		if other != set {
			at = v
			n++
		}
	}
	return at, n == 1
}

// factor writes terms as an expression: kind joins the terms, the other kind
// the literals in a term. The literal that most terms share is taken out in
// front of them, again and again.
func (s *simplifier) factor(terms []term, kind Kind) *Expr {
	sp := s.f.space
	join, bind := sp.Or, sp.And
	if kind == And {
		join, bind = sp.And, sp.Or
	}
	if len(terms) == 0 {
		return join()
	}
	var shared Var
	var sharedSet Set
	most := 1
	vars := slices.Clone(s.vars)
	slices.Reverse(vars)
	for _, v := range vars {
		for _, t := range terms {
			set, ok := t.lits[v]
			if !ok {
				continue
			}
			n := 0
			for _, u := range terms {
				if u.lits[v] == set {
					n++
				}
			}
			if n > most {
				shared, sharedSet, most = v, set, n
			}
		}
	}
	if most == 1 {
		var parts []*Expr
		for _, t := range terms {
			var lits []*Expr
			for _, v := range vars {
				if set, ok := t.lits[v]; ok {
					lits = append(lits, sp.In(v, set))
				}
			}
			parts = append(parts, bind(lits...))
		}
		return join(parts...)
	}
	var with, without []term
	for _, t := range terms {
		if t.lits[shared] == sharedSet {
			lits := map[Var]Set{}
			for v, set := range t.lits {
				if v != shared {
					lits[v] = set
				}
			}
			with = append(with, term{lits: lits})
		} else {
			without = append(without, t)
		}
	}
	front := bind(sp.In(shared, sharedSet), s.factor(with, kind))
	if len(without) == 0 {
		return front
	}
	return join(front, s.factor(without, kind))
}

package logic

import (
	"encoding/binary"
	"fmt"
	"math/bits"
	"slices"
)

// ManagerOptions says which variables a Manager knows, and how.
type ManagerOptions struct {
	// Order lists the variables from the root of the diagrams down. Only these
	// may occur in expressions. Nil means all of the Space as declared; see
	// Order for a better one.
	Order []Var
	// Shadowed variables have a second copy, placed beside them, that holds
	// the value after a simultaneous step while the first holds the one before.
	Shadowed []Var
	// MaxNodes bounds the nodes alive at once; not positive: DefaultMaxNodes.
	MaxNodes int
}

// Manager holds sets of Points as decision diagrams. A variable of n values is
// written in binary over ceil(log2 n) neighbouring levels, most significant
// first. Functions may hold on codes that stand for no value; every set of
// states must therefore lie within Valid, and stays there: And, Or, Exists
// followed by Assign, and the images built of them keep inside it.
type Manager struct {
	*Kernel
	space  *Space
	order  []Var
	levels [][]int // by variable: levels of its bits, most significant first; nil: unknown
	shadow [][]int // the same of its shadow
	valid  Ref
	of     map[*Expr]Ref
	values [][]Ref // by variable: the function "v = x", by x
	shades [][]Ref // the same for the shadow
	cubes  map[string]Ref
	down   int // renaming of shadows to variables
	up     int // renaming of variables to shadows
	total  int // levels in all
}

// NewForest builds a Manager over the variables of s.
func NewManager(s *Space, o ManagerOptions) (*Manager, error) {
	n := s.Len()
	f := &Manager{
		Kernel: NewKernel(o.MaxNodes), space: s, order: slices.Clone(o.Order),
		levels: make([][]int, n), shadow: make([][]int, n), of: map[*Expr]Ref{},
		values: make([][]Ref, n), shades: make([][]Ref, n), cubes: map[string]Ref{},
	}
	if o.Order == nil {
		for v := range n {
			f.order = append(f.order, Var(v))
		}
	}
	var down, up []int
	for _, v := range f.order {
		size := s.Size(v)
		if size == 0 {
			return nil, fmt.Errorf("logic: no variable %d", v)
		}
		if f.levels[v] != nil {
			return nil, fmt.Errorf("logic: variable %q is ordered twice", s.Name(v))
		}
		double := slices.Contains(o.Shadowed, v)
		f.levels[v] = []int{}
		for range bits.Len(uint(size - 1)) {
			f.levels[v] = append(f.levels[v], f.total)
			down, up = append(down, f.total), append(up, f.total)
			f.total++
			if double {
				f.shadow[v] = append(f.shadow[v], f.total)
				down, up = append(down, f.total-1), append(up, f.total)
				up[f.total-1] = f.total
				f.total++
			}
		}
		if double && f.shadow[v] == nil {
			f.shadow[v] = []int{}
		}
	}
	f.down, f.up = f.Renaming(down), f.Renaming(up)
	f.valid = Always
	for i := len(f.order) - 1; i >= 0; i-- {
		v := f.order[i]
		f.values[v] = f.codes(f.levels[v], s.Size(v))
		f.valid = f.And(f.valid, f.any(f.values[v], Full(s.Size(v))))
		if bitsOf := f.shadow[v]; bitsOf != nil {
			f.shades[v] = f.codes(bitsOf, s.Size(v))
		}
	}
	f.Pin(f.valid)
	return f, f.Err()
}

// codes builds and pins the functions "the number at levels is x".
func (f *Manager) codes(levels []int, size int) []Ref {
	out := make([]Ref, size)
	for x := range out {
		r := Always
		for i := len(levels) - 1; i >= 0; i-- {
			lit := f.Lit(levels[i])
			if x>>(len(levels)-1-i)&1 == 0 {
				lit = lit.Not()
			}
			r = f.And(lit, r)
		}
		out[x] = f.Pin(r)
	}
	return out
}

func (f *Manager) any(values []Ref, set Set) Ref {
	r := Never
	for x := range set.All() {
		if x < len(values) {
			r = f.Or(r, values[x])
		}
	}
	return r
}

// at is the entry of a variable, nothing for one that the space got later.
func at[T any](of [][]T, v Var) []T {
	if v < 0 || int(v) >= len(of) {
		return nil
	}
	return of[v]
}

// Space is the Space that the variables belong to.
func (f *Manager) Space() *Space { return f.space }

// Order lists the variables that the manager knows, from the root down.
func (f *Manager) Order() []Var { return f.order }

// Valid holds on the codes in which every variable has one of its values.
func (f *Manager) Valid() Ref { return f.valid }

// In holds where v has a value of set. It is Never if the manager does not know
// v.
func (f *Manager) In(v Var, set Set) Ref { return f.any(at(f.values, v), set) }

// Is holds where v has the value x.
func (f *Manager) Is(v Var, x int) Ref { return f.In(v, SetOf(x)) }

// ShadowIs holds where the shadow of v has the value x.
func (f *Manager) ShadowIs(v Var, x int) Ref { return f.any(at(f.shades, v), SetOf(x)) }

// Same holds where v and its shadow have the same value.
func (f *Manager) Same(v Var) Ref {
	r := Never
	for x := range f.space.Size(v) {
		r = f.Or(r, f.And(f.Is(v, x), f.ShadowIs(v, x)))
	}
	return r
}

// Of is the function of an expression. Variables that the manager does not know
// make a literal Never: ask Knows first.
func (f *Manager) Of(e *Expr) Ref {
	if r, ok := f.of[e]; ok {
		return r
	}
	r := Never
	switch e.kind {
	case True:
		r = Always
	case In:
		r = f.In(e.v, e.set)
	case And:
		r = Always
		for i := len(e.kids) - 1; i >= 0; i-- {
			r = f.And(f.Of(e.kids[i]), r)
		}
	case Or:
		for i := len(e.kids) - 1; i >= 0; i-- {
			r = f.Or(f.Of(e.kids[i]), r)
		}
	case Not:
		r = f.healthy(f.Of(e.kids[0]).Not())
	}
	if f.Err() == nil {
		f.of[e] = f.Pin(r)
	}
	return r
}

// Knows reports whether every variable of e is in the manager.
func (f *Manager) Knows(e *Expr) bool {
	return !slices.ContainsFunc(e.Vars(), func(v Var) bool { return at(f.levels, v) == nil })
}

// Bits is the cube of all levels of the given variables, for Exists and
// AndExists of the kernel.
func (f *Manager) Bits(vars ...Var) Ref { return f.cube(f.levels, vars) }

// ShadowBits is the same for the shadows.
func (f *Manager) ShadowBits(vars ...Var) Ref { return f.cube(f.shadow, vars) }

func (f *Manager) cube(of [][]int, vars []Var) Ref {
	var room [64]int
	levels := room[:0]
	for _, v := range vars {
		levels = append(levels, at(of, v)...)
	}
	slices.Sort(levels)
	slices.Reverse(levels)
	var text [64]byte
	key := text[:0]
	for _, l := range levels {
		key = binary.AppendUvarint(key, uint64(l))
	}
	if r, ok := f.cubes[string(key)]; ok {
		return r
	}
	r := f.Cube(levels)
	if f.Err() == nil {
		f.cubes[string(key)] = f.Pin(r)
	}
	return r
}

// Assign is the set of the points of g after v has been given the value x.
func (f *Manager) Assign(g Ref, v Var, x int) Ref {
	return f.And(f.Exists(g, f.Bits(v)), f.Is(v, x))
}

// Fix is g where v is taken to be x: it no longer depends on v. It is what must
// hold before v := x for g to hold after it.
func (f *Manager) Fix(g Ref, v Var, x int) Ref { return f.Cofactor(g, f.Is(v, x)) }

// FromShadow renames the shadows of g to their variables.
func (f *Manager) FromShadow(g Ref) Ref { return f.Rename(g, f.down) }

// ToShadow renames the shadowed variables of g to their shadows.
func (f *Manager) ToShadow(g Ref) Ref { return f.Rename(g, f.up) }

// Point is the set of just p.
func (f *Manager) Point(p Point) Ref {
	r := Always
	for i := len(f.order) - 1; i >= 0; i-- {
		r = f.And(f.Is(f.order[i], int(p[f.order[i]])), r)
	}
	return r
}

// Has reports whether p lies in g.
func (f *Manager) Has(g Ref, p Point) bool {
	bit := make(map[uint32]bool, f.total)
	for _, v := range f.order {
		ls := f.levels[v]
		for i, l := range ls {
			bit[uint32(l)] = p[v]>>(len(ls)-1-i)&1 == 1
		}
	}
	for g > Always {
		level := f.level(g)
		lo, hi := f.branch(g, level)
		if bit[level] {
			g = hi
		} else {
			g = lo
		}
	}
	return g == Always
}

// Least is the first point of g: least in the variable declared first, then in
// the second, and so on. Variables outside the manager are 0.
func (f *Manager) Least(g Ref) (Point, bool) {
	g = f.And(g, f.valid)
	if g == Never {
		return nil, false
	}
	p := make(Point, f.space.Len())
	for _, v := range slices.Sorted(slices.Values(f.order)) {
		for x, is := range f.values[v] {
			if h := f.And(g, is); h != Never {
				p[v], g = uint8(x), h
				break
			}
		}
	}
	return p, f.Err() == nil
}

// Support lists the variables that g depends on, in rising order.
func (f *Manager) Support(g Ref) []Var {
	seen, used := map[Ref]bool{}, make([]bool, f.total)
	var walk func(Ref)
	walk = func(g Ref) {
		g &^= 1
		if g == Never || seen[g] {
			return
		}
		seen[g] = true
		level := f.level(g)
		used[level] = true
		lo, hi := f.branch(g, level)
		walk(lo)
		walk(hi)
	}
	walk(g)
	var vars []Var
	for _, v := range f.order {
		if slices.ContainsFunc(f.levels[v], func(l int) bool { return used[l] }) {
			vars = append(vars, v)
		}
	}
	slices.Sort(vars)
	return vars
}

package logic

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawSpace draws up to four variables of up to five values.
func drawSpace(t *rapid.T) *Space {
	s := NewSpace()
	for i := range rapid.IntRange(1, 4).Draw(t, "variables") {
		_, err := s.Add(Domain{Name: fmt.Sprint("x", i), Size: rapid.IntRange(1, 5).Draw(t, "size"), Ordered: rapid.Bool().Draw(t, "ordered")})
		require.NoError(t, err)
	}
	return s
}

// allPoints lists every point in rising order.
func allPoints(s *Space) []Point {
	points := []Point{{}}
	for v := range s.Len() {
		var more []Point
		for _, p := range points {
			for x := range s.Size(Var(v)) {
				more = append(more, append(p.Clone(), uint8(x)))
			}
		}
		points = more
	}
	return points
}

// drawExpr draws an expression and, apart from it, what it means.
func drawExpr(t *rapid.T, s *Space, depth int) (*Expr, func(Point) bool) {
	kind := 0
	if depth > 0 {
		kind = rapid.IntRange(0, 4).Draw(t, "kind")
	}
	switch kind {
	case 1, 2:
		a, fa := drawExpr(t, s, depth-1)
		b, fb := drawExpr(t, s, depth-1)
		if kind == 1 {
			return s.And(a, b), func(p Point) bool { return fa(p) && fb(p) }
		}
		return s.Or(a, b), func(p Point) bool { return fa(p) || fb(p) }
	case 3:
		a, fa := drawExpr(t, s, depth-1)
		return s.Not(a), func(p Point) bool { return !fa(p) }
	}
	v := Var(rapid.IntRange(0, s.Len()-1).Draw(t, "v"))
	values := rapid.SliceOf(rapid.IntRange(0, s.Size(v))).Draw(t, "values")
	return s.In(v, SetOf(values...)), func(p Point) bool { return slices.Contains(values, int(p[v])) }
}

func TestForestAgainstPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSpace(t)
		order := make([]Var, s.Len())
		for i := range order {
			order[i] = Var(i)
		}
		order = rapid.Permutation(order).Draw(t, "order")
		f, err := NewManager(s, ManagerOptions{Order: order, Shadowed: order[:len(order)/2]})
		require.NoError(t, err)
		e, holds := drawExpr(t, s, 3)
		r := f.Of(e)
		var first Point
		n := int64(0)
		v := Var(rapid.IntRange(0, s.Len()-1).Draw(t, "v"))
		x := rapid.IntRange(0, s.Size(v)-1).Draw(t, "x")
		assigned := f.Assign(f.And(r, f.Valid()), v, x)
		fixed := f.Fix(r, v, x)
		seen := map[uint8]bool{}
		depends := map[Var]bool{}
		for _, p := range allPoints(s) {
			require.Equal(t, holds(p), e.Eval(p))
			require.Equal(t, holds(p), f.Has(r, p))
			require.Equal(t, holds(p.With(v, x)), f.Has(fixed, p))
			some := false
			for y := range s.Size(v) {
				some = some || holds(p.With(v, y))
			}
			require.Equal(t, some && int(p[v]) == x, f.Has(assigned, p))
			if holds(p) {
				n++
				seen[p[v]] = true
				if first == nil {
					first = p
				}
			}
			for w := range s.Len() {
				for y := range s.Size(Var(w)) {
					if holds(p) != holds(p.With(Var(w), y)) {
						depends[Var(w)] = true
					}
				}
			}
		}
		require.Equal(t, n, f.Count(r).Int64())
		require.Equal(t, int64(len(seen)), f.Count(r, v).Int64())
		least, ok := f.Least(r)
		require.Equal(t, first != nil, ok)
		require.Equal(t, first, least)
		for w := range depends {
			require.Contains(t, f.Support(r), w)
		}
		shadowed := f.ToShadow(r)
		require.Equal(t, r, f.FromShadow(shadowed))
		require.NoError(t, f.Err())
	})
}

func TestSimplifyIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSpace(t)
		f, err := NewManager(s, ManagerOptions{})
		require.NoError(t, err)
		g, _ := drawExpr(t, s, 4)
		c, _ := drawExpr(t, s, 2)
		if rapid.Bool().Draw(t, "everywhere") {
			c = s.True()
		}
		got := f.Simplify(f.Of(g), f.Of(c), SimplifyOptions{MaxTerms: 1000})
		require.NotNil(t, got)
		for _, p := range allPoints(s) {
			if c.Eval(p) {
				require.Equal(t, g.Eval(p), got.Eval(p), "%v became %s", s.Text(g), s.Text(got))
			}
		}
		require.Same(t, got, f.Simplify(f.Of(g), f.Of(c), SimplifyOptions{MaxTerms: 1000}))
		support := f.Support(f.Of(g))
		for _, v := range got.Vars() {
			require.Contains(t, support, v)
		}
	})
}

func TestSimplifyReadsWell(t *testing.T) {
	s := NewSpace()
	add := func(d Domain) Var {
		v, err := s.Add(d)
		require.NoError(t, err)
		return v
	}
	key := add(Domain{Name: "key", Size: 4})
	speed := add(Domain{Name: "speed", Size: 9, Ordered: true})
	fast := add(Domain{Name: "fast", Size: 2})
	hot := add(Domain{Name: "hot", Size: 2})
	f, err := NewManager(s, ManagerOptions{})
	require.NoError(t, err)
	run := s.Is(key, 2)
	for _, c := range []struct {
		what    string
		g, care *Expr
		want    string
	}{
		{"a conjunction", s.And(run, s.On(fast)), s.True(), "(key=2 and fast=1)"},
		{"what is always so is left out", s.And(run, s.On(fast), s.In(speed, Range(5, 8))), s.Implies(s.On(fast), s.In(speed, Range(5, 8))), "(key=2 and fast=1)"},
		{"a shared part is said once", s.Or(s.And(run, s.On(fast)), s.And(run, s.On(hot))), s.True(), "(key=2 and (fast=1 or hot=1))"},
		{"terms become a stretch", s.Or(s.Is(speed, 3), s.Is(speed, 4), s.Is(speed, 5)), s.True(), "speed in {3..5}"},
		{"the complement may say less", s.Not(s.And(run, s.On(fast), s.On(hot))), s.True(), "(key in {0..1 3} or fast=0 or hot=0)"},
		{"always", s.Is(key, 1), s.Is(key, 1), "true"},
		{"never", s.Is(key, 1), s.Is(key, 2), "false"},
	} {
		got := f.Simplify(f.Of(c.g), f.Of(c.care), SimplifyOptions{})
		require.NotNil(t, got, c.what)
		require.Equal(t, c.want, s.Text(got), c.what)
	}
	require.Nil(t, f.Simplify(f.Of(s.Iff(s.On(fast), s.On(hot))), Always, SimplifyOptions{MaxTerms: 1}), "too many terms")
}

func TestOrderBringsNeighboursTogether(t *testing.T) {
	var vars []Var
	var groups [][]Var
	for i := range 20 {
		vars = append(vars, Var(i))
	}
	for i := range 10 { // i is used with i+10
		groups = append(groups, []Var{Var(i), Var(i + 10)})
	}
	got := Order(vars, groups)
	require.ElementsMatch(t, vars, got)
	far := 0
	for i := range 10 {
		d := slices.Index(got, Var(i)) - slices.Index(got, Var(i+10))
		far = max(far, d, -d)
	}
	require.LessOrEqual(t, far, 2)
	require.Equal(t, got, Order(vars, groups))
}

func TestSpaceRefusesWhatItCanNotHold(t *testing.T) {
	s := NewSpace()
	_, err := s.Add(Domain{Name: "none", Size: 0})
	require.Error(t, err)
	_, err = s.Add(Domain{Name: "many", Size: MaxSize + 1})
	require.ErrorContains(t, err, "many")
	v, err := s.Add(Domain{Size: MaxSize})
	require.NoError(t, err)
	require.Same(t, s.True(), s.In(v, Full(MaxSize)))
	require.Same(t, s.False(), s.In(v, Set{}))
	require.Same(t, s.Is(v, 7), s.And(s.In(v, Range(0, 7)), s.In(v, Range(7, 255))))
	require.Equal(t, "{0 3..5 255}", SetOf(0, 3, 4, 5, 255).String())
}

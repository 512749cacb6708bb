package logic

import (
	"context"
	"errors"
	"math/rand/v2"
	"testing"

	"github.com/dalzilio/rudd"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const width = 6 // variables of the truth tables

// table is a function of width variables, one bit a row; variable i is bit i
// of the row's number.
type table uint64

// fixed is t with variable i taken to be x.
func (t table) fixed(i, x int) (out table) {
	for row := range 1 << width {
		from := row &^ (1 << i)
		if x == 1 {
			from |= 1 << i
		}
		out |= (t >> from & 1) << row
	}
	return out
}

func (t table) exists(vars []int) table {
	for _, i := range vars {
		t = t.fixed(i, 0) | t.fixed(i, 1)
	}
	return t
}

// function builds the diagram of t, row by row.
func function(k *Kernel, t table) Ref {
	r := Never
	for row := range 1 << width {
		if t>>row&1 == 0 {
			continue
		}
		m := Always
		for i := width - 1; i >= 0; i-- {
			lit := k.Lit(i)
			if row>>i&1 == 0 {
				lit = lit.Not()
			}
			m = k.And(m, lit)
		}
		r = k.Or(r, m)
	}
	return r
}

func TestKernelAgainstTruthTables(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := NewKernel(0)
		draw := func(name string) (table, Ref) {
			x := table(rapid.Uint64().Draw(t, name))
			if rapid.Bool().Draw(t, "sparse") {
				x &= table(rapid.Uint64().Draw(t, name))
			}
			return x, function(k, x)
		}
		a, fa := draw("a")
		b, fb := draw("b")
		c, fc := draw("c")
		vars := rapid.SliceOfNDistinct(rapid.IntRange(0, width-1), 0, width, rapid.ID).Draw(t, "vars")
		cube := k.Cube(vars)
		is := func(want table, got Ref, what string) { require.Equal(t, function(k, want), got, what) }
		is(^a, fa.Not(), "not")
		is(a&b, k.And(fa, fb), "and")
		is(a|b, k.Or(fa, fb), "or")
		is(a&^b, k.Diff(fa, fb), "diff")
		is(a&b|^a&c, k.ITE(fa, fb, fc), "ite")
		is(a.exists(vars), k.Exists(fa, cube), "exists")
		is((a & b).exists(vars), k.AndExists(fa, fb, cube), "and-exists")

		fix, m := a, Always
		for _, i := range vars {
			x := rapid.IntRange(0, 1).Draw(t, "value")
			fix = fix.fixed(i, x)
			lit := k.Lit(i)
			if x == 0 {
				lit = lit.Not()
			}
			m = k.And(m, lit)
		}
		is(fix, k.Cofactor(fa, m), "cofactor")

		perm := rapid.Permutation([]int{0, 1, 2, 3, 4, 5}).Draw(t, "perm")
		var renamed table
		for row := range 1 << width {
			from := 0
			for i, to := range perm {
				from |= (row >> to & 1) << i
			}
			renamed |= (a >> from & 1) << row
		}
		is(renamed, k.Rename(fa, k.Renaming(perm)), "rename")

		k.Pin(fa)
		k.Collect(fb)
		require.Equal(t, fa, function(k, a), "a pinned function survives a collection")
		require.Equal(t, fb, function(k, b), "and so does one that was named")
		is(a&b, k.And(fa, fb), "and after a collection")
		require.NoError(t, k.Err())
	})
}

func TestKernelLimits(t *testing.T) {
	k := NewKernel(40)
	r := Always
	for i := 0; i < 64; i += 2 {
		r = k.And(r, k.Or(k.Lit(i), k.Lit(i+1)))
	}
	require.ErrorIs(t, k.Err(), ErrTooLarge)
	require.Equal(t, Never, r, "after an error nothing holds")
	require.Equal(t, Never, k.Or(Always, Always))
	k.Collect()
	k.Recover()
	require.NotEqual(t, Never, k.And(k.Lit(0), k.Lit(1)))
	require.NoError(t, k.Err())

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	k = NewKernel(0)
	k.Watch(ctx)
	rng := rand.New(rand.NewPCG(1, 2))
	r = Never
	for range 4000 {
		m := Always
		for i := 39; i >= 0; i-- {
			if lit := k.Lit(i); rng.IntN(2) == 0 {
				m = k.And(m, lit)
			} else {
				m = k.And(m, lit.Not())
			}
		}
		r = k.Or(r, m)
	}
	require.True(t, errors.Is(k.Err(), context.Canceled))
}

// queens states the problem of n queens in terms of any kernel.
func queens[F any](n int, lit func(int) F, not func(F) F, and, or func(F, F) F, yes F) F {
	at := func(r, c int) F { return lit(r*n + c) }
	all := yes
	for r := range n {
		row := at(r, 0)
		for c := 1; c < n; c++ {
			row = or(row, at(r, c))
		}
		all = and(all, row)
	}
	for r := range n {
		for c := range n {
			alone := yes
			for s := range n {
				for d := range n {
					attacks := r == s || c == d || r-c == s-d || r+c == s+d
					if attacks && (r != s || c != d) {
						alone = and(alone, not(at(s, d)))
					}
				}
			}
			all = and(all, or(not(at(r, c)), alone))
		}
	}
	return all
}

func ours(n int) (*Kernel, Ref) {
	k := NewKernel(0)
	return k, queens(n, k.Lit, Ref.Not, k.And, k.Or, Always)
}

func theirs(t testing.TB, n int) (*rudd.BDD, rudd.Node) {
	b, err := rudd.New(n*n, rudd.Nodesize(1<<16), rudd.Cachesize(1<<14))
	require.NoError(t, err)
	return b, queens(n, b.Ithvar, b.Not, func(x, y rudd.Node) rudd.Node { return b.And(x, y) },
		func(x, y rudd.Node) rudd.Node { return b.Or(x, y) }, b.True())
}

// The number of ways to place n queens: OEIS A000170.
func TestKernelAgainstRudd(t *testing.T) {
	for n, want := range map[int]int64{4: 2, 5: 10, 6: 4, 7: 40} {
		s := NewSpace()
		for range n * n {
			_, err := s.Add(Domain{Size: 2})
			require.NoError(t, err)
		}
		f, err := NewManager(s, ManagerOptions{})
		require.NoError(t, err)
		r := queens(n, f.Lit, Ref.Not, f.And, f.Or, Always)
		b, node := theirs(t, n)
		require.Equal(t, want, f.Count(r).Int64())
		require.Equal(t, want, b.Satcount(node).Int64())
	}
}

// BenchmarkKernel is what decided for a kernel of our own.
func BenchmarkKernel(b *testing.B) {
	b.Run("ours", func(b *testing.B) {
		for b.Loop() {
			k, r := ours(8)
			require.NotEqual(b, Never, r)
			b.ReportMetric(float64(k.Stats.Made), "nodes")
		}
	})
	b.Run("rudd", func(b *testing.B) {
		for b.Loop() {
			_, n := theirs(b, 8)
			require.NotNil(b, n)
		}
	})
}

package unit

import (
	"fmt"
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// edges are the places where the int64 path ends.
var edges = []int64{0, 1, -1, 2, 3, 10, math.MaxInt32, 1 << 32, math.MaxInt64, -math.MaxInt64,
	math.MinInt64, math.MinInt64 + 1, math.MaxInt64 - 1, 3_037_000_499, 3_037_000_500}

// anyInt draws edges as often as anything else.
func anyInt() *rapid.Generator[int64] {
	return rapid.OneOf(rapid.SampledFrom(edges), rapid.Int64(), rapid.Int64Range(-1000, 1000))
}

// anyNum draws numbers of both forms together with what they stand for.
func anyNum() *rapid.Generator[*big.Rat] {
	return rapid.Custom(func(t *rapid.T) *big.Rat {
		d := anyInt().Filter(func(d int64) bool { return d != 0 }).Draw(t, "denominator")
		r := new(big.Rat).SetFrac(big.NewInt(anyInt().Draw(t, "numerator")), big.NewInt(d))
		if rapid.IntRange(0, 3).Draw(t, "size") == 0 {
			r.Mul(r, new(big.Rat).SetFrac(big.NewInt(math.MaxInt64), big.NewInt(12_345_678_901)))
		}
		return r
	})
}

// requireOneForm fails when x is not what its one form should be.
func requireOneForm(t require.TestingT, x Num) {
	if x.large == nil {
		require.NotEqual(t, int64(math.MinInt64), x.num)
		require.GreaterOrEqual(t, x.denLess1, int64(0))
		require.Equal(t, uint64(1), gcd(magnitude(x.num), x.den()), "%d/%d is not in lowest terms", x.num, x.den())
		return
	}
	n, d := x.large.Num(), x.large.Denom()
	fits := n.IsInt64() && d.IsInt64() && n.Int64() != math.MinInt64
	require.False(t, fits, "%s should be small", x.large)
}

func requireSame(t require.TestingT, want *big.Rat, got Num, what string) {
	requireOneForm(t, got)
	require.Zero(t, want.Cmp(got.Rat()), "%s: want %s, got %s", what, want, got.Rat())
}

func TestArithmeticEqualsBigRat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyNum().Draw(t, "a"), anyNum().Draw(t, "b")
		x, y := FromRat(a), FromRat(b)
		requireSame(t, a, x, "FromRat")
		requireSame(t, new(big.Rat).Add(a, b), x.Add(y), "Add")
		requireSame(t, new(big.Rat).Sub(a, b), x.Sub(y), "Sub")
		requireSame(t, new(big.Rat).Mul(a, b), x.Mul(y), "Mul")
		requireSame(t, new(big.Rat).Neg(a), x.Neg(), "Neg")
		requireSame(t, new(big.Rat).Abs(a), x.Abs(), "Abs")
		q, ok := x.Quo(y)
		require.Equal(t, b.Sign() != 0, ok)
		if ok {
			requireSame(t, new(big.Rat).Quo(a, b), q, "Quo")
		}
		require.Equal(t, a.Sign(), x.Sign())
		want, _ := a.Float64()
		require.Equal(t, want, x.Float64())
		// Nothing above may have changed the operands.
		requireSame(t, a, x, "a afterwards")
		requireSame(t, b, y, "b afterwards")
	})
}

func TestCmpIsATotalOrderEqualToBigRat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := anyNum().Draw(t, "a"), anyNum().Draw(t, "b"), anyNum().Draw(t, "c")
		x, y, z := FromRat(a), FromRat(b), FromRat(c)
		require.Equal(t, a.Cmp(b), x.Cmp(y))
		require.Equal(t, -x.Cmp(y), y.Cmp(x))
		require.Zero(t, x.Cmp(x))
		if x.Cmp(y) <= 0 && y.Cmp(z) <= 0 {
			require.LessOrEqual(t, x.Cmp(z), 0)
		}
		require.Equal(t, a.Cmp(b) == 0, x.Equal(y))
		require.Equal(t, a.Cmp(b) < 0, x.Less(y))
		require.Equal(t, a.Cmp(b) == 0, x.Key() == y.Key())
	})
}

// Random numbers are hardly ever equal or a hair apart, so both are built here.
func TestCmpOfNeighbours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyNum().Draw(t, "r")
		detour := anyNum().Filter(func(r *big.Rat) bool { return r.Sign() != 0 }).Draw(t, "detour")
		x := FromRat(r)
		d := FromRat(detour)
		back, ok := x.Mul(d).Quo(d)
		require.True(t, ok)
		require.True(t, x.Equal(back) && x.Cmp(back) == 0 && x.Key() == back.Key())
		hair := Ratio(1, math.MaxInt64)
		require.Equal(t, -1, x.Cmp(x.Add(hair)))
		require.Equal(t, 1, x.Cmp(x.Sub(hair)))
		require.False(t, x.Equal(x.Add(hair)))
	})
}

func TestEveryPairOfEdges(t *testing.T) {
	for _, a := range edges {
		for _, b := range edges {
			ra, rb := new(big.Rat).SetInt64(a), new(big.Rat).SetInt64(b)
			x, y := Int(a), Int(b)
			requireSame(t, new(big.Rat).Add(ra, rb), x.Add(y), fmt.Sprintf("%d + %d", a, b))
			requireSame(t, new(big.Rat).Sub(ra, rb), x.Sub(y), fmt.Sprintf("%d - %d", a, b))
			requireSame(t, new(big.Rat).Mul(ra, rb), x.Mul(y), fmt.Sprintf("%d * %d", a, b))
			require.Equal(t, ra.Cmp(rb), x.Cmp(y), "%d against %d", a, b)
			if b != 0 {
				want := new(big.Rat).SetFrac(big.NewInt(a), big.NewInt(b))
				requireSame(t, want, Ratio(a, b), fmt.Sprintf("%d / %d", a, b))
				q, ok := x.Quo(y)
				require.True(t, ok)
				requireSame(t, want, q, fmt.Sprintf("%d quo %d", a, b))
			}
		}
	}
}

func TestNumInt64(t *testing.T) {
	for _, n := range edges {
		got, ok := Int(n).Int64()
		assert.True(t, ok, "%d", n)
		assert.Equal(t, n, got)
	}
	_, ok := Ratio(1, 2).Int64()
	assert.False(t, ok)
	_, ok = Int(math.MaxInt64).Add(Int(1)).Int64()
	assert.False(t, ok)
	_, ok = Int(math.MinInt64).Add(Ratio(1, 2)).Int64()
	assert.False(t, ok)
}

// Just above 2^53 the operands are no floats any more, and dividing their
// roundings would round twice.
func TestFloat64IsTheNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for range 50 {
			n := 1<<53 + rapid.Int64Range(0, 1<<56).Draw(t, "n")
			d := rapid.Int64Range(1, 1<<56).Draw(t, "d")
			want, _ := big.NewRat(n, d).Float64()
			require.Equal(t, want, Ratio(n, d).Float64())
		}
	})
}

func TestZeroValueIsZero(t *testing.T) {
	var x Num
	assert.True(t, x.Equal(Int(0)))
	assert.Equal(t, "0", x.String())
	assert.Equal(t, Int(0).Key(), x.Key())
	_, ok := Int(1).Quo(x)
	assert.False(t, ok)
	assert.Panics(t, func() { Ratio(1, 0) })
}

// A caller that changes its Rat, or the one that it was given, must not reach
// into a Num.
func TestNumKeepsItsOwnRat(t *testing.T) {
	huge := new(big.Rat).SetFrac(new(big.Int).Lsh(big.NewInt(1), 100), big.NewInt(3))
	x := FromRat(huge)
	before := x.Key()
	huge.SetInt64(5)
	x.Rat().SetInt64(7)
	assert.Equal(t, before, x.Key())
}

func TestSmallNumbersDoNotAllocate(t *testing.T) {
	x, y := Ratio(12_600, 7), Ratio(-31, 9_000)
	var sink Num
	var order int
	for name, f := range map[string]func(){
		"ParseNum": func() { sink, _ = ParseNum("-4200.125") },
		"Add":      func() { sink = x.Add(y) },
		"Sub":      func() { sink = x.Sub(y) },
		"Mul":      func() { sink = x.Mul(y) },
		"Quo":      func() { sink, _ = x.Quo(y) },
		"Neg":      func() { sink = x.Neg() },
		"Abs":      func() { sink = y.Abs() },
		"Cmp":      func() { order = x.Cmp(y) },
		"Equal":    func() { x.Equal(y) },
		"Float64":  func() { x.Float64() },
		"New":      func() { sink = New(x, Temperature.Base()).N },
	} {
		assert.Zero(t, testing.AllocsPerRun(100, f), name)
	}
	_, _ = sink, order
}

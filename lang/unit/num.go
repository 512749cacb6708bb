package unit

import (
	"cmp"
	"math"
	"math/big"
	"math/bits"
)

// Num is an exact rational number. It is immutable, and its zero value is 0.
//
// While numerator and denominator fit an int64, which every number in a
// sensible design does, no operation allocates. Beyond that it falls back to
// [big.Rat] and returns as soon as a result fits again, so each number has one
// form. Compare with Equal or Cmp; == is not equality for the large ones.
type Num struct {
	// num is never math.MinInt64, so that it can be negated.
	num int64
	// denLess1 is the denominator less one: the zero value is then 0/1.
	denLess1 int64
	// large is set when the number does not fit, and never written to again.
	large *big.Rat
}

// Int returns n.
func Int(n int64) Num { return small(n, 1) }

// Ratio returns a/b. Like [big.NewRat] it panics when b is 0: it is meant for
// constants of a program; a divisor that comes from a text goes through Quo.
func Ratio(a, b int64) Num {
	if b == 0 {
		panic("unit: Ratio with denominator 0")
	}
	return small(a, b)
}

// FromRat returns the number r, which may be changed afterwards.
func FromRat(r *big.Rat) Num { return fromOwnRat(new(big.Rat).Set(r)) }

// Rat returns the number as a new [big.Rat].
func (x Num) Rat() *big.Rat { return new(big.Rat).Set(x.rat()) }

// Int64 returns the number when it is whole and fits an int64.
func (x Num) Int64() (n int64, ok bool) {
	if x.large != nil {
		// Only math.MinInt64 fits an int64 and is kept large.
		if x.large.IsInt() && x.large.Num().IsInt64() {
			return x.large.Num().Int64(), true
		}
		return 0, false
	}
	if x.denLess1 != 0 {
		return 0, false
	}
	return x.num, true
}

// Sign returns -1, 0 or 1.
func (x Num) Sign() int {
	if x.large != nil {
		return x.large.Sign()
	}
	return cmp.Compare(x.num, 0)
}

// Cmp returns -1 if x < y, 0 if they are equal and 1 if x > y.
func (x Num) Cmp(y Num) int {
	if x.large != nil || y.large != nil {
		return x.rat().Cmp(y.rat())
	}
	if x.denLess1 == y.denLess1 {
		return cmp.Compare(x.num, y.num)
	}
	sx, sy := cmp.Compare(x.num, 0), cmp.Compare(y.num, 0)
	if sx != sy {
		return cmp.Compare(sx, sy)
	}
	// Same sign: the products of 63 bits each fit 128.
	xHi, xLo := bits.Mul64(magnitude(x.num), y.den())
	yHi, yLo := bits.Mul64(magnitude(y.num), x.den())
	if c := cmp.Compare(xHi, yHi); c != 0 {
		return sx * c
	}
	return sx * cmp.Compare(xLo, yLo)
}

// Equal says whether x and y are the same number.
func (x Num) Equal(y Num) bool {
	if x.large != nil || y.large != nil {
		// Each number has one form, so a small one never equals a large one.
		return x.large != nil && y.large != nil && x.large.Cmp(y.large) == 0
	}
	return x.num == y.num && x.denLess1 == y.denLess1
}

// Less says whether x < y.
func (x Num) Less(y Num) bool { return x.Cmp(y) < 0 }

// Neg returns -x.
func (x Num) Neg() Num {
	if x.large != nil {
		return fromOwnRat(new(big.Rat).Neg(x.large))
	}
	x.num = -x.num
	return x
}

// Abs returns |x|.
func (x Num) Abs() Num {
	if x.Sign() < 0 {
		return x.Neg()
	}
	return x
}

// Add returns x+y.
func (x Num) Add(y Num) Num {
	if x.large == nil && y.large == nil {
		if r, ok := addSmall(x, y); ok {
			return r
		}
	}
	return fromOwnRat(new(big.Rat).Add(x.rat(), y.rat()))
}

// Sub returns x-y.
func (x Num) Sub(y Num) Num { return x.Add(y.Neg()) }

// Mul returns x*y.
func (x Num) Mul(y Num) Num {
	if x.large == nil && y.large == nil {
		if r, ok := mulSmall(x, y); ok {
			return r
		}
	}
	return fromOwnRat(new(big.Rat).Mul(x.rat(), y.rat()))
}

// Quo returns x/y; ok is false, and the result 0, when y is 0.
func (x Num) Quo(y Num) (q Num, ok bool) {
	if y.Sign() == 0 {
		return Num{}, false
	}
	if y.large != nil {
		return x.Mul(fromOwnRat(new(big.Rat).Inv(y.large))), true
	}
	inverse := Num{num: int64(y.den()), denLess1: int64(magnitude(y.num)) - 1}
	if y.num < 0 {
		inverse.num = -inverse.num
	}
	return x.Mul(inverse), true
}

// Float64 returns the float nearest to x; beyond the range of a float it is
// an infinity.
func (x Num) Float64() float64 {
	const exact = 1 << 53 // whole numbers up to here are floats
	if x.large == nil && magnitude(x.num) <= exact && x.den() <= exact {
		return float64(x.num) / float64(x.den()) // rounded once, hence nearest
	}
	f, _ := x.rat().Float64()
	return f
}

// den returns the denominator of a small number.
func (x Num) den() uint64 { return uint64(x.denLess1) + 1 }

// rat returns x as a Rat that must not be changed.
func (x Num) rat() *big.Rat {
	if x.large != nil {
		return x.large
	}
	return new(big.Rat).SetFrac64(x.num, x.denLess1+1)
}

// fromOwnRat takes r over and returns it in its one form.
func fromOwnRat(r *big.Rat) Num {
	n, d := r.Num(), r.Denom()
	if n.IsInt64() && d.IsInt64() && n.Int64() != math.MinInt64 {
		return Num{num: n.Int64(), denLess1: d.Int64() - 1}
	}
	return Num{large: r}
}

// small returns n/d in lowest terms for any n and any d but 0.
func small(n, d int64) Num {
	if n == math.MinInt64 || d == math.MinInt64 {
		return fromOwnRat(new(big.Rat).SetFrac(big.NewInt(n), big.NewInt(d)))
	}
	if d < 0 {
		n, d = -n, -d
	}
	g := int64(gcd(magnitude(n), uint64(d)))
	return Num{num: n / g, denLess1: d/g - 1}
}

// addSmall adds two small numbers; ok is false when a step does not fit.
func addSmall(x, y Num) (sum Num, ok bool) {
	if x.denLess1 == 0 && y.denLess1 == 0 {
		n, ok := addInt(x.num, y.num)
		return Num{num: n}, ok
	}
	xDen, yDen := x.denLess1+1, y.denLess1+1
	g := int64(gcd(uint64(xDen), uint64(yDen)))
	a, okA := mulInt(x.num, yDen/g)
	b, okB := mulInt(y.num, xDen/g)
	d, okD := mulInt(xDen, yDen/g)
	n, okN := addInt(a, b)
	if !okA || !okB || !okD || !okN {
		return Num{}, false
	}
	return small(n, d), true
}

// mulSmall multiplies two small numbers; ok is false when the result does not
// fit. Reducing crosswise first keeps the steps as small as the result.
func mulSmall(x, y Num) (product Num, ok bool) {
	xDen, yDen := x.denLess1+1, y.denLess1+1
	g := int64(gcd(magnitude(x.num), uint64(yDen)))
	h := int64(gcd(magnitude(y.num), uint64(xDen)))
	n, okN := mulInt(x.num/g, y.num/h)
	d, okD := mulInt(xDen/h, yDen/g)
	if !okN || !okD {
		return Num{}, false
	}
	return Num{num: n, denLess1: d - 1}, true
}

// addInt returns a+b; ok is false when it does not fit or is math.MinInt64.
func addInt(a, b int64) (sum int64, ok bool) {
	sum = a + b
	return sum, (sum > a) == (b > 0) && sum != math.MinInt64
}

// mulInt returns a*b; ok is false when it does not fit or is math.MinInt64.
func mulInt(a, b int64) (product int64, ok bool) {
	hi, lo := bits.Mul64(magnitude(a), magnitude(b))
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(lo), true
	}
	return int64(lo), true
}

// magnitude returns |n|.
func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// gcd returns the greatest common divisor by halving and subtracting; gcd(0, b)
// is b.
func gcd(a, b uint64) uint64 {
	if a == 0 {
		return b
	}
	if b == 0 {
		return a
	}
	if a == 1 || b == 1 {
		return 1
	}
	shift := bits.TrailingZeros64(a | b)
	a >>= bits.TrailingZeros64(a)
	for b != 0 {
		b >>= bits.TrailingZeros64(b)
		if a > b {
			a, b = b, a
		}
		b -= a
	}
	return a << shift
}

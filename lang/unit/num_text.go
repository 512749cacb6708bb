package unit

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
)

// Bounds of a written number. They are far beyond anything on a vehicle and
// only keep a hostile text from costing time and memory.
const (
	maxNumBytes    = 160 // of the whole text
	maxDigits      = 40  // from the first to the last digit that is not 0
	maxExponent    = 30  // as written after the e
	maxPlace       = 70  // power of ten of the first and of the last digit
	maxQuotedRunes = 24  // of a bad text that is repeated in its error
)

// ParseNum reads a decimal as written: digits, optionally with a leading '-', a
// point with digits on both sides, and an exponent such as e-3. No digit is
// lost. It refuses more than 40 significant digits and exponents beyond 30.
func ParseNum(s string) (Num, error) {
	d, err := scanDecimal(s)
	if err != nil {
		return Num{}, fmt.Errorf("%s is not a number that can be read: %w", quoted(s), err)
	}
	return d.num(s), nil
}

// decimal is a scanned number: the digits times ten to the power of scale.
type decimal struct {
	negative bool
	digits   uint64 // without trailing zeros; meaningless when wide
	wide     bool   // more digits than an int64 holds
	count    int    // digits from the first to the last that is not 0
	scale    int
}

// scanDecimal checks the form and the bounds of a written number.
func scanDecimal(s string) (decimal, error) {
	var d decimal
	if s == "" {
		return d, errors.New("there are no digits")
	}
	if len(s) > maxNumBytes {
		return d, fmt.Errorf("it is longer than %d characters", maxNumBytes)
	}
	i := 0
	if s[i] == '-' {
		d.negative = true
		i++
	}
	whole := d.take(s[i:])
	if whole == 0 {
		return d, errors.New("it has to begin with a digit, as in 0.5")
	}
	i += whole
	if i < len(s) && s[i] == '.' {
		fraction := d.take(s[i+1:])
		if fraction == 0 {
			return d, errors.New("a digit has to follow the point, as in 5.0")
		}
		d.scale -= fraction
		i += 1 + fraction
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		e, n, err := scanExponent(s[i+1:])
		if err != nil {
			return d, err
		}
		d.scale += e
		i += 1 + n
	}
	if i < len(s) {
		if s[i] == ',' {
			return d, errors.New("decimals are written with a point, as in 0.75")
		}
		return d, errors.New("after the digits stands something that is not part of a number")
	}
	if d.count > maxDigits {
		return d, fmt.Errorf("it has more than %d digits", maxDigits)
	}
	if d.count > 0 && (d.scale+d.count-1 > maxPlace || d.scale < -maxPlace) {
		return d, fmt.Errorf("it lies beyond ten to the power of %d", maxPlace)
	}
	return d, nil
}

// take reads the digits at the start of s into d and returns how many there
// are. Zeros are counted in scale until a later digit shows that they matter.
func (d *decimal) take(s string) int {
	i := 0
	for ; i < len(s) && '0' <= s[i] && s[i] <= '9'; i++ {
		digit := uint64(s[i] - '0')
		d.scale++
		if digit == 0 {
			continue
		}
		if d.count > 0 {
			d.count += d.scale
		} else {
			d.count = 1
		}
		for ; d.scale > 0; d.scale-- {
			if d.digits > math.MaxInt64/10 {
				d.wide = true
			}
			d.digits *= 10
		}
		if d.digits += digit; d.digits > math.MaxInt64 {
			d.wide = true
		}
	}
	return i
}

// scanExponent reads what follows the e and returns the length read.
func scanExponent(s string) (e, length int, err error) {
	i, negative := 0, false
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		negative = s[i] == '-'
		i++
	}
	start := i
	for ; i < len(s) && '0' <= s[i] && s[i] <= '9'; i++ {
		// Stop growing once too large, so that it can't overflow.
		e = min(e*10+int(s[i]-'0'), maxExponent+1)
	}
	switch {
	case i == start:
		return 0, 0, errors.New("a whole number has to follow the e, as in 1e-3")
	case e > maxExponent:
		return 0, 0, fmt.Errorf("its exponent lies beyond %d", maxExponent)
	case negative:
		e = -e
	}
	return e, i, nil
}

// num returns the number that was scanned from s.
func (d decimal) num(s string) Num {
	if d.count == 0 {
		return Num{}
	}
	if !d.wide {
		n := int64(d.digits)
		if d.negative {
			n = -n
		}
		if ten, ok := powerOfTen(max(d.scale, -d.scale)); ok {
			if d.scale < 0 {
				return small(n, ten)
			}
			if n, ok = mulInt(n, ten); ok {
				return Num{num: n}
			}
		}
	}
	// The form has been checked, so the wider syntax of SetString, with
	// fractions and prefixes, can't be met here.
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return Num{}
	}
	return fromOwnRat(r)
}

// powerOfTen returns 10^n where it fits an int64.
func powerOfTen(n int) (power int64, ok bool) {
	if n > 18 {
		return 0, false
	}
	power = 1
	for range n {
		power *= 10
	}
	return power, true
}

// quoted repeats a bad text in an error, shortened when it is long.
func quoted(s string) string {
	runes := 0
	for i := range s {
		if runes == maxQuotedRunes {
			return strconv.Quote(s[:i] + "…")
		}
		runes++
	}
	return strconv.Quote(s)
}

// String writes x as the shortest decimal that is exactly x, without an
// exponent; a number without such a decimal (1/3) is rounded to 6 significant
// digits.
func (x Num) String() string {
	if n, ok := x.Int64(); ok {
		return strconv.FormatInt(n, 10)
	}
	r := x.rat()
	if places, exact := r.FloatPrec(); exact {
		return r.FloatString(places)
	}
	f := x.Float64()
	if f == 0 || math.IsInf(f, 0) {
		return r.RatString() // beyond the floats: the fraction itself
	}
	return strconv.FormatFloat(roundTo(f, 6), 'f', -1, 64)
}

// Key returns a text that is the same for equal numbers and different for
// different ones, for use as a map key. It is not meant to be read or sorted.
func (x Num) Key() string {
	if x.large != nil {
		return x.large.RatString()
	}
	b := strconv.AppendInt(make([]byte, 0, 40), x.num, 10)
	if x.denLess1 != 0 {
		b = append(b, '/')
		b = strconv.AppendUint(b, x.den(), 10)
	}
	return string(b)
}

// roundTo returns f rounded to so many significant decimal digits.
func roundTo(f float64, digits int) float64 {
	// What FormatFloat writes always parses; an infinity stays one.
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(f, 'e', digits-1, 64), 64)
	if err != nil {
		return f
	}
	return rounded
}

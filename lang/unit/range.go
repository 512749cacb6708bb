package unit

import "fmt"

// Range is a span from Lo to Hi, both included: "700 to 1400 rpm".
type Range struct{ Lo, Hi Value }

// NewRange joins two values of one dimension, the lower first.
func NewRange(lo, hi Value) (Range, error) {
	c, err := lo.Cmp(hi)
	if err != nil {
		return Range{}, err
	}
	if c > 0 {
		return Range{}, fmt.Errorf("%s lies above %s: a range begins with its lower end", lo, hi)
	}
	return Range{Lo: lo, Hi: hi}, nil
}

// Dim returns the dimension of both ends.
func (r Range) Dim() Dim { return r.Lo.Dim() }

// Contains says whether v lies in the range, ends included.
func (r Range) Contains(v Value) (bool, error) {
	lo, err := r.Lo.Cmp(v)
	if err != nil {
		return false, err
	}
	hi, err := v.Cmp(r.Hi)
	return lo <= 0 && hi <= 0, err
}

// String writes the unit once where both ends share it, except for AWG, which
// every size carries.
func (r Range) String() string {
	if r.Lo.Unit == r.Hi.Unit && !r.Lo.Unit.IsAWG() {
		return r.Lo.Written.String() + " to " + r.Hi.String()
	}
	return r.Lo.String() + " to " + r.Hi.String()
}

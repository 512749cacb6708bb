// Package interval cuts the range of a quantity into the pieces between which a design
// can tell a difference, and holds partitions into bands against it.
//
// The pieces, called regions, are the points that the design compares the quantity with
// and the open stretches between them, in rising order. Every comparison with one of
// these points is true or false throughout a region, so that "sets at 4200 rpm" (at
// 4200 or above) and "clears below 3900 rpm" are exact at their edges. All arithmetic is
// exact; nothing here ever is a float.
package interval

import (
	"errors"
	"fmt"
	"slices"

	"pintle/lang/unit"
)

// ErrRange is wrapped by the errors about ranges that are none.
var ErrRange = errors.New("interval: not a range")

// Axis is a quantity's range [lo, hi], both ends included, cut at its critical points.
// It is immutable.
type Axis struct {
	lo, hi unit.Value
	points []unit.Value // distinct, rising, within the range
	first  bool         // the range begins at a critical point
	last   bool         // the range ends at a critical point
}

// Region is one piece of an Axis. A point has Lo = Hi. A stretch contains neither of its
// ends, unless they are those of the whole range.
type Region struct {
	Lo, Hi     unit.Value
	LoIn, HiIn bool // whether the region contains its ends
}

// IsPoint reports whether the region is a single value.
func (r Region) IsPoint() bool { return r.LoIn && r.HiIn && r.Lo.N.Equal(r.Hi.N) }

// NewAxis cuts the range from lo to hi at the given points. Points outside the range
// cut nothing; of equal ones, written in different units, the first counts. The error
// wraps ErrRange, or is a *unit.MismatchError for points of another dimension.
func NewAxis(lo, hi unit.Value, points ...unit.Value) (*Axis, error) {
	order, err := lo.Cmp(hi)
	if err != nil {
		return nil, err
	}
	if order > 0 {
		return nil, fmt.Errorf("%w: %v lies above %v", ErrRange, lo, hi)
	}
	a := &Axis{lo: lo, hi: hi}
	for _, p := range points {
		if _, err := p.Cmp(lo); err != nil {
			return nil, err
		}
		if !p.N.Less(lo.N) && !hi.N.Less(p.N) {
			a.points = append(a.points, p)
		}
	}
	slices.SortStableFunc(a.points, func(p, q unit.Value) int { return p.N.Cmp(q.N) })
	a.points = slices.CompactFunc(a.points, func(p, q unit.Value) bool { return p.N.Equal(q.N) })
	if lo.N.Equal(hi.N) {
		a.points = []unit.Value{lo}
	}
	if n := len(a.points); n > 0 {
		a.first, a.last = a.points[0].N.Equal(lo.N), a.points[n-1].N.Equal(hi.N)
	}
	return a, nil
}

// Lo is the lower end of the range.
func (a *Axis) Lo() unit.Value { return a.lo }

// Hi is the upper end of the range.
func (a *Axis) Hi() unit.Value { return a.hi }

// Points are the critical points, rising. The slice must not be changed.
func (a *Axis) Points() []unit.Value { return a.points }

// Len counts the regions.
func (a *Axis) Len() int {
	n := 2*len(a.points) + 1
	if a.first {
		n--
	}
	if a.last {
		n--
	}
	return n
}

// position turns a region's number into its place among point 0 = the stretch below the
// first point, 1 = the first point, and so on.
func (a *Axis) position(i int) int {
	if a.first {
		return i + 1
	}
	return i
}

// Region returns the i-th region, counted from the lower end. Numbers outside 0..Len()-1
// give the nearest one.
func (a *Axis) Region(i int) Region {
	at := a.position(min(max(i, 0), a.Len()-1))
	if at%2 == 1 {
		p := a.points[at/2]
		return Region{Lo: p, Hi: p, LoIn: true, HiIn: true}
	}
	r := Region{Lo: a.lo, Hi: a.hi, LoIn: true, HiIn: true}
	if at > 0 {
		r.Lo, r.LoIn = a.points[at/2-1], false
	}
	if at/2 < len(a.points) {
		r.Hi, r.HiIn = a.points[at/2], false
	}
	return r
}

// At returns the region that holds n, a number in the base unit; false outside the
// range.
func (a *Axis) At(n unit.Num) (int, bool) {
	if n.Less(a.lo.N) || a.hi.N.Less(n) {
		return 0, false
	}
	i, exact := slices.BinarySearchFunc(a.points, n, func(p unit.Value, n unit.Num) int { return p.N.Cmp(n) })
	at := 2 * i
	if exact {
		at++
	}
	if a.first {
		at--
	}
	return at, true
}

// Value returns a value that lies in the i-th region: the point, or the exact middle of
// the stretch. It is written in the unit of the range.
func (a *Axis) Value(i int) unit.Value {
	r := a.Region(i)
	if r.IsPoint() {
		return r.Lo
	}
	return unit.FromBase(r.Lo.N.Add(r.Hi.N).Mul(unit.Ratio(1, 2)), a.lo.Unit)
}

// Width returns how wide the i-th region is, in the base unit; 0 for a point.
func (a *Axis) Width(i int) unit.Num {
	r := a.Region(i)
	return r.Hi.N.Sub(r.Lo.N)
}

// Span is an unbroken run of regions, from First to Last, both included. It is empty
// when Last < First.
type Span struct{ First, Last int }

// Empty reports whether there is nothing in the span.
func (s Span) Empty() bool { return s.Last < s.First }

// split returns the last region that lies wholly below n and the first that lies wholly
// above it. ok is false if n cuts a region in two, so that a comparison with it is not
// the same throughout that region.
func (a *Axis) split(n unit.Num) (below, above int, ok bool) {
	switch {
	case n.Less(a.lo.N):
		return -1, 0, true
	case a.hi.N.Less(n):
		return a.Len() - 1, a.Len(), true
	}
	at, _ := a.At(n)
	return at - 1, at + 1, a.Region(at).IsPoint()
}

// Below returns the regions below v. This and the following three are false where v lies
// inside the range but is not a critical point.
func (a *Axis) Below(v unit.Value) (Span, bool) {
	below, _, ok := a.split(v.N)
	return Span{0, below}, ok
}

// AtMost returns the regions at or below v.
func (a *Axis) AtMost(v unit.Value) (Span, bool) {
	_, above, ok := a.split(v.N)
	return Span{0, above - 1}, ok
}

// Above returns the regions above v.
func (a *Axis) Above(v unit.Value) (Span, bool) {
	_, above, ok := a.split(v.N)
	return Span{above, a.Len() - 1}, ok
}

// AtLeast returns the regions at or above v.
func (a *Axis) AtLeast(v unit.Value) (Span, bool) {
	below, _, ok := a.split(v.N)
	return Span{below + 1, a.Len() - 1}, ok
}

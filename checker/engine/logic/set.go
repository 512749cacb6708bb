package logic

import (
	"iter"
	"math/bits"
	"strconv"
	"strings"
)

// MaxSize is the largest domain that a variable can have: a quantity that is
// compared with 127 different points has 255 regions.
const MaxSize = 256

const setWords = MaxSize / 64

// Set is a set of values 0..MaxSize-1 of one variable. It is comparable and
// the zero Set is empty.
type Set struct{ w [setWords]uint64 }

// SetOf returns the set of the given values. Values outside 0..MaxSize-1 are
// not members of any domain and are left out.
func SetOf(values ...int) Set {
	var s Set
	for _, v := range values {
		if v >= 0 && v < MaxSize {
			s.w[v/64] |= 1 << (v % 64)
		}
	}
	return s
}

// Range returns the values from lo to hi, both included.
func Range(lo, hi int) Set {
	var s Set
	lo, hi = max(lo, 0), min(hi, MaxSize-1)
	for i := range s.w {
		// The part of the range that lies in this word, as bits from..to-1 of it.
		from, to := max(lo-64*i, 0), min(hi+1-64*i, 64)
		if from < to {
			s.w[i] = ^uint64(0) << from & (^uint64(0) >> (64 - to))
		}
	}
	return s
}

// Full returns the whole domain of a variable with size values.
func Full(size int) Set { return Range(0, size-1) }

// Has reports whether v is a member.
func (s Set) Has(v int) bool {
	return v >= 0 && v < MaxSize && s.w[v/64]>>(v%64)&1 == 1
}

// IsEmpty reports whether there is no member.
func (s Set) IsEmpty() bool { return s == Set{} }

// Len counts the members.
func (s Set) Len() int {
	n := 0
	for _, w := range s.w {
		n += bits.OnesCount64(w)
	}
	return n
}

// Union returns the values in s or t.
func (s Set) Union(t Set) Set {
	for i := range s.w {
		s.w[i] |= t.w[i]
	}
	return s
}

// Intersect returns the values in s and t.
func (s Set) Intersect(t Set) Set {
	for i := range s.w {
		s.w[i] &= t.w[i]
	}
	return s
}

// Minus returns the values in s but not in t.
func (s Set) Minus(t Set) Set {
	for i := range s.w {
		s.w[i] &^= t.w[i]
	}
	return s
}

// SubsetOf reports whether every member of s is one of t.
func (s Set) SubsetOf(t Set) bool { return s.Minus(t).IsEmpty() }

// Min returns the least member, or -1 for the empty set.
func (s Set) Min() int {
	for i, w := range s.w {
		if w != 0 {
			return i*64 + bits.TrailingZeros64(w)
		}
	}
	return -1
}

// Max returns the greatest member, or -1 for the empty set.
func (s Set) Max() int {
	for i := setWords - 1; i >= 0; i-- {
		if s.w[i] != 0 {
			return i*64 + 63 - bits.LeadingZeros64(s.w[i])
		}
	}
	return -1
}

// All yields the members in rising order.
func (s Set) All() iter.Seq[int] {
	return func(yield func(int) bool) {
		for i, w := range s.w {
			for ; w != 0; w &= w - 1 {
				if !yield(i*64 + bits.TrailingZeros64(w)) {
					return
				}
			}
		}
	}
}

// Runs counts the unbroken stretches of s: 1 for an interval.
func (s Set) Runs() int {
	n, last := 0, -2
	for v := range s.All() {
		if v != last+1 {
			n++
		}
		last = v
	}
	return n
}

// String writes the set as {0 3..5 9}, for messages to developers.
func (s Set) String() string {
	var b strings.Builder
	b.WriteByte('{')
	for lo := s.Min(); lo >= 0; {
		hi := lo
		for s.Has(hi + 1) {
			hi++
		}
		if b.Len() > 1 {
			b.WriteByte(' ')
		}
		b.WriteString(strconv.Itoa(lo))
		if hi > lo {
			b.WriteString("..")
			b.WriteString(strconv.Itoa(hi))
		}
		s = s.Minus(Range(lo, hi))
		lo = s.Min()
	}
	b.WriteByte('}')
	return b.String()
}

package dc

import "slices"

// Bits is a set of small non-negative numbers, here of closed switches. Words
// past the end count as empty, so nil is the empty set.
type Bits []uint64

// BitsOf returns the set of the given members. Negative members are left out.
func BitsOf(members ...int) Bits {
	var b Bits
	for _, m := range members {
		b = b.With(m)
	}
	return b
}

// Has reports whether member i is in the set.
func (b Bits) Has(i int) bool {
	return i >= 0 && i>>6 < len(b) && b[i>>6]>>(i&63)&1 != 0
}

// With returns the set with member i added; the receiver is not changed.
func (b Bits) With(i int) Bits {
	if i < 0 {
		return b
	}
	out := make(Bits, max(len(b), i>>6+1))
	copy(out, b)
	out[i>>6] |= 1 << (i & 63)
	return out
}

// Without returns the set with member i removed; the receiver is not changed.
func (b Bits) Without(i int) Bits {
	out := slices.Clone(b)
	if i >= 0 && i>>6 < len(out) {
		out[i>>6] &^= 1 << (i & 63)
	}
	return out
}

// within reports whether every member is smaller than n.
func (b Bits) within(n int) bool {
	for w, word := range b {
		switch first := w << 6; {
		case word == 0 || first+64 <= n:
		case first >= n || word>>(n-first) != 0:
			return false
		}
	}
	return true
}

package interval

import (
	"cmp"
	"slices"

	"pintle/lang/unit"
)

// Band is a stretch as a partition states it: from Lo (included) up to Hi (not included,
// unless it is the end of the range).
type Band struct{ Lo, Hi unit.Value }

// Stretch is what the band covers of a range that ends at hi.
func (b Band) Stretch(hi unit.Value) Stretch {
	return Stretch{Lo: b.Lo, LoIn: true, Hi: b.Hi, HiIn: b.Hi.N.Equal(hi.N)}
}

// Overlap is a stretch that two bands claim. One < Other: indices in the order given.
type Overlap struct {
	One, Other int
	Stretch
}

// Beyond is the part of a band that lies outside the range.
type Beyond struct {
	Band int
	Stretch
}

// Coverage is how bands partition a range.
type Coverage struct {
	Gaps     []Stretch // rising
	Overlaps []Overlap // by One, then Other
	Outside  []Beyond  // by band, the lower part first
	Inverted []int     // bands whose lower end lies above the upper one
	Empty    []int     // bands whose ends are the same
}

// Cover holds bands against the range from lo to hi, both included. Inverted and empty
// bands cover nothing and overlap nothing: they have a defect of their own. The error
// is a *unit.MismatchError, or wraps ErrRange if the range itself is none.
func Cover(lo, hi unit.Value, bands []Band) (Coverage, error) {
	var c Coverage
	if _, err := NewAxis(lo, hi); err != nil {
		return c, err
	}
	type claim struct {
		index int
		Stretch
	}
	var claims []claim
	for i, b := range bands {
		for _, v := range []unit.Value{b.Lo, b.Hi} {
			if _, err := v.Cmp(lo); err != nil {
				return Coverage{}, err
			}
		}
		switch b.Lo.N.Cmp(b.Hi.N) {
		case 1:
			c.Inverted = append(c.Inverted, i)
			continue
		case 0:
			c.Empty = append(c.Empty, i)
			continue
		}
		s := b.Stretch(hi)
		if s.Lo.N.Less(lo.N) {
			below := Stretch{Lo: s.Lo, LoIn: true, Hi: lo}
			if s.Hi.N.Less(lo.N) {
				below.Hi = s.Hi
			}
			c.Outside = append(c.Outside, Beyond{i, below})
			s.Lo = lo
		}
		if hi.N.Less(s.Hi.N) {
			above := Stretch{Lo: hi, Hi: s.Hi}
			if hi.N.Less(s.Lo.N) {
				above.Lo, above.LoIn = s.Lo, true
			}
			c.Outside = append(c.Outside, Beyond{i, above})
			s.Hi, s.HiIn = hi, true
		}
		if !s.empty() {
			claims = append(claims, claim{i, s})
		}
	}
	for i, a := range claims {
		for _, b := range claims[i+1:] {
			if s := intersect(a.Stretch, b.Stretch); !s.empty() {
				c.Overlaps = append(c.Overlaps, Overlap{One: a.index, Other: b.index, Stretch: s})
			}
		}
	}
	slices.SortStableFunc(claims, func(a, b claim) int {
		return cmp.Or(a.Lo.N.Cmp(b.Lo.N), a.Hi.N.Cmp(b.Hi.N))
	})
	from := Stretch{Lo: lo, LoIn: true} // what is not covered yet begins here
	for _, k := range claims {
		gap := Stretch{Lo: from.Lo, LoIn: from.LoIn, Hi: k.Lo}
		if !gap.empty() {
			c.Gaps = append(c.Gaps, gap)
		}
		if past := k.Hi.N.Cmp(from.Lo.N); past > 0 || past == 0 && k.HiIn {
			from.Lo, from.LoIn = k.Hi, !k.HiIn
		}
	}
	if rest := (Stretch{Lo: from.Lo, LoIn: from.LoIn, Hi: hi, HiIn: true}); !rest.empty() {
		c.Gaps = append(c.Gaps, rest)
	}
	return c, nil
}

func intersect(a, b Stretch) Stretch {
	s := a
	switch b.Lo.N.Cmp(a.Lo.N) {
	case 1:
		s.Lo, s.LoIn = b.Lo, b.LoIn
	case 0:
		s.LoIn = a.LoIn && b.LoIn
	}
	switch b.Hi.N.Cmp(a.Hi.N) {
	case -1:
		s.Hi, s.HiIn = b.Hi, b.HiIn
	case 0:
		s.HiIn = a.HiIn && b.HiIn
	}
	return s
}

package interval

import (
	"fmt"
	"slices"
	"strings"

	"pintle/lang/unit"
)

// Stretch is an unbroken part of a range, with or without its ends.
type Stretch struct {
	Lo, Hi     unit.Value
	LoIn, HiIn bool
}

// IsPoint reports whether the stretch is a single value.
func (s Stretch) IsPoint() bool { return s.LoIn && s.HiIn && s.Lo.N.Equal(s.Hi.N) }

// empty reports whether no value lies in it.
func (s Stretch) empty() bool {
	switch s.Lo.N.Cmp(s.Hi.N) {
	case 1:
		return true
	case 0:
		return !s.LoIn || !s.HiIn
	}
	return false
}

// Contains reports whether n, in the base unit, lies in it.
func (s Stretch) Contains(n unit.Num) bool {
	low, high := n.Cmp(s.Lo.N), n.Cmp(s.Hi.N)
	return (low > 0 || low == 0 && s.LoIn) && (high < 0 || high == 0 && s.HiIn)
}

// Key is the stretch exactly, in the base unit, to tell it from others.
func (s Stretch) Key() string {
	return fmt.Sprintf("%v %t to %v %t", s.Lo.N, s.LoIn, s.Hi.N, s.HiIn)
}

// String writes the stretch as a band is written, "1450 to 1700 rpm": the lower end
// belongs to it. An open lower end is said: "1450 to 1700 rpm, without 1450 rpm".
func (s Stretch) String() string {
	if s.IsPoint() {
		return "exactly " + s.Lo.String()
	}
	both := unit.Range{Lo: s.Lo, Hi: s.Hi}.String()
	switch {
	case s.LoIn:
		// As a band is written: its upper end belongs to the next one, or to the range.
		return both
	case s.HiIn:
		return both + ", without " + s.Lo.String()
	}
	return both + ", without either end"
}

// Stretches joins neighbouring regions of a set into stretches, in rising order.
func (a *Axis) Stretches(regions []int) []Stretch {
	var out []Stretch
	for _, s := range runs(regions, a.Len()) {
		lo, hi := a.Region(s.First), a.Region(s.Last)
		out = append(out, Stretch{Lo: lo.Lo, LoIn: lo.LoIn, Hi: hi.Hi, HiIn: hi.HiIn})
	}
	return out
}

// runs sorts a set of regions into unbroken runs.
func runs(regions []int, n int) []Span {
	rs := slices.Clone(regions)
	slices.Sort(rs)
	var out []Span
	for _, r := range slices.Compact(rs) {
		if r < 0 || r >= n {
			continue
		}
		if k := len(out) - 1; k >= 0 && out[k].Last == r-1 {
			out[k].Last = r
		} else {
			out = append(out, Span{r, r})
		}
	}
	return out
}

// Text writes a set of regions as one says it of the quantity: "above 2500 rpm",
// "above 2500 rpm up to and including 4000 rpm", "below 10 V or at least 14 V".
func (a *Axis) Text(regions []int) string {
	var parts []string
	for _, s := range runs(regions, a.Len()) {
		parts = append(parts, a.spanText(s))
	}
	if parts == nil {
		return "nowhere"
	}
	return strings.Join(parts, " or ")
}

func (a *Axis) spanText(s Span) string {
	lo, hi := a.Region(s.First), a.Region(s.Last)
	atLo, atHi := s.First == 0, s.Last == a.Len()-1
	switch {
	case atLo && atHi:
		return "anywhere"
	case s.First == s.Last && lo.IsPoint():
		return "exactly " + lo.Lo.String()
	case atLo && hi.HiIn:
		return "at most " + hi.Hi.String()
	case atLo:
		return "below " + hi.Hi.String()
	case atHi && lo.LoIn:
		return "at least " + lo.Lo.String()
	case atHi:
		return "above " + lo.Lo.String()
	case lo.LoIn && hi.HiIn:
		return "from " + lo.Lo.String() + " up to and including " + hi.Hi.String()
	case lo.LoIn:
		return "between " + lo.Lo.String() + " and " + hi.Hi.String()
	case hi.HiIn:
		return "above " + lo.Lo.String() + " up to and including " + hi.Hi.String()
	}
	return "above " + lo.Lo.String() + " and below " + hi.Hi.String()
}

// Condition writes a set of regions as a condition of the language on the quantity of
// the given name. alone reports whether it is a single term, which needs no parentheses
// beside an `and`.
func (a *Axis) Condition(name string, regions []int) (text string, alone bool) {
	spans := runs(regions, a.Len())
	if len(spans) == 0 {
		return "not always", true
	}
	var parts []string
	for _, s := range spans {
		t, single := a.spanCondition(name, s)
		if !single && len(spans) > 1 {
			t = "(" + t + ")"
		}
		alone = single
		parts = append(parts, t)
	}
	return strings.Join(parts, " or "), alone && len(parts) == 1
}

func (a *Axis) spanCondition(name string, s Span) (string, bool) {
	lo, hi := a.Region(s.First), a.Region(s.Last)
	var terms []string
	if s.First > 0 {
		word := " above "
		if lo.LoIn {
			word = " at least "
		}
		terms = append(terms, name+word+lo.Lo.String())
	}
	if s.Last < a.Len()-1 {
		word := " below "
		if hi.HiIn {
			word = " at most "
		}
		terms = append(terms, name+word+hi.Hi.String())
	}
	switch {
	case len(terms) == 0:
		return "always", true
	case len(terms) == 2 && lo.LoIn && !hi.HiIn:
		return name + " between " + lo.Lo.String() + " and " + hi.Hi.String(), true
	}
	return strings.Join(terms, " and "), len(terms) == 1
}

package interval_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/interval"
	"pintle/lang/unit"
)

func bands(t require.TestingT, ends ...string) []interval.Band {
	var out []interval.Band
	for i := 0; i+1 < len(ends); i += 2 {
		out = append(out, interval.Band{Lo: rpm(t, ends[i]), Hi: rpm(t, ends[i+1])})
	}
	return out
}

func cover(t require.TestingT, lo, hi string, ends ...string) interval.Coverage {
	c, err := interval.Cover(rpm(t, lo), rpm(t, hi), bands(t, ends...))
	require.NoError(t, err)
	return c
}

// Overrun cut-off and idle control as the trade has them (common practice, no source):
// idle control is in charge from 750 to 1300 rpm, fuel is cut from 1600 rpm to the red
// line at 7000 rpm. Writing only these two leaves the stretch between unnamed.
func TestTheUnnamedStretch(t *testing.T) {
	c := cover(t, "750", "7000", "750", "1300", "1600", "7000")
	require.Len(t, c.Gaps, 1)
	assert.Equal(t, "1300 to 1600 rpm", c.Gaps[0].String())
	assert.Empty(t, c.Overlaps)
	assert.Equal(t, interval.Coverage{}, cover(t, "750", "7000", "750", "1300", "1300", "1600", "1600", "7000"))
}

func TestDefects(t *testing.T) {
	c := cover(t, "0", "7000", "0", "3900", "3800", "7000")
	require.Len(t, c.Overlaps, 1)
	assert.Equal(t, "3800 to 3900 rpm", c.Overlaps[0].String())
	assert.Equal(t, [2]int{0, 1}, [2]int{c.Overlaps[0].One, c.Overlaps[0].Other})

	c = cover(t, "0", "7000", "0", "4000", "4000", "8000")
	require.Len(t, c.Outside, 1)
	assert.Equal(t, "7000 to 8000 rpm, without either end", c.Outside[0].String())
	assert.Empty(t, c.Gaps)

	c = cover(t, "100", "7000", "0", "50", "100", "7000")
	require.Len(t, c.Outside, 1)
	assert.Equal(t, "0 to 50 rpm", c.Outside[0].String())
	assert.Empty(t, c.Gaps)

	c = cover(t, "0", "7000", "4000", "0", "5", "5")
	assert.Equal(t, []int{0}, c.Inverted)
	assert.Equal(t, []int{1}, c.Empty)
	require.Len(t, c.Gaps, 1, "they cover nothing")
	assert.Equal(t, "0 to 7000 rpm", c.Gaps[0].String())

	// The end of the range is covered by the band that ends there, and by no other.
	c = cover(t, "0", "7000", "0", "6999")
	require.Len(t, c.Gaps, 1)
	assert.True(t, c.Gaps[0].HiIn)

	_, err := interval.Cover(rpm(t, "0"), rpm(t, "7000"), []interval.Band{{Lo: value(t, "1", "V"), Hi: rpm(t, "5")}})
	assert.Error(t, err)
}

// An overlap across units: 1 bar is 100 kPa exactly (definition of the bar).
func TestOverlapAcrossUnits(t *testing.T) {
	lo, hi := value(t, "0", "kPa"), value(t, "500", "kPa")
	c, err := interval.Cover(lo, hi, []interval.Band{{Lo: lo, Hi: value(t, "1", "bar")}, {Lo: value(t, "100", "kPa"), Hi: hi}})
	require.NoError(t, err)
	assert.Equal(t, interval.Coverage{}, c)
}

// Cover against asking every interesting number by itself.
func TestCoverAgainstPoints(t *testing.T) {
	u, _ := unit.Lookup("rpm")
	at := func(n int64) unit.Value { return unit.New(unit.Int(n), u) }
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Int64Range(0, 4).Draw(t, "lo")
		hi := rapid.Int64Range(lo, 10).Draw(t, "hi")
		var bs []interval.Band
		for range rapid.IntRange(0, 5).Draw(t, "bands") {
			bs = append(bs, interval.Band{Lo: at(rapid.Int64Range(-1, 11).Draw(t, "from")), Hi: at(rapid.Int64Range(-1, 11).Draw(t, "to"))})
		}
		c, err := interval.Cover(at(lo), at(hi), bs)
		require.NoError(t, err)
		for half := int64(-4); half <= 26; half++ { // every whole and half number
			n := unit.Ratio(half, 2)
			inside := !n.Less(unit.Int(lo)) && !unit.Int(hi).Less(n)
			var who []int
			for i, b := range bs {
				if b.Lo.N.Less(b.Hi.N) && !n.Less(b.Lo.N) && (n.Less(b.Hi.N) || n.Equal(b.Hi.N) && b.Hi.N.Equal(unit.Int(hi))) {
					who = append(who, i)
				}
			}
			gap := false
			for _, g := range c.Gaps {
				gap = gap || g.Contains(n)
			}
			require.Equal(t, inside && who == nil, gap, "gap at %v", n)
			pairs := 0
			for _, o := range c.Overlaps {
				if o.Contains(n) {
					require.Contains(t, who, o.One)
					require.Contains(t, who, o.Other)
					pairs++
				}
			}
			if inside {
				require.Equal(t, len(who)*(len(who)-1)/2, pairs, "overlaps at %v", n)
			}
			out := map[int]bool{}
			for _, o := range c.Outside {
				if o.Contains(n) {
					out[o.Band] = true
				}
			}
			if !inside {
				require.Len(t, out, len(who), "outside at %v", n)
			} else {
				require.Empty(t, out)
			}
		}
		for i := 1; i < len(c.Gaps); i++ {
			require.True(t, c.Gaps[i-1].Hi.N.Less(c.Gaps[i].Lo.N) || c.Gaps[i-1].Hi.N.Equal(c.Gaps[i].Lo.N))
		}
	})
}

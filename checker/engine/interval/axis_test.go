package interval_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/checker/engine/interval"
	"pintle/lang/unit"
)

func value(t require.TestingT, number, word string) unit.Value {
	n, err := unit.ParseNum(number)
	require.NoError(t, err)
	u, ok := unit.Lookup(word)
	require.True(t, ok, word)
	return unit.New(n, u)
}

func rpm(t require.TestingT, number string) unit.Value { return value(t, number, "rpm") }

func axis(t require.TestingT, lo, hi string, points ...string) *interval.Axis {
	var ps []unit.Value
	for _, p := range points {
		ps = append(ps, rpm(t, p))
	}
	a, err := interval.NewAxis(rpm(t, lo), rpm(t, hi), ps...)
	require.NoError(t, err)
	return a
}

func all(s interval.Span) []int {
	out := []int{}
	for i := s.First; i <= s.Last; i++ {
		out = append(out, i)
	}
	return out
}

func TestRegions(t *testing.T) {
	for _, c := range []struct {
		name   string
		points []string
		want   int
	}{
		{"no point", nil, 1},
		{"one inside", []string{"4200"}, 3},
		{"at the lower end", []string{"0"}, 2},
		{"at the upper end", []string{"7000"}, 2},
		{"both ends and between", []string{"0", "7000", "3900"}, 5},
		{"outside cuts nothing", []string{"7000.0001", "-1"}, 1},
		{"twice the same", []string{"3900", "3900.0"}, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, axis(t, "0", "7000", c.points...).Len())
		})
	}
	one, err := interval.NewAxis(rpm(t, "5"), rpm(t, "5"))
	require.NoError(t, err)
	assert.Equal(t, 1, one.Len())
	assert.True(t, one.Region(0).IsPoint())
	_, err = interval.NewAxis(rpm(t, "6"), rpm(t, "5"))
	assert.ErrorIs(t, err, interval.ErrRange)
	_, err = interval.NewAxis(rpm(t, "0"), value(t, "5", "V"))
	assert.Error(t, err)
	_, err = interval.NewAxis(rpm(t, "0"), rpm(t, "5"), value(t, "5", "V"))
	assert.Error(t, err)
}

// A point is reached from both sides, and belongs to "at least" and "at most" alone.
func TestComparisonsAtTheEdge(t *testing.T) {
	a := axis(t, "0", "7000", "3900", "4200")
	for _, c := range []struct {
		name string
		cmp  func(unit.Value) (interval.Span, bool)
		at   string
		want []int
	}{
		{"below 4200", a.Below, "4200", []int{0, 1, 2}},
		{"at most 4200", a.AtMost, "4200", []int{0, 1, 2, 3}},
		{"above 4200", a.Above, "4200", []int{4}},
		{"at least 4200", a.AtLeast, "4200", []int{3, 4}},
		{"below the range", a.Below, "-1", []int{}},
		{"at most the range's end", a.AtMost, "7000.5", []int{0, 1, 2, 3, 4}},
		{"above the range", a.Above, "7001", []int{}},
		{"at least less than the range", a.AtLeast, "-5", []int{0, 1, 2, 3, 4}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, ok := c.cmp(rpm(t, c.at))
			require.True(t, ok)
			assert.Equal(t, c.want, all(s))
		})
	}
	_, ok := a.Below(rpm(t, "4000"))
	assert.False(t, ok, "4000 cuts a region in two")
	_, ok = a.AtLeast(rpm(t, "0"))
	assert.False(t, ok, "the end of the range is no critical point of its own")
}

func TestUnitsMeet(t *testing.T) {
	// 68 degF is 20 degC exactly (by definition of the scale).
	a, err := interval.NewAxis(value(t, "-40", "degC"), value(t, "120", "degC"), value(t, "68", "degF"), value(t, "20", "degC"))
	require.NoError(t, err)
	assert.Equal(t, 3, a.Len())
	assert.Equal(t, "68 degF", a.Points()[0].String(), "the first spelling counts")
}

func TestText(t *testing.T) {
	a := axis(t, "0", "7000", "2500", "4000")
	for _, c := range []struct {
		regions []int
		text    string
		cond    string
		alone   bool
	}{
		{[]int{0, 1, 2, 3, 4}, "anywhere", "always", true},
		{nil, "nowhere", "not always", true},
		{[]int{1}, "exactly 2500 rpm", "n at least 2500 rpm and n at most 2500 rpm", false},
		{[]int{0}, "below 2500 rpm", "n below 2500 rpm", true},
		{[]int{0, 1}, "at most 2500 rpm", "n at most 2500 rpm", true},
		{[]int{4}, "above 4000 rpm", "n above 4000 rpm", true},
		{[]int{4, 3}, "at least 4000 rpm", "n at least 4000 rpm", true},
		{[]int{2, 3}, "above 2500 rpm up to and including 4000 rpm", "n above 2500 rpm and n at most 4000 rpm", false},
		{[]int{1, 2}, "between 2500 rpm and 4000 rpm", "n between 2500 rpm and 4000 rpm", true},
		{[]int{2}, "above 2500 rpm and below 4000 rpm", "n above 2500 rpm and n below 4000 rpm", false},
		{[]int{1, 2, 3}, "from 2500 rpm up to and including 4000 rpm", "n at least 2500 rpm and n at most 4000 rpm", false},
		{[]int{0, 4}, "below 2500 rpm or above 4000 rpm", "n below 2500 rpm or n above 4000 rpm", false},
	} {
		assert.Equal(t, c.text, a.Text(c.regions))
		text, alone := a.Condition("n", c.regions)
		assert.Equal(t, c.cond, text)
		assert.Equal(t, c.alone, alone, text)
	}
}

// number draws small numbers with small denominators, so that they often meet.
func number(t *rapid.T, name string) unit.Num {
	return unit.Ratio(rapid.Int64Range(-12, 12).Draw(t, name), rapid.Int64Range(1, 3).Draw(t, name+" over"))
}

func TestEveryValueHasOneRegion(t *testing.T) {
	u, _ := unit.Lookup("rpm")
	rapid.Check(t, func(t *rapid.T) {
		x, y := number(t, "x"), number(t, "y")
		if y.Less(x) {
			x, y = y, x
		}
		var points []unit.Value
		for range rapid.IntRange(0, 5).Draw(t, "points") {
			points = append(points, unit.New(number(t, "p"), u))
		}
		a, err := interval.NewAxis(unit.New(x, u), unit.New(y, u), points...)
		require.NoError(t, err)
		// Regions follow one another without gap or overlap.
		for i := range a.Len() {
			r := a.Region(i)
			if i == 0 {
				require.True(t, r.LoIn && r.Lo.N.Equal(x))
			} else {
				before := a.Region(i - 1)
				require.True(t, before.Hi.N.Equal(r.Lo.N) && before.HiIn != r.LoIn)
			}
			at, inside := a.At(a.Value(i).N)
			require.True(t, inside)
			require.Equal(t, i, at, "a value of a region lies in it")
			require.Equal(t, r.IsPoint(), a.Width(i).Sign() == 0)
		}
		last := a.Region(a.Len() - 1)
		require.True(t, last.HiIn && last.Hi.N.Equal(y))
		// Comparisons with critical points agree with comparing values.
		v := number(t, "v")
		at, inside := a.At(v)
		require.Equal(t, !v.Less(x) && !y.Less(v), inside)
		for _, p := range points {
			for order, cmp := range map[string]func(unit.Value) (interval.Span, bool){
				"below": a.Below, "at most": a.AtMost, "above": a.Above, "at least": a.AtLeast,
			} {
				s, ok := cmp(p)
				require.True(t, ok)
				if !inside {
					continue
				}
				c := v.Cmp(p.N)
				want := map[string]bool{"below": c < 0, "at most": c <= 0, "above": c > 0, "at least": c >= 0}[order]
				require.Equal(t, want, s.First <= at && at <= s.Last, "%v %s %v", v, order, p)
			}
		}
	})
}

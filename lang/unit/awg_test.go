package unit

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Cross-sections of ASTM B258 in mm2, from published tables (seen second-hand)
// with as many digits as those print. 36 and 4/0 are the two sizes that define
// the series, with diameters of 0.0050 and 0.4600 in.
func TestAWGAreas(t *testing.T) {
	for size, area := range map[string]string{
		"24": "0.2047", "22": "0.3255", "20": "0.5176", "18": "0.8230", "16": "1.3087", "14": "2.0809",
		"12": "3.3088", "10": "5.2612", "8": "8.3656", "6": "13.302", "4": "21.151", "2": "33.631",
		"0": "53.475", "1/0": "53.475",
	} {
		n, err := ParseAWG(size)
		require.NoError(t, err)
		_, fraction, _ := strings.Cut(area, ".")
		got := New(n, unitOf(t, "AWG"))
		assert.Equal(t, Area, got.Dim())
		// Both are rounded, so they may lie half a last digit of each apart.
		published := num(t, area)
		half := Ratio(1, 2).Mul(num(t, "1e-"+strconv.Itoa(len(fraction)))).Add(published.Mul(num(t, "5e-5")))
		assert.LessOrEqual(t, got.N.Sub(published).Abs().Cmp(half), 0, "%s AWG is %s", size, got.N)
	}
	for number, inches := range map[int64]float64{36: 0.005, -3: 0.46} {
		want := math.Pi / 4 * math.Pow(inches*25.4, 2)
		got := New(Int(number), unitOf(t, "AWG")).Float64()
		assert.InEpsilon(t, want, got, 5e-5, "five significant digits")
	}
}

// Each step is the same ratio, 92^(2/39) in area, which no rounding may hide.
func TestAWGStepsAreEqual(t *testing.T) {
	require.Len(t, awgAreas(), 44)
	for i, a := range awgAreas()[1:] {
		q, ok := awgAreas()[i].Quo(a)
		require.True(t, ok)
		assert.InEpsilon(t, math.Pow(92, 2.0/39), q.Float64(), 1e-4)
	}
}

func TestParseAWG(t *testing.T) {
	for size, want := range map[string]string{
		"18": "18 AWG", "40": "40 AWG", "0": "0 AWG", "1/0": "0 AWG", "00": "2/0 AWG", "2/0": "2/0 AWG",
		"000": "3/0 AWG", "3/0": "3/0 AWG", "0000": "4/0 AWG", "4/0": "4/0 AWG",
	} {
		n, err := ParseAWG(size)
		require.NoError(t, err, size)
		v := New(n, unitOf(t, "AWG"))
		assert.Equal(t, want, v.String())
		again, err := v.In(v.Unit)
		require.NoError(t, err)
		assert.True(t, again.Equal(n), "the nearest gauge to a gauge is itself")
	}
	for _, size := range []string{"", "-1", "41", "018", "0/0", "5/0", "2/1", "/0", "+2/0", "00000", "18.5", "1e1",
		"99999999999999999999", strings.Repeat("0", 1_000_000)} {
		_, err := ParseAWG(size)
		require.Error(t, err, size)
		assert.Less(t, len(err.Error()), 250)
	}
}

func TestNearestAWG(t *testing.T) {
	for area, want := range map[string]int64{
		"0.75": 18, "1": 17, "1.5": 15, "2.5": 13, "0.35": 22, "500": -3, "0.0001": 40, "0": 40, "-1": 40,
	} {
		got, err := value(t, area+" mm2").In(unitOf(t, "AWG"))
		require.NoError(t, err)
		assert.True(t, got.Equal(Int(want)), "%s mm2 is nearest to %s AWG", area, got)
	}
}

func TestNoSuchGauge(t *testing.T) {
	v := New(Int(99), unitOf(t, "AWG"))
	assert.Zero(t, v.N.Sign())
	assert.Equal(t, "99 AWG", v.String())
	assert.Error(t, v.Unit.Check(v.Written))
}

package unit

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		n    float64
		d    Dim
		want string
	}{
		{0.0034, Current, "3.4 mA"},
		{1_200_000, Resistance, "1.2 Mohm"},
		{0.25, Time, "250 ms"},
		{12.6, Voltage, "12.6 V"},
		{11.94372, Voltage, "11.94 V"},
		{-0.7, Voltage, "-700 mV"},
		{0, Voltage, "0 V"},
		{math.Copysign(0, -1), Voltage, "0 V"},
		{3e-16, Voltage, "0 V"},
		{-3e-16, Voltage, "0 V"},
		{4.2e-7, Current, "0.42 uA"},
		{0.99996, Current, "1 A"},
		{999.96, Resistance, "1 kohm"},
		{999.94, Resistance, "999.9 ohm"},
		{0.008, Resistance, "8 mohm"},
		{0.0004, Resistance, "0.4 mohm"},
		{12_345, RotationalSpeed, "12345 rpm"},
		{3999.6, RotationalSpeed, "4000 rpm"},
		{0.5, RotationalSpeed, "0.5 rpm"},
		{1234, Power, "1.234 kW"},
		{90, Time, "90 s"},
		{900, Time, "15 min"},
		{360_000, Time, "100 h"},
		{0.0000021, Time, "2.1 us"},
		{0.4, Length, "400 mm"},
		{0.823, Area, "0.823 mm2"},
		{-17.5, Temperature, "-17.5 degC"},
		{30, GaugePressure, "30 kPa gauge"},
		{130.25, AbsolutePressure, "130.2 kPa absolute"},
		{33.33333, Percentage, "33.33 %"},
		{60, AmpereTurns, "60 At"},
		{2.0 / 3, None, "0.6667"},
		{1.5e-8, None, "1.5e-08"},
		{1e12, None, "1e+12"},
		{math.Inf(1), Resistance, "infinite ohm"},
		{math.Inf(-1), Voltage, "-infinite V"},
		{math.NaN(), Current, "undefined A"},
		{5, Dim(200), "5"},
	} {
		assert.Equal(t, c.want, Format(c.n, c.d), "%g %s", c.n, c.d)
	}
}

// Whatever is printed, read back, is within the digits shown of what was
// given, in a unit of the right dimension.
func TestFormatIsNearTheValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(Dims()).Draw(t, "dimension")
		n := math.Pow(10, rapid.Float64Range(-12, 12).Draw(t, "magnitude"))
		if rapid.Bool().Draw(t, "negative") {
			n = -n
		}
		text := Format(n, d)
		require.Equal(t, text, Format(n, d))
		number, word, _ := strings.Cut(text, " ")
		u := unitOf(t, word)
		require.Equal(t, d, u.Dim)
		x, err := ParseNum(number)
		require.NoError(t, err, text)
		got := New(x, u).Float64()
		if got == 0 {
			smallest := 1.0
			for _, s := range d.steps() {
				smallest = unitOf(t, s.unit).Factor().Float64()
			}
			require.Less(t, math.Abs(n), residue*smallest*1.001)
			return
		}
		// Rounded twice, to four digits each time.
		require.InEpsilon(t, n, got, 1.1e-3, text)
		require.Less(t, len(number), 13)
	})
}

func TestLadders(t *testing.T) {
	for d, steps := range ladders {
		for i, s := range steps {
			assert.Equal(t, Dim(d), unitOf(t, s.unit).Dim)
			if i > 0 {
				assert.Less(t, s.from, steps[i-1].from, "from large to small")
			}
		}
		if len(steps) > 0 {
			assert.Zero(t, steps[len(steps)-1].from, "the last takes everything")
		}
	}
}

func TestFormatBeside(t *testing.T) {
	for _, c := range []struct {
		n, other float64
		want     string
	}{
		{11.9952, 12, "11.995 V"}, {12, 12, "12 V"}, {12.000000001, 12, "12.000000001 V"}, {11.5, 12, "11.5 V"}, {0.00001, 0, "10 uV"},
	} {
		assert.Equal(t, c.want, FormatBeside(c.n, c.other, Voltage), "%g beside %g", c.n, c.other)
	}
}

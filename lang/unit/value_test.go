package unit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestPointsAndDifferences(t *testing.T) {
	f, c := unitOf(t, "degF"), unitOf(t, "degC")
	assert.True(t, New(Int(68), f).N.Equal(Int(20)))
	assert.True(t, NewDifference(Int(9), f).N.Equal(Int(5)))
	assert.True(t, NewDifference(Int(5), c).N.Equal(Int(5)))

	got, err := NewDifference(Int(5), c).In(f)
	require.NoError(t, err)
	assert.True(t, got.Equal(Int(9)))

	_, err = New(Int(5), c).Cmp(NewDifference(Int(5), c))
	var wrong *MismatchError
	require.ErrorAs(t, err, &wrong)
	assert.Contains(t, err.Error(), "difference between two temperatures")

	// Where the zero is not arbitrary the two are one.
	rpm := unitOf(t, "rpm")
	order, err := New(Int(30), rpm).Cmp(NewDifference(Int(30), rpm))
	require.NoError(t, err)
	assert.Zero(t, order)
}

func TestMismatchSaysWhy(t *testing.T) {
	for _, c := range []struct{ a, b, why string }{
		{"12 V", "3000 rpm", "one is a voltage, the other a rotational speed"},
		{"10 %", "0.1", "one is a percentage, the other a bare number"},
		{"30 kPa gauge", "130 kPa absolute", "air pressure between them is not known"},
		{"1 bar absolute", "0 psi gauge", "air pressure between them is not known"},
		{"30 kPa", "30 kPa gauge", "say it after the unit"},
		{"30 kPa absolute", "30 kPa", "say it after the unit"},
		{"30 kPa", "1 V", "one is a pressure difference, the other a voltage"},
	} {
		a, b := value(t, c.a), value(t, c.b)
		_, err := a.Cmp(b)
		var wrong *MismatchError
		require.ErrorAs(t, err, &wrong)
		assert.Equal(t, c.a, wrong.Left)
		assert.Equal(t, c.b, wrong.Right)
		assert.Contains(t, wrong.Why, c.why)
		_, err = a.In(b.Unit)
		assert.ErrorAs(t, err, &wrong)
		_, err = a.From(b)
		assert.ErrorAs(t, err, &wrong)
	}
}

func TestValueString(t *testing.T) {
	for _, c := range []struct{ number, word, want string }{
		{"85", "Ω", "85 ohm"},
		{"0.750", "mm²", "0.75 mm2"},
		{"68", "°F", "68 degF"},
		{"100", "µs", "100 us"},
		{"4", "", "4"},
		{"10", "percent", "10 %"},
		{"30", "kPa gauge", "30 kPa gauge"},
		{"-1", "AWG", "2/0 AWG"},
		{"18", "AWG", "18 AWG"},
	} {
		assert.Equal(t, c.want, New(num(t, c.number), unitOf(t, c.word)).String())
	}
	assert.Equal(t, "0", Value{}.String())
	assert.Equal(t, "20 degC", FromBase(Int(20), unitOf(t, "degC")).String())
	assert.Equal(t, "68 degF", FromBase(Int(20), unitOf(t, "degF")).String())
	assert.Equal(t, "9 degF", DifferenceFromBase(Int(5), unitOf(t, "degF")).String())
}

func TestShifting(t *testing.T) {
	f, c := unitOf(t, "degF"), unitOf(t, "degC")
	up, err := New(Int(68), f).Add(NewDifference(Int(5), c))
	require.NoError(t, err)
	assert.Equal(t, "77 degF", up.String())
	down, err := New(Int(68), f).Sub(NewDifference(Int(5), c))
	require.NoError(t, err)
	assert.Equal(t, "59 degF", down.String())
	between, err := up.From(down)
	require.NoError(t, err)
	assert.Equal(t, "18 degF", between.String())
	assert.True(t, between.Difference)
	twice, err := between.Add(between)
	require.NoError(t, err)
	assert.Equal(t, "36 degF", twice.String())
	_, err = up.Add(down)
	assert.ErrorContains(t, err, "two temperatures can't be added")

	kPa := unitOf(t, "kPa")
	gauge, err := value(t, "1 bar gauge").Add(NewDifference(Int(5), kPa.AsGauge()))
	require.NoError(t, err)
	assert.Equal(t, "1.05 bar gauge", gauge.String())
	_, err = gauge.Add(gauge)
	assert.Error(t, err, "two points of a gauge can't be added")
	apart, err := gauge.From(value(t, "100 kPa gauge"))
	require.NoError(t, err)
	assert.Equal(t, "0.05 bar", apart.String())
	assert.Equal(t, Pressure, apart.Dim())
}

func TestConversionThereAndBack(t *testing.T) {
	units := AllUnits()
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(units).Filter(func(u Unit) bool { return !u.IsAWG() }).Draw(t, "unit")
		w := rapid.SampledFrom(Units(u.Dim)).Filter(func(u Unit) bool { return !u.IsAWG() }).Draw(t, "other unit")
		n := FromRat(anyNum().Draw(t, "n"))
		for _, v := range []Value{New(n, u), NewDifference(n, u)} {
			other, err := v.In(w)
			require.NoError(t, err)
			back := New(other, w)
			if v.Difference {
				back = NewDifference(other, w)
			}
			require.True(t, v.N.Equal(back.N))
			home, err := back.In(u)
			require.NoError(t, err)
			require.True(t, home.Equal(n))
		}
		require.True(t, FromBase(New(n, u).N, u).Written.Equal(n))
	})
}

func TestRange(t *testing.T) {
	for _, c := range []struct{ lo, hi, want string }{
		{"700 rpm", "1400 rpm", "700 to 1400 rpm"},
		{"900 mV", "1.1 V", "900 mV to 1.1 V"},
		{"20 AWG", "18 AWG", "20 AWG to 18 AWG"}, // a size carries its word
	} {
		assert.Equal(t, c.want, Range{Lo: value(t, c.lo), Hi: value(t, c.hi)}.String())
	}
}

func TestTolerance(t *testing.T) {
	percent := func(n int64) Tolerance {
		tol, err := PercentTolerance(Int(n))
		require.NoError(t, err)
		return tol
	}
	absolute := func(n, word string) Tolerance {
		tol, err := AbsoluteTolerance(num(t, n), unitOf(t, word))
		require.NoError(t, err)
		return tol
	}
	for _, c := range []struct {
		v             string
		tol           Tolerance
		text          string
		least, utmost string
	}{
		{"85 ohm", percent(10), "85 ohm +-10 %", "76.5 ohm", "93.5 ohm"},
		{"85 ohm", absolute("5", "Ω"), "85 ohm +-5 ohm", "80 ohm", "90 ohm"},
		{"1 kohm", absolute("50", "ohm"), "1 kohm +-50 ohm", "0.95 kohm", "1.05 kohm"},
		{"-12 V", percent(50), "-12 V +-50 %", "-18 V", "-6 V"},
		{"68 degF", absolute("5", "degC"), "68 degF +-5 degC", "59 degF", "77 degF"},
		{"20 degC", absolute("9", "degF"), "20 degC +-9 degF", "15 degC", "25 degC"},
		{"30 kPa gauge", absolute("20", "mbar"), "30 kPa gauge +-20 mbar", "28 kPa gauge", "32 kPa gauge"},
		{"18 AWG", percent(100), "18 AWG +-100 %", "0 mm2", "1.6461 mm2"},
		{"5 V", percent(0), "5 V +-0 %", "5 V", "5 V"},
	} {
		got, err := WithTolerance(value(t, c.v), c.tol)
		require.NoError(t, err)
		assert.Equal(t, c.text, got.String())
		assert.Equal(t, c.least, got.Min().String())
		assert.Equal(t, c.utmost, got.Max().String())
	}

	exact := Exact(value(t, "18 AWG"))
	assert.Equal(t, "18 AWG", exact.String())
	assert.Equal(t, exact.Value, exact.Min())
	assert.Equal(t, exact.Value, exact.Max())

	for _, n := range []int64{-1, 101} {
		_, err := PercentTolerance(Int(n))
		assert.ErrorContains(t, err, "between 0 and 100")
	}
	_, err := AbsoluteTolerance(Int(-5), unitOf(t, "ohm"))
	assert.ErrorContains(t, err, "without a sign")
	_, err = AbsoluteTolerance(Int(1), unitOf(t, "AWG"))
	assert.ErrorContains(t, err, "mm2")
	_, err = WithTolerance(value(t, "20 degC"), percent(10))
	assert.ErrorContains(t, err, "arbitrary")
	_, err = WithTolerance(value(t, "85 ohm"), absolute("5", "V"))
	assert.ErrorContains(t, err, "a resistance")
}

func TestToleranceSurroundsTheValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(AllUnits()).Filter(func(u Unit) bool { return !u.IsAWG() }).Draw(t, "unit")
		v := New(FromRat(anyNum().Draw(t, "value")), u)
		tol, err := AbsoluteTolerance(FromRat(anyNum().Draw(t, "tolerance")).Abs(), u)
		require.NoError(t, err)
		got, err := WithTolerance(v, tol)
		require.NoError(t, err)
		require.True(t, got.N.Sub(got.Min().N).Equal(tol.N))
		require.True(t, got.Max().N.Sub(got.N).Equal(tol.N))
	})
}

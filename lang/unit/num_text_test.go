package unit

import (
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseNum(t *testing.T) {
	for _, c := range []struct{ text, want, written string }{
		{"0", "0", "0"},
		{"-0", "0", "0"},
		{"0.75", "3/4", "0.75"},
		{"12.60", "63/5", "12.6"},
		{"007", "7", "7"},
		{"100.5", "201/2", "100.5"},
		{"-4200", "-4200", "-4200"},
		{"1e-3", "1/1000", "0.001"},
		{"1.5E+3", "1500", "1500"},
		{"0e30", "0", "0"},
		{"0.000", "0", "0"},
		{"1e30", "1000000000000000000000000000000", "1000000000000000000000000000000"},
		{"9223372036854775807", "9223372036854775807", "9223372036854775807"},
		{"9223372036854775808", "9223372036854775808", "9223372036854775808"},
		{"-9223372036854775808", "-9223372036854775808", "-9223372036854775808"},
		{"92233720368547758070", "92233720368547758070", "92233720368547758070"},
		{"0.1234567890123456789012345678901234567891", "1234567890123456789012345678901234567891/10000000000000000000000000000000000000000",
			"0.1234567890123456789012345678901234567891"},
	} {
		got, err := ParseNum(c.text)
		require.NoError(t, err, c.text)
		want, ok := new(big.Rat).SetString(c.want)
		require.True(t, ok)
		requireSame(t, want, got, c.text)
		assert.Equal(t, c.written, got.String())
	}
}

func TestParseNumRefuses(t *testing.T) {
	for _, c := range []struct{ text, because string }{
		{"", "no digits"},
		{"-", "begin with a digit"},
		{"+5", "begin with a digit"},
		{".5", "begin with a digit"},
		{"5.", "follow the point"},
		{"0,75", "written with a point"},
		{"1/2", "not part of a number"},
		{"0x10", "not part of a number"},
		{"1_000", "not part of a number"},
		{"1.2.3", "not part of a number"},
		{"Inf", "begin with a digit"},
		{"NaN", "begin with a digit"},
		{"1e", "follow the e"},
		{"1e+", "follow the e"},
		{"1e31", "exponent lies beyond 30"},
		{"1e-31", "exponent lies beyond 30"},
		{"1e99999999999999999999", "exponent lies beyond 30"},
		{"12345678901234567890123456789012345678901", "more than 40 digits"},
		{"1" + strings.Repeat("0", 71), "ten to the power of 70"},
		{"1" + strings.Repeat("0", 60) + "e20", "ten to the power of 70"},
		{"0." + strings.Repeat("0", 70) + "1", "ten to the power of 70"},
		{strings.Repeat("9", 1_000_000), "longer than 160"},
		{"\u0665", "begin with a digit"},
	} {
		_, err := ParseNum(c.text)
		require.Error(t, err, c.text)
		assert.Contains(t, err.Error(), c.because)
		assert.Less(t, len(err.Error()), 250, "the error must not repeat a long text")
	}
}

func TestParseNumEqualsBigRat(t *testing.T) {
	form := rapid.StringMatching(`-?[0-9]{1,25}(\.[0-9]{1,25})?([eE][+-]?[0-9]{1,2})?`)
	rapid.Check(t, func(t *rapid.T) {
		s := form.Draw(t, "text")
		got, err := ParseNum(s)
		if err != nil {
			return // beyond the bounds, which have their own test
		}
		want, ok := new(big.Rat).SetString(s)
		require.True(t, ok)
		requireSame(t, want, got, s)
	})
}

func TestPrintedNumbersReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64().Draw(t, "n")
		places := rapid.IntRange(0, 30).Draw(t, "places")
		ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
		x := FromRat(new(big.Rat).SetFrac(big.NewInt(n), ten))
		back, err := ParseNum(x.String())
		require.NoError(t, err)
		require.True(t, x.Equal(back), "%s", x)
	})
}

func TestNumStringWithoutExactDecimal(t *testing.T) {
	for want, x := range map[string]Num{
		"0.333333":   Ratio(1, 3),
		"-0.666667":  Ratio(-2, 3),
		"1234570":    Ratio(3_703_703, 3).Add(Ratio(1, 3)).Add(Ratio(1, 7)),
		"0.00142857": Ratio(1, 700),
	} {
		assert.Equal(t, want, x.String())
	}
	assert.Equal(t, "0.015625", Ratio(1, 64).String(), "a finite decimal is not rounded")
	assert.Equal(t, "0.0000152587890625", Ratio(1, 65_536).String())

	// Beyond every float there is still an answer.
	huge := new(big.Rat).SetFrac(new(big.Int).Lsh(big.NewInt(1), 2000), big.NewInt(3))
	assert.Equal(t, huge.RatString(), FromRat(huge).String())
}

func FuzzParseNum(f *testing.F) {
	for _, s := range []string{"0.75", "1e-3", "-9223372036854775808", "1e", "0,5", "1e999999999",
		"12345678901234567890123456789012345678901", "0.000000000000000000000000000001e-30"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		x, err := ParseNum(s)
		if err != nil {
			return
		}
		requireOneForm(t, x)
		want, ok := new(big.Rat).SetString(s)
		require.True(t, ok, "%q was read but is not a decimal", s)
		requireSame(t, want, x, s)
		back, err := ParseNum(x.String())
		require.NoError(t, err, "%q is written %q, which can't be read", s, x)
		require.True(t, x.Equal(back))
	})
}

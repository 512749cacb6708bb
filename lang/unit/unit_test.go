package unit

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func num(t require.TestingT, s string) Num {
	x, err := ParseNum(s)
	require.NoError(t, err)
	return x
}

func unitOf(t require.TestingT, word string) Unit {
	u, ok := Lookup(word)
	require.True(t, ok, "no unit %q", word)
	return u
}

// value reads "68 degF", the unit being everything after the first blank.
func value(t require.TestingT, text string) Value {
	n, word, _ := strings.Cut(text, " ")
	return New(num(t, n), unitOf(t, word))
}

// Conversions that hold exactly by definition. Sources, all from memory: NIST SP
// 811 appendix B.8/B.9 for factors in bold there (exact), the international yard
// and pound agreement of 1959, the fixed points of the Fahrenheit scale.
func TestExactConversions(t *testing.T) {
	for _, c := range [][2]string{
		{"32 degF", "0 degC"},
		{"212 degF", "100 degC"},
		{"-40 degF", "-40 degC"},
		{"68 degF", "20 degC"},
		{"273.15 K", "0 degC"},
		{"0 K", "-459.67 degF"},
		{"300 K", "80.33 degF"},
		{"1 mph", "1.609344 km/h"},
		{"1 mph", "0.44704 m/s"},
		{"1 m/s", "3.6 km/h"},
		{"1 in", "25.4 mm"},
		{"1 ft", "12 in"},
		{"2.54 cm", "1 in"},
		{"1 km", "1000 m"},
		{"1 atm", "101.325 kPa"},
		{"1 atm", "1013.25 mbar"},
		{"1 bar", "100000 Pa"},
		{"1 hPa", "1 mbar"},
		{"1 MPa", "10 bar"},
		{"1 rps", "60 rpm"},
		{"1 h", "60 min"},
		{"1 min", "60 s"},
		{"250 ms", "250000 us"},
		{"12.6 V", "12600 mV"},
		{"1 kV", "1000000000 uV"},
		{"1 A", "1000000 uA"},
		{"1.2 Mohm", "1200 kohm"},
		{"8 mohm", "0.008 ohm"},
		{"1 kW", "1000000 mW"},
		{"1 PS", "735.49875 W"},
		{"1 hp", "745.69987158227022 W"},
		{"1 lb", "453.59237 g"},
		{"1 gn", "9.80665 m/s2"},
		{"1 lbft", "1.3558179483314004 Nm"},
		{"3.6 kg/h", "1 g/s"},
		{"1 L/min", "60 L/h"},
		{"1 L/min", "1000 mL/min"},
		{"1 L", "1000 mL"},
		{"1 kHz", "1000 Hz"},
		{"60 Ah", "60000 mAh"},
		{"-5 psi gauge", "-5 psi gauge"},
		{"1 atm absolute", "1.01325 bar absolute"},
	} {
		a, b := value(t, c[0]), value(t, c[1])
		order, err := a.Cmp(b)
		require.NoError(t, err)
		assert.Zero(t, order, "%s against %s: %s and %s in the base unit", a, b, a.N, b.N)
		there, err := a.In(b.Unit)
		require.NoError(t, err)
		assert.True(t, there.Equal(b.Written), "%s is %s %s", a, there, b.Unit)
	}
}

// Published factors that are rounded: ours has to agree in every printed digit.
// NIST SP 811 appendix B.9, from memory; the pressures also agree with any
// handbook of physics.
func TestRoundedConversions(t *testing.T) {
	for _, c := range []struct{ from, to, digits string }{
		{"1 psi", "kPa", "6.894757"},
		{"1 psi", "kPa", "6.894757293168361"},
		{"1 atm", "psi", "14.6959"},
		{"1 atm", "inHg", "29.921"},
		{"1 atm", "mmHg", "760.00"},
		{"1 inHg", "kPa", "3.386389"},
		{"1 mmHg", "kPa", "0.1333224"},
		{"1 inHg", "mmHg", "25.40000"},
		{"1 bar", "psi", "14.50377"},
		{"1 hp", "W", "745.6999"},
		{"1 lbft", "Nm", "1.355818"},
		{"1 km/h", "mph", "0.6213712"},
	} {
		got, err := value(t, c.from).In(unitOf(t, c.to))
		require.NoError(t, err)
		_, fraction, _ := strings.Cut(c.digits, ".")
		assert.Equal(t, c.digits, got.Rat().FloatString(len(fraction)), "%s in %s", c.from, c.to)
	}
}

func TestLookupReadsEverySpelling(t *testing.T) {
	for symbol, spellings := range map[string][]string{
		"ohm":   {"ohm", "Ω", "\u03a9", "\u2126"},
		"mohm":  {"mohm", "mΩ", "m\u2126"},
		"kohm":  {"kohm", "kΩ", "k\u2126"},
		"Mohm":  {"Mohm", "MΩ", "M\u2126"},
		"us":    {"us", "\u00b5s", "\u03bcs"},
		"uA":    {"uA", "\u00b5A", "\u03bcA"},
		"mm2":   {"mm2", "mm²"},
		"degC":  {"degC", "°C"},
		"degF":  {"degF", "°F"},
		"deg":   {"deg", "°"},
		"%":     {"%", "percent"},
		"km/h":  {"km/h", "kph"},
		"rpm":   {"rpm", "r/min"},
		"turns": {"turns", "turn"},
		"mL":    {"mL", "cc"},
	} {
		for _, s := range spellings {
			u, ok := Lookup(s)
			assert.True(t, ok && u.Symbol == symbol, "%q should be %s, is %q", s, symbol, u.Symbol)
		}
	}
	for _, s := range []string{"V", "mV", "kV", "A", "mA", "W", "kW", "s", "ms", "min", "h", "m", "mm", "cm",
		"in", "ft", "AWG", "K", "kPa", "bar", "mbar", "psi", "inHg", "mmHg", "Pa", "MPa", "mph", "m/s", "At",
		"Hz", "L", "Nm", "g/s", "kPa gauge", "kPa absolute"} {
		u, ok := Lookup(s)
		assert.True(t, ok, s)
		assert.Equal(t, s, u.Symbol)
	}
	for _, s := range []string{"RPM", "v", "Ohm", "volts", "KPA", "psig", "gauge", " V", "V "} {
		_, ok := Lookup(s)
		assert.False(t, ok, "%q", s)
	}
	bare, ok := Lookup("")
	assert.True(t, ok)
	assert.Equal(t, Unit{}, bare)
}

// The table is consistent: no word stands for two units, dimensions are in
// order, the base unit comes first and converts by 1.
func TestTable(t *testing.T) {
	require.Less(t, len(table), 256, "ids are bytes")
	read := map[string]string{}
	for _, u := range AllUnits() {
		for _, w := range u.Spellings() {
			assert.Empty(t, read[w], "%q stands for %s and %s", w, read[w], u)
			read[w] = u.Symbol
			found, ok := Lookup(w)
			assert.True(t, ok && found == u, w)
		}
		assert.NotEmpty(t, u.Doc(), u.Symbol)
		assert.NotContains(t, u.Doc(), "\n")
		assert.Positive(t, u.Factor().Sign(), u.Symbol)
	}
	meant := map[string]string{}
	for _, e := range table[1:] {
		for _, w := range e.meant {
			assert.Empty(t, read[w], "%q is read as %s, so it can't be a hint at %s", w, read[w], e.symbol)
			assert.Empty(t, meant[w], "%q hints at %s and %s", w, meant[w], e.symbol)
			meant[w] = e.symbol
		}
	}
	assert.True(t, slices.IsSortedFunc(AllUnits(), func(a, b Unit) int { return int(a.Dim) - int(b.Dim) }))
	var together []Unit
	for _, d := range Dims() {
		together = append(together, Units(d)...)
		if d == None {
			assert.Empty(t, Units(d))
			continue
		}
		require.NotEmpty(t, Units(d), d)
		base := Units(d)[0]
		assert.Equal(t, d.Base(), base)
		assert.True(t, base.Factor().Equal(Int(1)) && base.Offset().Equal(Num{}), base.Symbol)
	}
	assert.Equal(t, AllUnits(), together)
}

func TestDimTexts(t *testing.T) {
	names := map[string]bool{}
	for _, d := range Dims() {
		assert.NotEmpty(t, d.String())
		assert.False(t, names[d.String()], "%s twice", d)
		names[d.String()] = true
		assert.Contains(t, d.Phrase(), d.String())
		example := value(t, d.Example())
		assert.Equal(t, d, example.Dim(), d.Example())
		assert.Equal(t, d.Example(), example.String())
		assert.NoError(t, example.Unit.Check(example.Written))
	}
	assert.Equal(t, "bare number", Dim(200).String(), "an invalid dimension must not panic")
	assert.Equal(t, Unit{}, Dim(200).Base())
}

func TestPressureForms(t *testing.T) {
	for _, u := range Units(Pressure) {
		assert.Equal(t, u.Symbol+" gauge", u.AsGauge().Symbol)
		assert.Equal(t, u.Symbol+" absolute", u.AsAbsolute().Symbol)
		assert.Equal(t, GaugePressure, u.AsGauge().Dim)
		assert.Equal(t, AbsolutePressure, u.AsAbsolute().Dim)
		for _, form := range []Unit{u, u.AsGauge(), u.AsAbsolute()} {
			assert.Equal(t, u, form.AsDifference())
			assert.Equal(t, u.AsGauge(), form.AsGauge())
			assert.Equal(t, u.AsAbsolute(), form.AsAbsolute())
			assert.True(t, u.Factor().Equal(form.Factor()))
		}
	}
	v := unitOf(t, "V")
	assert.Equal(t, v, v.AsGauge())
	assert.Equal(t, v, v.AsAbsolute())
	assert.Equal(t, v, v.AsDifference())
	assert.Equal(t, Unit{}, Unit{}.AsGauge())
}

func TestCheck(t *testing.T) {
	for text, because := range map[string]string{
		"-273.15 degC":     "",
		"-273.16 degC":     "below absolute zero",
		"-459.67 degF":     "",
		"-460 degF":        "below absolute zero",
		"-1 K":             "below absolute zero",
		"0 kPa absolute":   "",
		"-1 mbar absolute": "perfect vacuum",
		"-60 kPa gauge":    "",
		"-12 V":            "",
		"18 AWG":           "",
		"-3 AWG":           "",
		"-4 AWG":           "no wire",
		"41 AWG":           "no wire",
		"18.5 AWG":         "no wire",
		"7":                "",
	} {
		v := value(t, text)
		err := v.Unit.Check(v.Written)
		if because == "" {
			assert.NoError(t, err, text)
		} else {
			assert.ErrorContains(t, err, because, text)
		}
	}
}

func TestSuggest(t *testing.T) {
	for word, want := range map[string]string{
		"RPM": "rpm", "Rpm": "rpm", "rmp": "rpm", "rpn": "rpm", "revs": "rpm",
		"Ohm": "ohm", "OHM": "ohm", "ohms": "ohm", "Ohms": "ohm", "kOhm": "kohm", "MOhm": "Mohm", "mOhm": "mohm", "MOHM": "Mohm",
		"v": "V", "volts": "V", "Volt": "V", "volst": "V", "vlots": "V", "KV": "kV",
		"amp": "A", "amps": "A", "Amperes": "A", "a": "A", "milliamp": "mA", "ma": "mA",
		"sec": "s", "seconds": "s", "S": "s", "msec": "ms", "mins": "min", "hours": "h", "M": "m",
		"kpa": "kPa", "KPa": "kPa", "PSI": "psi", "psig": "psi gauge", "psia": "psi absolute", "barg": "bar gauge",
		"inhg": "inHg", "Bar": "bar", "bars": "bar",
		"C": "degC", "celsius": "degC", "Celcius": "degC", "degc": "degC", "F": "degF", "farenheit": "degF", "kelvin": "K",
		"kmh": "km/h", "KM/H": "km/h", "MPH": "mph", "mpg": "mph",
		"watt": "W", "watts": "W", "KW": "kW", "hz": "Hz", "awg": "AWG", "ga": "AWG", "mm^2": "mm2", "MM2": "mm2", "sqmm": "mm2",
		"litres": "L", "nm": "Nm", "ft-lb": "lbft", "pct": "%", "degrees": "deg", "inches": "in", "ampere-turns": "At",
		"V": "V", "Ω": "ohm",
	} {
		u, ok := Suggest(word)
		assert.True(t, ok, "nothing for %q", word)
		assert.Equal(t, want, u.Symbol, "for %q", word)
	}
	for _, word := range []string{"", "to", "q", "xy", "and", "relay", "engine_speed", "energised",
		strings.Repeat("v", 1_000_000), "\xff\xfe", "日本語"} {
		u, ok := Suggest(word)
		assert.False(t, ok, "%q suggests %q", word, u.Symbol)
	}
}

// Every hint leads to its unit, and so does a unit in capitals unless another
// differs only by case.
func TestSuggestFindsEveryHint(t *testing.T) {
	for _, e := range table[1:] {
		for _, w := range e.meant {
			u, ok := Suggest(w)
			assert.True(t, ok && u == e.unit, "%q should suggest %s, not %q", w, e.symbol, u.Symbol)
		}
	}
}

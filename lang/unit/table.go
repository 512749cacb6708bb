package unit

// row is a unit as it stands in the table: base value = number*factor + offset.
type row struct {
	symbol string
	dim    Dim
	factor Num
	doc    string
	// also are further spellings that are read; canonical output uses symbol.
	also []string
	// meant are words that are not read but show which unit was meant.
	meant  []string
	offset Num
}

// Constants that several conversions are built from, exact by definition
// (international yard and pound, 1959; standard gravity, CGPM 1901; SI).
var (
	inch     = Ratio(254, 10_000)             // m
	foot     = Ratio(3048, 10_000)            // m
	pound    = Ratio(45_359_237, 100_000_000) // kg
	gravity  = Ratio(980_665, 100_000)        // m/s2
	lbf      = pound.Mul(gravity)             // N
	thousand = Int(1000)
	milli    = Ratio(1, 1000)
	micro    = Ratio(1, 1_000_000)
	one      = Int(1)
)

// over divides constants of the table, none of which is 0.
func over(a, b Num) Num {
	q, _ := a.Quo(b)
	return q
}

// rows lists every unit once, by dimension, the base unit of each first. The
// gauge and absolute forms of the pressures are derived from the plain ones.
var rows = []row{
	{symbol: "rpm", dim: RotationalSpeed, factor: one, doc: "revolutions per minute",
		also: []string{"r/min", "1/min"}, meant: []string{"revs", "rev/min", "revs/min"}},
	{symbol: "rps", dim: RotationalSpeed, factor: Int(60), doc: "revolutions per second, 60 rpm",
		also: []string{"r/s"}, meant: []string{"rev/s"}},

	{symbol: "km/h", dim: VehicleSpeed, factor: one, doc: "kilometres per hour",
		also: []string{"kph"}, meant: []string{"kmh", "kmph"}},
	{symbol: "mph", dim: VehicleSpeed, factor: Ratio(1_609_344, 1_000_000), doc: "miles per hour, exactly 1.609344 km/h",
		meant: []string{"mi/h", "miles/h"}},
	{symbol: "m/s", dim: VehicleSpeed, factor: Ratio(36, 10), doc: "metres per second, 3.6 km/h",
		meant: []string{"mps"}},

	{symbol: "V", dim: Voltage, factor: one, doc: "volts",
		meant: []string{"volt", "volts", "vdc"}},
	{symbol: "mV", dim: Voltage, factor: milli, doc: "millivolts",
		meant: []string{"millivolt", "millivolts"}},
	{symbol: "uV", dim: Voltage, factor: micro, doc: "microvolts",
		also: []string{"\u00b5V", "\u03bcV"}, meant: []string{"microvolt", "microvolts"}},
	{symbol: "kV", dim: Voltage, factor: thousand, doc: "kilovolts",
		meant: []string{"kilovolt", "kilovolts"}},

	{symbol: "A", dim: Current, factor: one, doc: "amperes",
		meant: []string{"amp", "amps", "ampere", "amperes"}},
	{symbol: "mA", dim: Current, factor: milli, doc: "milliamperes",
		meant: []string{"milliamp", "milliamps", "milliampere", "milliamperes"}},
	{symbol: "uA", dim: Current, factor: micro, doc: "microamperes",
		also: []string{"\u00b5A", "\u03bcA"}, meant: []string{"microamp", "microamps"}},

	{symbol: "ohm", dim: Resistance, factor: one, doc: "ohms",
		also: []string{"\u03a9", "\u2126"}, meant: []string{"ohms", "r"}},
	{symbol: "mohm", dim: Resistance, factor: milli, doc: "milliohms",
		also: []string{"m\u03a9", "m\u2126"}, meant: []string{"milliohm", "milliohms"}},
	{symbol: "kohm", dim: Resistance, factor: thousand, doc: "kiloohms",
		also: []string{"k\u03a9", "k\u2126"}, meant: []string{"kiloohm", "kiloohms", "kilohm", "kilohms", "k"}},
	{symbol: "Mohm", dim: Resistance, factor: Int(1_000_000), doc: "megaohms",
		also: []string{"M\u03a9", "M\u2126"}, meant: []string{"megaohm", "megaohms", "megohm", "megohms"}},

	{symbol: "W", dim: Power, factor: one, doc: "watts",
		meant: []string{"watt", "watts"}},
	{symbol: "mW", dim: Power, factor: milli, doc: "milliwatts",
		meant: []string{"milliwatt", "milliwatts"}},
	{symbol: "kW", dim: Power, factor: thousand, doc: "kilowatts",
		meant: []string{"kilowatt", "kilowatts"}},
	{symbol: "hp", dim: Power, factor: lbf.Mul(foot).Mul(Int(550)), doc: "mechanical horsepower, 550 foot-pounds a second, 745.7 W",
		meant: []string{"bhp", "horsepower"}},
	{symbol: "PS", dim: Power, factor: Int(75).Mul(gravity), doc: "metric horsepower, exactly 735.49875 W"},

	{symbol: "s", dim: Time, factor: one, doc: "seconds",
		meant: []string{"sec", "secs", "second", "seconds"}},
	{symbol: "ms", dim: Time, factor: milli, doc: "milliseconds",
		meant: []string{"msec", "millisecond", "milliseconds"}},
	{symbol: "us", dim: Time, factor: micro, doc: "microseconds",
		also: []string{"\u00b5s", "\u03bcs"}, meant: []string{"usec", "microsecond", "microseconds"}},
	{symbol: "min", dim: Time, factor: Int(60), doc: "minutes",
		meant: []string{"mins", "minute", "minutes"}},
	{symbol: "h", dim: Time, factor: Int(3600), doc: "hours",
		meant: []string{"hr", "hrs", "hour", "hours"}},

	{symbol: "m", dim: Length, factor: one, doc: "metres",
		meant: []string{"metre", "metres", "meter", "meters"}},
	{symbol: "mm", dim: Length, factor: milli, doc: "millimetres",
		meant: []string{"millimetre", "millimetres", "millimeter", "millimeters"}},
	{symbol: "cm", dim: Length, factor: Ratio(1, 100), doc: "centimetres",
		meant: []string{"centimetre", "centimetres", "centimeter", "centimeters"}},
	{symbol: "km", dim: Length, factor: thousand, doc: "kilometres",
		meant: []string{"kilometre", "kilometres", "kilometer", "kilometers"}},
	{symbol: "in", dim: Length, factor: inch, doc: "inches, exactly 25.4 mm",
		meant: []string{"inch", "inches"}},
	{symbol: "ft", dim: Length, factor: foot, doc: "feet, exactly 0.3048 m",
		meant: []string{"foot", "feet"}},

	{symbol: "mm2", dim: Area, factor: one, doc: "square millimetres of conductor",
		also: []string{"mm\u00b2"}, meant: []string{"mm^2", "sqmm", "qmm"}},
	{symbol: "AWG", dim: Area, factor: one, doc: "American wire gauge, a solid conductor after ASTM B258, 4/0 to 40",
		meant: []string{"ga"}},

	{symbol: "degC", dim: Temperature, factor: one, doc: "degrees Celsius",
		also: []string{"\u00b0C", "\u2103"}, meant: []string{"c", "celsius", "centigrade"}},
	{symbol: "degF", dim: Temperature, factor: Ratio(5, 9), offset: Ratio(-160, 9), doc: "degrees Fahrenheit, 32 degF is 0 degC",
		also: []string{"\u00b0F", "\u2109"}, meant: []string{"f", "fahrenheit"}},
	{symbol: "K", dim: Temperature, factor: one, offset: Ratio(-27_315, 100), doc: "kelvin, 273.15 K is 0 degC",
		meant: []string{"kelvin", "degK"}},

	{symbol: "kPa", dim: Pressure, factor: one, doc: "kilopascals",
		meant: []string{"kilopascal", "kilopascals"}},
	{symbol: "Pa", dim: Pressure, factor: milli, doc: "pascals",
		meant: []string{"pascal", "pascals"}},
	{symbol: "hPa", dim: Pressure, factor: Ratio(1, 10), doc: "hectopascals",
		meant: []string{"hectopascal", "hectopascals"}},
	{symbol: "MPa", dim: Pressure, factor: thousand, doc: "megapascals",
		meant: []string{"megapascal", "megapascals"}},
	{symbol: "bar", dim: Pressure, factor: Int(100), doc: "bar, 100 kPa",
		meant: []string{"bars"}},
	{symbol: "mbar", dim: Pressure, factor: Ratio(1, 10), doc: "millibar, 0.1 kPa",
		meant: []string{"millibar", "millibars"}},
	{symbol: "psi", dim: Pressure, factor: over(over(lbf, inch.Mul(inch)), thousand), doc: "pounds-force per square inch, 6.894757 kPa",
		meant: []string{"lbf/in2", "lb/in2"}},
	// Conventional mercury columns at 0 degC as rounded in NIST SP 811,
	// appendix B.9 (from memory).
	{symbol: "inHg", dim: Pressure, factor: Ratio(3_386_389, 1_000_000), doc: "inches of mercury, 3.386389 kPa (NIST SP 811)",
		meant: []string{"in-hg", "in.hg"}},
	{symbol: "mmHg", dim: Pressure, factor: Ratio(1_333_224, 10_000_000), doc: "millimetres of mercury, 0.1333224 kPa (NIST SP 811)",
		meant: []string{"mm-hg", "torr"}},
	{symbol: "atm", dim: Pressure, factor: Ratio(101_325, 1000), doc: "standard atmospheres, exactly 101.325 kPa",
		meant: []string{"atmosphere", "atmospheres"}},

	{symbol: "At", dim: AmpereTurns, factor: one, doc: "ampere-turns",
		meant: []string{"ampere-turns", "ampere-turn", "amp-turns", "A-turns"}},
	{symbol: "turns", dim: Turns, factor: one, doc: "turns of a winding",
		also: []string{"turn"}},

	{symbol: "deg", dim: Angle, factor: one, doc: "degrees of angle",
		also: []string{"\u00b0"}, meant: []string{"degree", "degrees"}},

	{symbol: "Hz", dim: Frequency, factor: one, doc: "hertz, times a second",
		also: []string{"1/s"}, meant: []string{"hertz", "cps"}},
	{symbol: "kHz", dim: Frequency, factor: thousand, doc: "kilohertz",
		meant: []string{"kilohertz"}},

	{symbol: "L", dim: Volume, factor: one, doc: "litres",
		also: []string{"l"}, meant: []string{"litre", "litres", "liter", "liters", "ltr"}},
	{symbol: "mL", dim: Volume, factor: milli, doc: "millilitres",
		also: []string{"ml", "cc", "cm3", "cm\u00b3"}, meant: []string{"millilitre", "millilitres", "milliliter", "milliliters"}},

	{symbol: "L/min", dim: VolumeFlow, factor: one, doc: "litres per minute",
		also: []string{"l/min"}, meant: []string{"lpm"}},
	{symbol: "L/h", dim: VolumeFlow, factor: Ratio(1, 60), doc: "litres per hour",
		also: []string{"l/h"}, meant: []string{"lph"}},
	{symbol: "mL/min", dim: VolumeFlow, factor: milli, doc: "millilitres per minute",
		also: []string{"ml/min", "cc/min"}, meant: []string{"ccm"}},

	{symbol: "g/s", dim: MassFlow, factor: one, doc: "grams per second"},
	{symbol: "kg/h", dim: MassFlow, factor: Ratio(10, 36), doc: "kilograms per hour"},

	{symbol: "Nm", dim: Torque, factor: one, doc: "newton metres",
		also: []string{"N\u00b7m"}, meant: []string{"n-m", "newton-metre", "newton-metres"}},
	{symbol: "lbft", dim: Torque, factor: lbf.Mul(foot), doc: "pound-feet, 1.355818 Nm",
		meant: []string{"lb-ft", "ft-lb", "ftlb", "lbf-ft", "ft-lbf"}},

	{symbol: "Ah", dim: Charge, factor: one, doc: "ampere-hours",
		meant: []string{"amp-hours", "ampere-hours"}},
	{symbol: "mAh", dim: Charge, factor: milli, doc: "milliampere-hours"},

	{symbol: "kg", dim: Mass, factor: one, doc: "kilograms",
		meant: []string{"kilogram", "kilograms", "kilo", "kilos"}},
	{symbol: "g", dim: Mass, factor: milli, doc: "grams",
		meant: []string{"gram", "grams"}},
	{symbol: "lb", dim: Mass, factor: pound, doc: "pounds, exactly 0.45359237 kg",
		meant: []string{"lbs", "pound", "pounds"}},

	{symbol: "m/s2", dim: Acceleration, factor: one, doc: "metres per second squared",
		also: []string{"m/s\u00b2"}, meant: []string{"m/s^2", "m/s/s"}},
	{symbol: "gn", dim: Acceleration, factor: gravity, doc: "standard gravity, exactly 9.80665 m/s2",
		meant: []string{"gee", "gees", "gravity"}},

	{symbol: "%", dim: Percentage, factor: one, doc: "percent",
		also: []string{"percent"}, meant: []string{"pct", "per-cent"}},
}

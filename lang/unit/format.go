package unit

import (
	"math"
	"strconv"
)

// step is a unit that Format uses for magnitudes from `from` on, in base units.
type step struct {
	from float64
	unit string
}

// ladders lists, where people expect more than the base unit, the units of a
// dimension from large to small. The last one takes everything below.
var ladders = [dimCount][]step{
	Voltage:    {{1e3, "kV"}, {1, "V"}, {1e-3, "mV"}, {0, "uV"}},
	Current:    {{1, "A"}, {1e-3, "mA"}, {0, "uA"}},
	Resistance: {{1e6, "Mohm"}, {1e3, "kohm"}, {1, "ohm"}, {0, "mohm"}},
	Power:      {{1e3, "kW"}, {1, "W"}, {0, "mW"}},
	Time:       {{7200, "h"}, {600, "min"}, {1, "s"}, {1e-3, "ms"}, {0, "us"}},
	Length:     {{1e3, "km"}, {1, "m"}, {0, "mm"}},
	Frequency:  {{1e3, "kHz"}, {0, "Hz"}},
	Volume:     {{1, "L"}, {0, "mL"}},
	VolumeFlow: {{1, "L/min"}, {0, "mL/min"}},
	Charge:     {{1, "Ah"}, {0, "mAh"}},
}

const (
	shownDigits = 4
	// Smaller than this share of the smallest unit shown is the rounding
	// residue of a solver, not a quantity: Format writes it as 0.
	residue = 1e-3
	// Outside of these, plain digits stop being readable.
	longest, shortest = 1e9, 1e-4
)

// Format writes a computed value for people. The value n is in the base unit of
// d; it is shown with up to 4 significant digits in the unit that suits its
// size: 0.0034 A is "3.4 mA". Whole digits are not dropped before a billion: "12345 rpm". An
// infinite n is "infinite", one that is no number "undefined". Less than a
// thousandth of the smallest unit shown is 0, except for bare numbers, of which
// nothing is known.
func Format(n float64, d Dim) string {
	base := d.Base()
	switch {
	case math.IsNaN(n):
		return join("undefined", base)
	case math.IsInf(n, 1):
		return join("infinite", base)
	case math.IsInf(n, -1):
		return join("-infinite", base)
	}
	// Round first, so that 999.99 mA becomes 1 A and not 1000 mA.
	n = roundShown(n)
	u := base
	for _, s := range d.steps() {
		u, _ = Lookup(s.unit)
		if math.Abs(n) >= s.from {
			break
		}
	}
	shown := n / u.Factor().Float64()
	if shown == 0 || d != None && math.Abs(shown) < residue {
		return join("0", base)
	}
	shown = roundShown(shown)
	if math.Abs(shown) >= longest || math.Abs(shown) < shortest {
		return join(strconv.FormatFloat(roundTo(shown, shownDigits), 'e', -1, 64), u)
	}
	return join(strconv.FormatFloat(shown, 'f', -1, 64), u)
}

// steps returns the ladder of the dimension, empty when it has only its base.
func (d Dim) steps() []step {
	if d >= dimCount {
		return nil
	}
	return ladders[d]
}

// roundShown rounds to the digits shown, but never before the point.
func roundShown(n float64) float64 {
	if math.Abs(n) >= 1000 {
		return math.RoundToEven(n)
	}
	return roundTo(n, shownDigits)
}

func join(number string, u Unit) string {
	if u.Symbol == "" {
		return number
	}
	return number + " " + u.Symbol
}

// FormatBeside writes a computed value as Format does, with as many digits more as tell it
// from another one that it is held against: 11.9952 V beside 12 V is "11.995 V".
func FormatBeside(n, other float64, d Dim) string {
	text := Format(n, d)
	if n == other || text != Format(other, d) || math.IsNaN(n) || math.IsInf(n, 0) {
		return text
	}
	base := d.Base()
	for digits := shownDigits + 1; digits < 16; digits++ {
		if shown := strconv.FormatFloat(n, 'g', digits, 64); shown != strconv.FormatFloat(other, 'g', digits, 64) {
			return join(shown, base)
		}
	}
	return text
}

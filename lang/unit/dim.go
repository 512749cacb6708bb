package unit

// Dim is a physical dimension: what a unit measures. Values of different
// dimensions are never compared. The zero value is a bare number.
type Dim uint8

// The dimensions that a switching design speaks of. Their order is the order
// of the reference page.
const (
	None Dim = iota
	RotationalSpeed
	VehicleSpeed
	Voltage
	Current
	Resistance
	Power
	Time
	Length
	Area
	Temperature
	// Pressure is a difference between two pressures, or a pressure of which
	// it has not been said yet whether it is gauge or absolute.
	Pressure
	// GaugePressure is measured from the surrounding air; below it, negative.
	GaugePressure
	// AbsolutePressure is measured from nothing.
	AbsolutePressure
	AmpereTurns
	Turns
	Angle
	Frequency
	Volume
	VolumeFlow
	MassFlow
	Torque
	Charge
	Mass
	Acceleration
	// Percentage is a share or duty in percent; its base unit is %, not 1.
	Percentage

	dimCount
)

// dimText is what is said to people about a dimension.
type dimText struct {
	name    string // in the middle of a sentence
	phrase  string // with its article
	example string // a value as it would be written in a design
	base    string // symbol of the base unit
}

var dimTexts = [dimCount]dimText{
	None:             {"bare number", "a bare number", "4", ""},
	RotationalSpeed:  {"rotational speed", "a rotational speed", "3000 rpm", "rpm"},
	VehicleSpeed:     {"vehicle speed", "a vehicle speed", "50 km/h", "km/h"},
	Voltage:          {"voltage", "a voltage", "12.6 V", "V"},
	Current:          {"current", "a current", "10 A", "A"},
	Resistance:       {"resistance", "a resistance", "85 ohm", "ohm"},
	Power:            {"power", "a power", "21 W", "W"},
	Time:             {"time", "a time", "200 ms", "s"},
	Length:           {"length", "a length", "1.5 m", "m"},
	Area:             {"cross-section", "a cross-section", "1.5 mm2", "mm2"},
	Temperature:      {"temperature", "a temperature", "85 degC", "degC"},
	Pressure:         {"pressure difference", "a pressure difference", "20 kPa", "kPa"},
	GaugePressure:    {"gauge pressure", "a gauge pressure", "30 kPa gauge", "kPa gauge"},
	AbsolutePressure: {"absolute pressure", "an absolute pressure", "130 kPa absolute", "kPa absolute"},
	AmpereTurns:      {"ampere-turns", "ampere-turns", "60 At", "At"},
	Turns:            {"number of turns", "a number of turns", "400 turns", "turns"},
	Angle:            {"angle", "an angle", "30 deg", "deg"},
	Frequency:        {"frequency", "a frequency", "1.5 Hz", "Hz"},
	Volume:           {"volume", "a volume", "40 L", "L"},
	VolumeFlow:       {"volume flow", "a volume flow", "2 L/min", "L/min"},
	MassFlow:         {"mass flow", "a mass flow", "25 g/s", "g/s"},
	Torque:           {"torque", "a torque", "120 Nm", "Nm"},
	Charge:           {"charge", "a charge", "60 Ah", "Ah"},
	Mass:             {"mass", "a mass", "75 kg", "kg"},
	Acceleration:     {"acceleration", "an acceleration", "20 m/s2", "m/s2"},
	Percentage:       {"percentage", "a percentage", "80 %", "%"},
}

// text returns the entry of d; an invalid dimension reads as a bare number.
func (d Dim) text() dimText {
	if d >= dimCount {
		return dimTexts[None]
	}
	return dimTexts[d]
}

// Dims returns all dimensions in the order of the reference page.
func Dims() []Dim {
	dims := make([]Dim, dimCount)
	for i := range dims {
		dims[i] = Dim(i)
	}
	return dims
}

// String names the dimension for people: "rotational speed".
func (d Dim) String() string { return d.text().name }

// Phrase names the dimension with its article: "an angle".
func (d Dim) Phrase() string { return d.text().phrase }

// Example returns a value of the dimension as it is written in a design, for
// messages of the form "write a voltage, such as 12.6 V".
func (d Dim) Example() string { return d.text().example }

// Base returns the unit in which the numbers of the dimension are held.
func (d Dim) Base() Unit {
	u, _ := Lookup(d.text().base)
	return u
}

// IsPressure says whether d is one of the three pressure dimensions.
func (d Dim) IsPressure() bool {
	return d == Pressure || d == GaugePressure || d == AbsolutePressure
}

// hasOffsetScale says whether the zero of the scale is arbitrary, so that a
// point is not a multiple of anything and differs from a difference.
func (d Dim) hasOffsetScale() bool { return d == Temperature }

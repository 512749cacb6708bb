package elaborate

// What is taken where a design says nothing. Each value that is taken is listed in
// Design.Assumed, so that a reader sees what the verdicts stand on; lang/README.md
// repeats the list. Where no source is named the value is common practice.
const (
	// DefaultWireArea is the cross-section of a wire, in mm2.
	DefaultWireArea = 1.0
	// DefaultWireLength is the length of a wire, in m.
	DefaultWireLength = 1.0
	// DefaultWireCelsius is the temperature of a conductor, in degC.
	DefaultWireCelsius = 20.0
	// DefaultSupplyOhm is the inside resistance of a supply.
	DefaultSupplyOhm = 0.010
	// DefaultContactOhm is the resistance of a closed contact.
	DefaultContactOhm = 0.005
	// DefaultChartOhm is the resistance of a join of a chart.
	DefaultChartOhm = 0.005
	// DefaultConnectorOhm is the resistance of one way of a connector.
	DefaultConnectorOhm = 0.005
	// DefaultDriverOhm is the resistance of a controller's output that is on.
	DefaultDriverOhm = 0.050
	// DefaultDiodeVolts is the forward drop of a silicon diode.
	DefaultDiodeVolts = 0.7
	// DefaultDiodeOhm is the resistance of a diode that conducts, above its drop.
	DefaultDiodeOhm = 0.010
	// FuseDropVolts is what falls across a fuse at its rating: a fuse of I ampere has
	// 0.1 V / I. Blade fuses are catalogued with drops of about that size.
	FuseDropVolts = 0.1
	// DefaultPullInVolts and DefaultDropOutVolts are those of a coil that moves contacts
	// and does not say, for designs whose highest supply is up to 16 V nominal; beyond
	// that they grow with the class of the supply, see coilDefaults.
	DefaultPullInVolts  = 8.0
	DefaultDropOutVolts = 1.5
	// WeakPullOhm is the resistance by which `counts as low|high while disconnected`
	// is modelled on an input that reads volts and has no pull of its own: too weak to
	// matter to anything that is connected.
	WeakPullOhm = 1e6
)

// Copper, at 20 degC.
const (
	// CopperOhm is the resistivity of annealed copper in ohm mm2/m: 1/58 (IEC 60028).
	CopperOhm = 1.0 / 58
	// CopperPerKelvin is its temperature coefficient at 20 degC (IEC 60028).
	CopperPerKelvin = 0.00393
	// LeastWireOhm keeps the resistance of very short or thick wires from vanishing.
	LeastWireOhm = 0.0001
)

// WireOhm is the resistance of a copper wire in ohm: resistivity times length over
// cross-section, corrected for temperature. Length in m, area in mm2.
func WireOhm(area, length, celsius float64) float64 {
	if area <= 0 {
		area = DefaultWireArea
	}
	return max(CopperOhm/area*length*(1+CopperPerKelvin*(celsius-20)), LeastWireOhm)
}

// coilDefaults gives the pull-in and drop-out volts of a coil that does not say, by
// the highest nominal supply of the design: 8 V and 1.5 V up to 16 V, twice that up to
// 32 V, four times up to 60 V, and beyond that two thirds and an eighth of the supply.
func coilDefaults(supply float64) (pullIn, dropOut float64) {
	switch {
	case supply <= 16:
		return DefaultPullInVolts, DefaultDropOutVolts
	case supply <= 32:
		return 2 * DefaultPullInVolts, 2 * DefaultDropOutVolts
	case supply <= 60:
		return 4 * DefaultPullInVolts, 4 * DefaultDropOutVolts
	}
	return supply * 2 / 3, supply / 8
}

package circuit

import "pintle/lang/model"

// across puts a measure as the faults leave it. A winding or filament that is broken
// open has the whole feed across its terminals and still does nothing: what it gets
// itself is zero.
func (c *Circuit) across(m model.Measure) model.Measure {
	if m.Kind == model.AbsVolts && m.Element >= 0 && int(m.Element) < len(c.elems) && c.elems[m.Element].removed {
		m.B = m.A
	}
	return m
}

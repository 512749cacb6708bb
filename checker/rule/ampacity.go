package rule

import "pintle/checker/engine/circuit"

// Ampacity is the table that rates wires by their cross-section: that of the settings, or
// the one that holds without any.
func (p *Pass) Ampacity() circuit.Ampacity {
	if len(p.Limits.WireAmps) == 0 {
		return circuit.ThinWall()
	}
	t := circuit.Ampacity{Source: "wire_amps of the settings"}
	for _, r := range p.Limits.WireAmps {
		t.Rows = append(t.Rows, circuit.AmpacityRow{Area: r.Area, Amps: r.Amps})
	}
	return t
}

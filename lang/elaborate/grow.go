package elaborate

import (
	"slices"

	"pintle/lang/name"
	"pintle/lang/schema"
)

// grow makes room in the tables for what a scope declares, so that large files don't
// copy them again and again.
func (b *builder) grow(s *name.Scope) {
	const worthwhile = 64
	if len(s.Defs) < worthwhile {
		return
	}
	var n [64]int
	for _, d := range s.Defs {
		if int(d.Kind) < len(n) {
			n[d.Kind]++
		}
	}
	m := b.d
	m.Nodes = slices.Grow(m.Nodes, n[schema.Pin]+n[schema.Node]+n[schema.Splice]+2*n[schema.Supply]+4*n[schema.Connector]+4*n[schema.Fit])
	m.Wires = slices.Grow(m.Wires, n[schema.Wire])
	m.Fits = slices.Grow(m.Fits, n[schema.Fit])
	m.Coils = slices.Grow(m.Coils, n[schema.Coil])
	m.Contacts = slices.Grow(m.Contacts, n[schema.Contact])
	m.Loads = slices.Grow(m.Loads, n[schema.Load])
	m.Conditions = slices.Grow(m.Conditions, n[schema.Condition])
	m.Thresholds = slices.Grow(m.Thresholds, n[schema.Threshold])
	m.Memories = slices.Grow(m.Memories, n[schema.Threshold]+n[schema.Fit]/4)
	m.Requirements = slices.Grow(m.Requirements, len(s.Claims))
	b.bodies = slices.Grow(b.bodies, n[schema.Fit])
}

// growElements makes room for what will conduct, once everything is declared.
func (b *builder) growElements() {
	m := b.d
	n := len(m.Wires) + len(m.Contacts) + len(m.Coils) + len(m.Loads) + len(m.Resistors) + len(m.Diodes) + len(m.Fuses) +
		len(m.Supplies) + len(m.Drivers) + len(m.Readings) + len(m.Controllers) + 3*len(m.Charts)
	for i := range m.Connectors {
		n += m.Connectors[i].Ways
	}
	m.Elements = slices.Grow(m.Elements, n)
	m.Memories = slices.Grow(m.Memories, len(m.Coils))
}

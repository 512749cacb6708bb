package circuit

import (
	"slices"

	"pintle/lang/model"
)

// across puts a measure as the faults leave it. A winding or filament that is broken
// open has the whole feed across its terminals and still does nothing: what it gets
// itself is zero. The metal in place of a shorted winding has no turns.
func (c *Circuit) across(m model.Measure) model.Measure {
	switch {
	case m.Kind == model.AbsVolts && m.Element >= 0 && int(m.Element) < len(c.elems) && c.elems[m.Element].removed:
		m.B = m.A
	case m.Kind == model.AmpereTurns:
		shorted := func(w model.ElementTurns) bool {
			return w.Element >= 0 && int(w.Element) < len(c.elems) && c.elems[w.Element].shorted
		}
		if slices.ContainsFunc(m.Windings, shorted) {
			m.Windings = slices.DeleteFunc(slices.Clone(m.Windings), shorted)
		}
	}
	return m
}

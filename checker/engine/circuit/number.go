package circuit

import (
	"cmp"
	"math"
	"slices"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// Number is what a measure has been found to be, as findings carry it: without its sign. In
// which state is for the caller to add.
func Number(m model.Measure, value float64) diag.Number {
	value = Displayed(m.Kind, value)
	n := diag.Number{A: model.None, B: model.None, Element: model.None, Value: math.Abs(value)}
	dim := unit.Voltage
	switch m.Kind {
	case model.Amps:
		n.Kind, n.Element, dim = diag.OfAmps, int(m.Element), unit.Current
	case model.AmpereTurns:
		n.Kind, dim = diag.OfTurns, unit.AmpereTurns
		for _, w := range m.Windings {
			n.Windings = append(n.Windings, diag.Winding{Element: int(w.Element), Turns: w.Turns})
		}
	default:
		n.Kind, n.A, n.B = diag.OfVolts, int(m.A), int(m.B)
		n.Element = int(m.Element)
	}
	n.Text = unit.Format(n.Value, dim)
	return n
}

// Displayed is a solved value as it is shown: what is below all that a meter shows, and no more than
// the rounding of a solution, is 0. Volts below 1 uV, current below 1 nA.
func Displayed(kind model.MeasureKind, value float64) float64 {
	least := 1e-6
	if kind == model.Amps {
		least = 1e-9
	}
	if math.Abs(value) < least {
		return 0
	}
	return value
}

// MeasureOf is what a number is of.
func MeasureOf(n diag.Number) model.Measure {
	m := model.Measure{Kind: model.AbsVolts, A: model.NodeID(n.A), B: model.NodeID(n.B), Element: model.ElementID(n.Element), Load: model.None}
	switch n.Kind {
	case diag.OfAmps:
		m.Kind = model.Amps
	case diag.OfTurns:
		m.Kind = model.AmpereTurns
		for _, w := range n.Windings {
			m.Windings = append(m.Windings, model.ElementTurns{Element: model.ElementID(w.Element), Turns: w.Turns})
		}
	}
	return m
}

// Stands reports how the elements with a switch of their own stand in a solution, as findings
// carry it: those of some switches only, or with nil all.
func (s *Solution) Stands(only []Switch) []diag.Event {
	out := []diag.Event{}
	for w, info := range s.c.switches {
		if only != nil && !slices.Contains(only, Switch(w)) {
			continue
		}
		to := 0
		if s.closed[w] {
			to = 1
		}
		for _, e := range info.Elements {
			out = append(out, diag.Event{Kind: diag.OfElement, Index: int(e), To: to})
		}
	}
	slices.SortFunc(out, func(a, b diag.Event) int { return cmp.Compare(a.Index, b.Index) })
	return out
}

// Open lists what a corner takes to be otherwise than nominal, as findings carry it.
func (c *Circuit) Open(k Corner) (out []diag.Open, cold bool) {
	for i := range c.params {
		if x, set := k.Value(ParamID(i)); set {
			out = append(out, diag.Open{Param: i, Value: x})
		}
	}
	return out, k.Cold()
}

// PlainFaults are faults as findings carry them.
func PlainFaults(faults Overlay) (out []diag.Fault) {
	for _, a := range faults {
		out = append(out, diag.Fault{
			Kind: int(a.Thing.Kind), Index: a.Thing.Index, Mode: string(a.Mode),
			OtherKind: int(a.Other.Kind), OtherIdx: a.Other.Index,
		})
	}
	return out
}

// PlainBlown are blown fuses, by index in Design.Fuses, as plain data.
func PlainBlown(d *model.Design, fuses []int) (out []diag.Fault) {
	for _, i := range fuses {
		f := &d.Fuses[i]
		out = append(out, PlainFaults(Overlay{{
			Thing: model.Thing{Kind: model.ThingElement, Index: int(f.Element), Path: f.Path}, Mode: model.FaultBlown,
		}})...)
	}
	return out
}

// FaultsOf are what PlainFaults was made of.
func FaultsOf(faults []diag.Fault) (out Overlay) {
	for _, f := range faults {
		out = append(out, model.FaultAction{
			Thing: model.Thing{Kind: model.ThingKind(f.Kind), Index: f.Index},
			Other: model.Thing{Kind: model.ThingKind(f.OtherKind), Index: f.OtherIdx},
			Mode:  model.FaultMode(f.Mode),
		})
	}
	return out
}

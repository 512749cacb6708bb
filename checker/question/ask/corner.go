package ask

import (
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// SuppliesHigh is the corner in which every supply stands at the upper end of its stated
// range, everything else nominal.
func SuppliesHigh(c *circuit.Circuit) circuit.Corner {
	return supplies(c, func(s *model.Supply) float64 { return s.Hi.Float64() })
}

// SuppliesLow is that in which all stand at the lower end.
func SuppliesLow(c *circuit.Circuit) circuit.Corner {
	return supplies(c, func(s *model.Supply) float64 { return s.Lo.Float64() })
}

func supplies(c *circuit.Circuit, volts func(*model.Supply) float64) circuit.Corner {
	k := circuit.Nominal
	d := c.Design()
	for i := range d.Supplies {
		if s := &d.Supplies[i]; s.HasRange && !s.Broken {
			k = c.WithSupply(k, model.SupplyID(i), volts(s))
		}
	}
	return k
}

// With says in words what a corner makes different: " with battery at 15 V"; nothing of the
// nominal one.
func With(c *circuit.Circuit, k circuit.Corner) string {
	if k == circuit.Nominal {
		return ""
	}
	return " with " + c.Describe(k)
}

// In is the state system of the design in a corner.
func In(p *rule.Pass, k circuit.Corner) *system.System {
	s, err := p.System().At(p.Ctx, k)
	p.StopOn(err)
	return s
}

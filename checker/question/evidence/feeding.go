package evidence

import (
	"pintle/checker/engine/circuit"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// mostFeeding is how many supplies are named as those that feed something; of more nobody would
// look at each.
const mostFeeding = 2

// Feeding points at the supplies of the circuits that some nodes lie in, where these are few, with
// their nominal volts.
func Feeding(d *model.Design, c *circuit.Circuit, at ...model.NodeID) []diag.Related {
	in := map[circuit.IslandID]bool{}
	for _, n := range at {
		if i, ok := c.IslandOf(n); ok && n != d.Ground {
			in[i] = true
		}
	}
	var out []diag.Related
	for i := range d.Supplies {
		s := &d.Supplies[i]
		island, ok := c.IslandOf(s.Plus)
		if !ok || s.Plus == d.Ground {
			island, ok = c.IslandOf(s.Minus)
		}
		if ok && in[island] && !s.Broken {
			out = append(out, diag.Related{Place: Site(d, &s.Info), Note: "feeds it: " + s.Nominal.String()})
		}
	}
	if len(out) > mostFeeding {
		return nil
	}
	return out
}

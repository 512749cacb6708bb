package ask

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// How many times the volts of another a supply may have before the two, joined, do nothing
// but drive current into one another. A battery of 12 V is charged with up to 16 V (ISO
// 16750-2, supply code C); batteries differ by their charge, by less than a tenth (common
// practice, no source).
const (
	chargeRatio = 1.35
	restRatio   = 1.10
)

// Fight reports whether two supplies must not be joined: the lower one can take current, and
// the other is higher by more than charging or different charge explains, whatever the
// volts of the run.
func Fight(d *model.Design, high, low *model.Supply) bool {
	if d.Elements[low.Element].OneWay {
		return false
	}
	ratio := restRatio
	if d.Elements[high.Element].OneWay {
		ratio = chargeRatio
	}
	return high.Nominal.Float64() > ratio*low.Nominal.Float64() && high.Lo.Float64() > low.Hi.Float64()
}

// trouble is where a supply delivers into a short circuit or into another supply.
type trouble struct {
	island circuit.IslandID
	when   system.Condition
	supply model.SupplyID
	fight  bool // into another supply
}

// Short is where metal joins the two ends of a supply.
type Short struct {
	Supply model.SupplyID
	When   system.Condition
}

// Shorts lists for each supply where metal and diodes alone join its ends.
func Shorts(p *rule.Pass) []Short {
	var out []Short
	for _, t := range troubles.Of(p) {
		if !t.fight {
			out = append(out, Short{t.supply, t.when})
		}
	}
	return out
}

// ShortedOn is the same of a supply in a circuit of other faults, over the switches of which
// cond says where a question about that circuit is answered with yes.
func ShortedOn(d *model.Design, id model.SupplyID, ask func(model.Atom) system.Condition) system.Condition {
	s := &d.Supplies[id]
	ways := []system.Condition{ask(model.Atom{Kind: model.AtomJoined, Index: int(s.Plus), Other: int(s.Minus)})}
	if d.Ground != model.None && s.Minus != d.Ground {
		ways = append(ways, system.All(ask(model.Atom{Kind: model.AtomGrounded, Index: int(s.Plus)}),
			ask(model.Atom{Kind: model.AtomJoined, Index: int(s.Minus), Other: int(d.Ground)})))
	}
	return system.All(system.On(s.While), system.Any(ways...))
}

var troubles = rule.Share(func(p *rule.Pass) []trouble {
	d, c := p.Design, p.Circuit()
	var out []trouble
	for i := range d.Supplies {
		s := &d.Supplies[i]
		island, ok := c.IslandOf(s.Plus)
		if !ok {
			island, ok = c.IslandOf(s.Minus)
		}
		if s.Broken || s.Plus == s.Minus || !ok {
			continue
		}
		out = append(out, trouble{island, system.All(system.On(s.While), shorted(d, s)), model.SupplyID(i), false})
		for j := range d.Supplies {
			low := &d.Supplies[j]
			if i == j || low.Broken || !Fight(d, s, low) {
				continue
			}
			out = append(out, trouble{island, system.All(system.On(s.While), system.On(low.While),
				Joined(s.Plus, low.Plus), Joined(s.Minus, low.Minus)), model.SupplyID(i), true})
		}
	}
	return out
})

// shorted is where metal and diodes, with nothing that takes volts, lead from the plus of
// a supply to its minus. Drivers are metal: two that work against each other are such a
// way.
func shorted(d *model.Design, s *model.Supply) system.Condition {
	ways := []system.Condition{Joined(s.Plus, s.Minus)}
	if d.Ground != model.None {
		ways = append(ways, system.All(Grounded(s.Plus), Joined(s.Minus, d.Ground)))
	}
	if s.Minus != d.Ground {
		for i := range d.Diodes {
			if k := &d.Diodes[i]; !k.Broken {
				e := &d.Elements[k.Element]
				ways = append(ways, system.All(Joined(s.Plus, e.A), Joined(e.B, s.Minus)))
			}
		}
	}
	return system.Any(ways...)
}

// Sound is where, in the circuits that some nodes lie in, no supply is shorted and none
// fights another. What volts and currents are otherwise follows from that: it has a finding
// of its own (supply-to-ground-short, driver-conflict, diode-across-feed, supplies-joined),
// and an effect that exists in no sound state needs none. Circuits that have nothing but
// ground in common are each by themselves.
func Sound(p *rule.Pass, at ...model.NodeID) system.Condition {
	var islands []circuit.IslandID
	for _, n := range at {
		if i, ok := p.Circuit().IslandOf(n); ok {
			islands = append(islands, i)
		}
	}
	var out []system.Condition
	for _, t := range troubles.Of(p) {
		if slices.Contains(islands, t.island) {
			out = append(out, system.Not(t.when))
		}
	}
	return system.All(out...)
}

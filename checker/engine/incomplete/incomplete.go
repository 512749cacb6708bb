// Package incomplete reports which answers about circuits and fluids depend on something that
// could not be read. Such a thing has its own finding; whoever would conclude from it
// stays silent.
package incomplete

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/fluid"
	"pintle/lang/model"
)

// Circuit is what of a circuit could not be read.
type Circuit struct {
	islands []bool // something in it
	lost    bool   // something that may end anywhere
}

// OfCircuit looks through the islands of a circuit.
func OfCircuit(c *circuit.Circuit) *Circuit {
	d := c.Design()
	islands := c.Islands()
	u := &Circuit{islands: make([]bool, len(islands))}
	for i, island := range islands {
		u.islands[i] = slices.ContainsFunc(island.Elements, func(id model.ElementID) bool { return c.Element(id).Broken }) ||
			slices.ContainsFunc(island.Nodes, func(n model.NodeID) bool { return d.Nodes[n].Broken })
	}
	u.lost = slices.ContainsFunc(d.Wires, func(w model.Wire) bool {
		return w.Broken && (w.Element == model.None || w.A == model.None || w.B == model.None)
	}) || LeftOut(d, "fit", "ground", "node", "supply", "wire", "splice", "connector", "pin",
		"coil", "contact", "chart", "load", "resistor", "diode", "fuse", "powered", "input", "driver", "sender")
	return u
}

// In reports whether an answer that depends on some islands depends on what could not be read.
func (u *Circuit) In(islands []circuit.IslandID) bool {
	return u.lost || slices.ContainsFunc(islands, func(i circuit.IslandID) bool { return u.islands[i] })
}

// Lost reports whether something could not be read that may join anything to anything.
func (u *Circuit) Lost() bool { return u.lost }

// LeftOut reports whether something of one of these kinds is not in the design because it
// could not be understood. A statement whose kind is not known may be of any.
func LeftOut(d *model.Design, kinds ...string) bool {
	return slices.ContainsFunc(d.Incomplete, func(i model.Info) bool { return i.Kind == "" || slices.Contains(kinds, i.Kind) })
}

// OfFluid tells of each port of a design whether something that is joined to it, by open
// paths or shut ones, could not be read. A passage whose end could not be read may end
// anywhere.
func OfFluid(net *fluid.Fluid) []bool {
	d := net.Design()
	lost := LeftOut(d, "fit", "origin", "hose", "port", "passage")
	broken := make([]bool, len(d.Ports))
	for i := range d.Ports {
		broken[i] = d.Ports[i].Broken
	}
	mark := func(port model.PortID, bad bool) {
		if port < 0 || int(port) >= len(broken) {
			lost = lost || bad
			return
		}
		broken[port] = broken[port] || bad
	}
	for i := range d.Passages {
		mark(d.Passages[i].A, d.Passages[i].Broken)
		mark(d.Passages[i].B, d.Passages[i].Broken)
	}
	for i := range d.Origins {
		mark(d.Origins[i].Port, d.Origins[i].Broken)
	}
	if lost {
		for i := range broken {
			broken[i] = true
		}
	}
	for changed := true; changed; {
		changed = false
		for _, e := range net.Edges() {
			if broken[e.From] && !broken[e.To] {
				broken[e.To], changed = true, true
			}
		}
	}
	return broken
}

package show

import (
	"context"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lsp/ide"
)

// most is the highest current through the wires of one statement, and what falls across
// them then.
type most struct {
	amps, volts float64
	known       bool
}

// mostSwitches is how many switches may be about a wire whose current is hinted at. So many
// are tried out, every state once for all wires; with more each wire is a search of its
// own, which nobody asked for who only looks at a text. A hover goes that way.
const mostSwitches = 10

// triedOut reports whether the circuits that a wire belongs to are small enough.
func triedOut(c *circuit.Circuit, w *model.Wire) bool {
	switches := 0
	var seen []circuit.IslandID
	for _, n := range [...]model.NodeID{w.A, w.B} {
		if i, ok := c.IslandOf(n); ok && !slices.Contains(seen, i) {
			seen = append(seen, i)
			switches += len(c.Islands()[i].Switches)
		}
	}
	return switches <= mostSwitches
}

// wires tells, at each wire, the current in that reachable state in which it is highest,
// with nominal values, and what falls across the wire then. Of a statement that makes
// several wires, in several combinations of options, it is the highest of all.
func (h *hinter) wires(ctx context.Context, currents, drops bool) error {
	found := map[int]*most{}
	var order []diag.Place
	for _, bench := range [...]bool{false, true} {
		for _, d := range h.designs {
			if d.Bench != bench {
				continue
			}
			var list []*model.Wire
			for i := range d.Wires {
				w := &d.Wires[i]
				// What a design of the vehicle tells is not asked of a bench.
				if m := found[w.NamePlace.Start]; h.here(w.NamePlace) && !w.Broken && !d.Elements[w.Element].Broken && (!bench || m == nil) {
					list = append(list, w)
				}
			}
			if len(list) == 0 {
				continue
			}
			// One wire a question, so that others get their turns between.
			for _, w := range list {
				err := h.v.Ask(ctx, d, func(p *rule.Pass) {
					if !triedOut(p.Circuit(), w) {
						return
					}
					b := ide.Busiest(p, w.Element)
					if b == nil {
						return
					}
					m := found[w.NamePlace.Start]
					if m == nil {
						m = &most{}
						found[w.NamePlace.Start] = m
						order = append(order, w.NamePlace)
					}
					u, ok := b.Between(w.A, w.B)
					if ok && (!m.known || math.Abs(b.Highest) > m.amps) {
						*m = most{math.Abs(b.Highest), math.Abs(u), true}
					}
				})
				// An engine that could not answer leaves hints out, it does not fail them all.
				if err != nil && ctx.Err() != nil {
					return ctx.Err()
				}
			}
		}
	}
	for _, p := range order {
		m := found[p.Start]
		at, ok := h.behind(p)
		if !ok || !m.known {
			continue
		}
		label := ""
		switch {
		case currents && drops:
			label = evidence.Amps(m.amps) + ", " + evidence.Volts(m.volts)
		case currents:
			label = evidence.Amps(m.amps)
		default:
			label = evidence.Volts(m.volts)
		}
		var tip ide.Text
		tip.Add(ide.Words, "The highest current in any state that can be reached, and what falls across the wire then (nominal values).")
		h.out = append(h.out, Hint{At: at, Label: label, Tip: tip})
	}
	return nil
}

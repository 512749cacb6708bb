package scenario

import (
	"pintle/checker/engine/circuit"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Rest is a settled moment of a run.
type Rest struct {
	State State
	Step  int // from 0
	// Told counts the events of the run before it.
	Told  int
	at    *moment
	ramps []ramp // that run
}

// Is gives the value of a condition.
func (e *Rest) Is(c *model.Cond) Truth { return e.at.eval(c) }

// Explain tells why a condition is not what was wanted; see moment.Explain.
func (e *Rest) Explain(c *model.Cond, want bool) []diag.Line { return e.at.Explain(c, want) }

// Standing says how the subject of a condition stands, in the words of the condition.
func (e *Rest) Standing(c *model.Cond) string { return e.at.standing(c) }

// Faults are those that stand.
func (e *Rest) Faults() []model.FaultAction { return e.at.faults.Standing() }

// Blown reports whether a fuse, by its index in Design.Fuses, is.
func (e *Rest) Blown(fuse int) bool { return e.at.blown[e.at.design.Fuses[fuse].Element] }

// Err is the first thing that went wrong with the circuit of the moment: from then on answers
// are Unknown.
func (e *Rest) Err() error { return e.at.err }

// Circuit is the solved circuit; nil where it is not known how its switches stand.
func (e *Rest) Circuit() *circuit.Solution {
	all, ok := e.at.solutions()
	if !ok || len(all) != 1 {
		return nil
	}
	return all[0]
}

// Measure solves a measure, as it is shown: in V or A. It is false where it can't be solved, or
// is not known.
func (e *Rest) Measure(m model.Measure) (float64, bool) {
	sol := e.Circuit()
	if sol == nil {
		return 0, false
	}
	for _, n := range [...]model.NodeID{m.A, m.B} {
		if n == model.None {
			continue
		}
		if i, ok := e.at.circuit.IslandOf(n); ok && e.at.unread.In([]circuit.IslandID{i}) {
			return 0, false
		}
	}
	if m.Element != model.None && e.at.isUnread(m.Element) {
		return 0, false
	}
	v, err := sol.Measure(e.at.ctx, m)
	return circuit.Displayed(m.Kind, v), err == nil
}

// Supply is the volts of a supply.
func (e *Rest) Supply(id model.SupplyID) float64 {
	if p, ok := e.at.circuit.SupplyParam(id); ok {
		if v, set := e.at.corner.Value(p); set {
			return v
		}
	}
	return e.at.design.Supplies[id].Nominal.Float64()
}

// Level is where a quantity stands, in its base unit. State knows only where it was last
// compared with something; on a ramp it is on its way to the next such point.
func (e *Rest) Level(q model.QuantityID) float64 {
	for i := range e.ramps {
		rp := &e.ramps[i]
		if rp.quantity != q || e.State.At >= rp.end || e.State.At == rp.stopped {
			continue
		}
		from := rp.from.Float64()
		return from + (rp.to.Float64()-from)*float64(e.State.At-rp.start)/float64(rp.end-rp.start)
	}
	return e.State.Quantities[q].N.Float64()
}

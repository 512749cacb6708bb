package ide

import (
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// busy is the reachable state in which most current runs through an element, everything
// at its nominal value.
type busy struct {
	*circuit.Solution
	amps float64 // from A to B
}

// busiest looks for that state. It is nil where no current ever runs, or where something that
// decides could not be read.
func busiest(p *rule.Pass, e model.ElementID) *busy {
	best := ask.Climb(p, p.System(), ask.Current(e), system.On(nil), nil)
	if best == nil || !best.Carries(e) {
		return nil
	}
	return &busy{Solution: best.Solution, amps: best.Amps(e)}
}

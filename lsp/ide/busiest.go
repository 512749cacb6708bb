package ide

import (
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// Busy is the reachable state in which most current runs through an element, everything
// at its nominal value.
type Busy struct {
	*circuit.Solution
	Highest float64 // from A to B
}

// Busiest looks for that state. It is nil where no current ever runs, or where something that
// decides could not be read.
func Busiest(p *rule.Pass, e model.ElementID) *Busy {
	best := ask.Climb(p, p.System(), ask.Current(e), system.On(nil), nil)
	if best == nil || !best.Carries(e) {
		return nil
	}
	return &Busy{Solution: best.Solution, Highest: best.Amps(e)}
}

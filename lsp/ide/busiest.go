package ide

import (
	"context"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// busy is the reachable state in which most current runs through an element, everything
// at its nominal value.
type busy struct {
	*circuit.Solution
	amps float64 // from A to B
}

// busiest looks for that state as the rules do (system.Search). It is nil where no current
// ever runs, or where something that decides could not be read.
func busiest(ctx context.Context, p *rule.Pass, e model.ElementID) (*busy, error) {
	x, err := p.System().Search(ctx, model.Measure{
		Kind: model.Amps, A: model.None, B: model.None, Element: e, Load: model.None,
	}, system.On(nil))
	if err != nil {
		return nil, err
	}
	best, err := x.Climb(ctx, nil)
	if err != nil || best == nil || !best.Carries(e) {
		return nil, err
	}
	return &busy{Solution: best.Solution, amps: best.Amps(e)}, nil
}

// carries is where more than so many ampere run through an element.
func carries(e model.ElementID, amps float64) system.Condition {
	return asks(model.Atom{
		Kind: model.AtomMeasure, Cmp: model.Above, Level: model.Exactly(amps),
		Measure: model.Measure{Kind: model.Amps, A: model.None, B: model.None, Element: e, Load: model.None},
	})
}

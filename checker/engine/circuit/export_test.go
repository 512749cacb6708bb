package circuit

import (
	"context"
	"math"

	"pintle/lang/model"
)

// Bounded is for tests in the outer package: the interval that bounds give a measure
// while only some switches are known; ok is false where the assignment contradicts
// itself.
func (c *Circuit) Bounded(ctx context.Context, q QuestionID, known map[Switch]bool, corner Corner, over Freedom, rough bool) (lo, hi float64, ok bool, err error) {
	k := c.facts.nothing()
	for w, closed := range known {
		if k = k.with(w, closed); k == nil {
			return 0, 0, false, nil
		}
	}
	d := c.newDecider(decisionKey{q: q, corner: corner})
	all := map[*island]*bounds{}
	for _, i := range d.islands {
		w, err := c.workbenchOf(i)
		if err != nil {
			return 0, 0, false, err
		}
		if all[i], err = w.bound(ctx, k, corner, over, rough); err != nil {
			return 0, 0, false, err
		}
	}
	v := d.measure(all, d.q.Atom.Measure)
	if unsigned(d.q.Atom.Measure.Kind) {
		v = v.abs()
	}
	return v.lo, v.hi, !math.IsNaN(v.lo) && !math.IsNaN(v.hi), nil
}

// Feasible reports whether a whole state can be, as far as conditions exclude one
// another.
func (c *Circuit) Feasible(closed func(Switch) bool) bool {
	k := c.facts.nothing()
	for w := range c.switches {
		if k = k.with(Switch(w), closed(Switch(w))); k == nil {
			return false
		}
	}
	return true
}

// Narrow decides without trying few switches out first.
func (c *Circuit) Narrow(ctx context.Context, q QuestionID, k Corner) (*Decision, error) {
	d := c.newDecider(decisionKey{q: q, corner: k})
	if d.q.Atom.Kind != model.AtomMeasure {
		return d.decide(ctx, d.c.facts.nothing())
	}
	return d.narrow(ctx, c.facts.nothing(), 0, Undecided)
}

package fault

import (
	"context"
	"slices"

	"pintle/checker/engine/system"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// stuckAnywhere asks whether something is possible at whatever value senders have been
// stuck from the start: it has to be at each. It returns the first answer that is not
// Holds, with its system.
func (w *Faulted) stuckAnywhere(ctx context.Context, at *System, r *model.Requirement, nominal bool, opts Options) (*System, system.Verdict, error) {
	sys, v := at, system.Verdict{Outcome: system.Holds}
	var walk func(w *Faulted, rest []model.QuantityID) error
	walk = func(w *Faulted, rest []model.QuantityID) error {
		if len(rest) == 0 {
			next, err := opts.build(ctx, w, nominal)
			if err != nil {
				return err
			}
			got, _, err := next.requirement(ctx, r, nominal)
			if got.Outcome != system.Holds || got.NominalOnly {
				sys, v = next, got
			}
			return err
		}
		axis := at.Axis(rest[0])
		if axis == nil {
			v = system.Verdict{}
			return nil
		}
		for i := range axis.Len() {
			if err := walk(w.stuckAt(rest[0], axis.Value(i)), rest[1:]); err != nil || v.Outcome != system.Holds || v.NominalOnly {
				return err
			}
		}
		return nil
	}
	err := walk(w, w.stuck)
	return sys, v, err
}

// stuckAt is the same with a sender stuck at a value from the start.
func (w *Faulted) stuckAt(q model.QuantityID, value unit.Value) *Faulted {
	out, d := *w, *w.Design
	d.Quantities = slices.Clone(d.Quantities)
	d.Quantities[q].Start, d.Quantities[q].StartSet = value, true
	out.Design = &d
	return &out
}

package drive

import (
	"context"

	"pintle/checker/circuit"
	"pintle/lang/model"
)

// End is where a drive has come to, with everything that was set by hand in its last step
// still held.
type End struct {
	State  State
	Events []Event // from rest, the first settling included
	at     *moment
}

// EndOf runs a drive from rest to the end of its last step. Errors are those of Run.
func EndOf(ctx context.Context, d *model.Design, drive *model.Drive, o Options) (*End, error) {
	r, err := newRunner(d, o)
	if err != nil {
		return nil, err
	}
	r.hold = true
	if err := r.begin(ctx); err != nil {
		return nil, err
	}
	if err := r.all(ctx, drive); err != nil {
		return nil, err
	}
	return &End{State: r.s, Events: r.out.Events, at: r.moment(ctx, &r.s)}, nil
}

// Is gives the value of a condition at the end.
func (e *End) Is(c *model.Cond) Truth { return e.at.eval(c) }

// Circuit is the solved circuit at the end; nil where it is not known how its switches stand.
func (e *End) Circuit() *circuit.Solution {
	all, ok := e.at.solutions()
	if !ok || len(all) != 1 {
		return nil
	}
	return all[0]
}

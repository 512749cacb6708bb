package scenario

import (
	"context"
	"maps"
	"slices"

	"pintle/lang/model"
)

// End is where a drive has come to, with everything that was set by hand in its last step
// still held.
type End struct {
	Rest
	Events []Event // from rest, the first settling included
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
	return &End{Rest: Rest{State: r.s, Step: r.step, at: r.moment(ctx, &r.s)}, Events: r.out.Events}, nil
}

// Record runs a drive from rest and shows how it stands at the end of each step, with
// everything that was set by hand in it still held. Errors are those of Run and of see.
func Record(ctx context.Context, d *model.Design, drive *model.Drive, o Options, see func(step int, at *End) error) error {
	r, err := newRunner(d, o)
	if err != nil {
		return err
	}
	r.inHand = true
	if err := r.begin(ctx); err != nil {
		return err
	}
	r.drive = drive
	for i := range drive.Steps {
		r.step, r.out.Events = i, nil
		if err := r.runStep(ctx, &drive.Steps[i]); err != nil {
			return err
		}
		if err := see(i, &End{Rest: Rest{State: r.s, Step: r.step, at: r.moment(ctx, &r.s)}, Events: r.out.Events}); err != nil {
			return err
		}
	}
	return nil
}

// Conducts gives whether an element conducts at the end, as the faults leave it.
func (e *End) Conducts(id model.ElementID) Truth {
	c := e.at.circuit
	w, switched, conducts := c.SwitchOf(id)
	if switched {
		return e.at.eval(c.Switches()[w].Cond)
	}
	return truth(conducts)
}

// Passes gives whether a passage is open at the end, as the faults leave it.
func (e *End) Passes(passage int) Truth {
	for _, x := range e.at.fluid.Edges() {
		if x.Passage != model.PassageID(passage) {
			continue
		}
		if x.Cond == nil {
			return True
		}
		return e.at.eval(x.Cond)
	}
	return False
}

// PutAt puts what is remembered where it is known to stand, in place of where the drive
// has left it: for a state that a drive comes near only, as where a duration that lies within
// an interval is another one than the drive takes.
func (e *End) PutAt(change func(s *State)) {
	s := e.State
	s.Settings, s.Memories, s.Machines = slices.Clone(s.Settings), slices.Clone(s.Memories), slices.Clone(s.Machines)
	s.Clocks, s.Free = slices.Clone(s.Clocks), maps.Clone(s.Free)
	if s.Free == nil {
		s.Free = map[model.ElementID]bool{}
	}
	change(&s)
	e.State = s
	e.at = e.at.plant.moment(e.at.ctx, &e.State)
}

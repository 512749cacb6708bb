package scenario

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"pintle/lang/model"
	"pintle/lang/unit"
)

// Session runs a drive step by step, and can take steps back.
type Session struct {
	now  *runner
	past []*runner // before each step
}

// Begin starts a session where a drive begins: at rest, or at the end of the drive that it goes
// on from. The events are those of hardware that settles at rest. The errors are those of Run.
func Begin(ctx context.Context, d *model.Design, drive *model.Drive, o Options) (*Session, error) {
	r, err := newRunner(d, o)
	if err != nil {
		return nil, err
	}
	whole, err := r.lead(ctx, drive.After)
	if err == nil && !whole {
		err = errors.New(r.out.Open[0].Why)
	}
	if err != nil {
		return nil, err
	}
	return &Session{now: r}, nil
}

// Step runs one step of a drive of the design, by its number from 0, and returns what came of
// it alone. After an error nothing has changed.
func (s *Session) Step(ctx context.Context, drive *model.Drive, i int) (*Result, error) {
	next := s.now.clone()
	if err := next.one(ctx, drive, i); err != nil {
		return nil, err
	}
	if next.out.Unread {
		return nil, fmt.Errorf("%s could not be read", next.stepName())
	}
	s.past, s.now = append(s.past, s.now), next
	return next.out, nil
}

// Undo takes the last step back; false if there is none.
func (s *Session) Undo() bool {
	n := len(s.past)
	if n == 0 {
		return false
	}
	s.now, s.past = s.past[n-1], s.past[:n-1]
	return true
}

// Fits reports whether steps of drives of another design, made from the same text with more claims,
// drives or questions behind it, may be run in the session: whatever is remembered and whatever
// quantities are compared with is the same.
func (s *Session) Fits(d *model.Design) bool {
	is := s.now.design
	count := func(d *model.Design) [13]int {
		return [...]int{len(d.Nodes), len(d.Elements), len(d.Quantities), len(d.Settings), len(d.Memories), len(d.Machines), len(d.Timers),
			len(d.Beats), len(d.Edges), len(d.Readings), len(d.Conditions), len(d.Results), len(d.Bands)}
	}
	same := func(a, b []unit.Num) bool { return slices.EqualFunc(a, b, unit.Num.Equal) }
	return count(is) == count(d) && slices.EqualFunc(s.now.points, critical(d, s.now.offsets), same)
}

// Steps counts the steps that were run and not taken back.
func (s *Session) Steps() int { return len(s.past) }

// Now is the moment that the session has come to.
func (s *Session) Now(ctx context.Context) *Rest {
	return &Rest{State: s.now.s, Step: s.now.step, at: s.now.moment(ctx, &s.now.s)}
}

// clone is a runner that goes on from where this one stands. What a plant has in its tables is
// replaced as a whole when faults come and go, never changed.
func (r *runner) clone() *runner {
	p, next := *r.plant, *r
	next.plant, next.s, next.out = &p, r.s.Clone(), &Result{}
	next.watch, next.ramps = nil, nil
	return &next
}

package report

import (
	"context"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/checker/question/diagnose"
	"pintle/lang/model"
)

// FaultQuestion is what is asked of the single faults of a design; empty: all of them.
type FaultQuestion struct {
	Of      string // the faults of this thing and of what is in it, by path
	Symptom string // the faults that bring this symptom about, by name
	Claim   string // the faults with which this requirement does not hold, by name
}

// Moves reports whether text shows how each effect comes about.
func (q FaultQuestion) Moves() bool { return q != FaultQuestion{} }

// meant reports whether a thing is among those asked for.
func (q FaultQuestion) meant(path string) bool {
	return q.Of == "" || path == q.Of || strings.HasPrefix(path, q.Of+".")
}

// FaultsOf tries the single faults of a design: what the command and the editor both show.
// Progress may be nil. When the context ends, what was not tried says so; that is no error.
func FaultsOf(ctx context.Context, s *fault.Sweep, d *model.Design, q FaultQuestion, progress func(done, all int)) (Faults, error) {
	var only func(*fault.Fault) bool
	if q.Of != "" {
		only = func(f *fault.Fault) bool { return q.meant(f.Subject) }
	}
	rows, err := s.Table(ctx, only, progress)
	t := Faults{Design: d, Rows: rows}
	if err != nil {
		return t, err
	}
	if q.Of == "" {
		t.LeftOut = s.LeftOut()
	}
	if q.Symptom == "" && q.Claim == "" {
		t.Protection, err = s.Protection(ctx, q.meant)
	} else {
		t.Only(q.Claim, q.Symptom)
	}
	if err == nil && q.Symptom != "" {
		t.Plan, err = diagnose.Symptom(ctx, d, t.Rows, q.Symptom)
	}
	if ctx.Err() != nil {
		return t, nil
	}
	return t, err
}

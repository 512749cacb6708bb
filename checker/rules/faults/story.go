package faults

import (
	"context"
	"slices"

	"pintle/checker/engine/fault"
	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/checker/question/evidence"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// story reports how a trace of a design with a fault leads to where a requirement does not
// hold, and why that is so: the moves, among which is the fault, and the causes in a drive of
// them.
func story(ctx context.Context, title string, d *model.Design, s *fault.System, t *system.Trace, r *model.Requirement) []diag.Evidence {
	st := &diag.State{Senders: evidence.Off(d, t.System.Offsets())}
	st.Corner, st.Cold = t.System.Circuit().Open(t.System.Corner())
	way, near := s.AsMoves(t, "moves")
	for i := range way.Steps { // supplies are in the corner
		way.Steps[i].Sets = slices.DeleteFunc(way.Steps[i].Sets, func(a model.SetAction) bool { return a.Supply != model.None })
	}
	st.Moves, st.Near = evidence.Moved(&way), near
	if slices.ContainsFunc(st.Corner, func(o diag.Open) bool { return o.Param >= s.SoundParams() }) {
		st.Near = append(st.Near, "what the fault changes stands at a value of its own")
	}
	lines := s.Lines(t)
	for _, l := range lines {
		st.Order = append(st.Order, l.Events...)
	}
	out := []diag.Evidence{{Kind: diag.Trace, Title: title, Lines: lines, State: st}}
	if len(st.Near) > 0 || r.A == nil || !r.A.Known() || len(way.Steps) == 0 {
		return out
	}
	wanted := r.A
	switch r.Form {
	case model.Never:
		wanted = model.Not(r.A)
	case model.Always, model.Whenever, model.Within, model.Repeats:
	default:
		return out
	}
	last := &way.Steps[len(way.Steps)-1]
	last.Sees = []model.See{{Cond: wanted, When: model.AtEnd, Place: r.A.Place}}
	got, err := scenario.Run(ctx, d, &way, scenario.Options{Corner: t.System.Corner(), Offsets: t.System.Offsets(), Order: st.Order, InHand: true})
	if err != nil || len(got.Failures) != 1 || len(got.Failures[0].Chain) == 0 {
		return out
	}
	f := got.Failures[0]
	f.Chain = f.Chain[:min(len(f.Chain), evidence.MostCauses)]
	causes, _ := evidence.Causes(d, f)
	return append(out, causes)
}

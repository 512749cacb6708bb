package evidence

import (
	"context"
	"slices"

	"pintle/checker/circuit"
	"pintle/checker/drive"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Bounds on what Because tells: more nobody reads.
const (
	mostCauses = 10
	mostWays   = 2
)

// Because tells why a condition is not what is wanted in the state that a trace leads to:
// as a chain of causes, and of loads that run and should not, the way of their current.
// The trace is driven once more for this; nothing is told where a drive can't do all that
// it does, and so does not come to the same end.
func Because(ctx context.Context, t *system.Trace, c *model.Cond, want bool) []diag.Evidence {
	if t == nil {
		return nil
	}
	return BecauseIn(ctx, t, t.System.Corner(), t.System.Offsets(), c, want)
}

// BecauseIn tells why the moves of a trace do not lead to what is wanted in a corner that is
// not the one of the trace.
func BecauseIn(ctx context.Context, t *system.Trace, k circuit.Corner, senders model.Offsets, c *model.Cond, want bool) []diag.Evidence {
	if t == nil || c == nil || !c.Known() {
		return nil
	}
	d := t.System.Design()
	way, near := movesOf(t)
	if len(near) > 0 && (k != t.System.Corner() || senders != t.System.Offsets()) {
		return nil
	}
	wanted := c
	if !want {
		wanted = model.Not(c)
	}
	if len(way.Steps) == 0 {
		way.Steps = []model.Step{{Info: model.Info{Fit: model.None}}}
	}
	last := &way.Steps[len(way.Steps)-1]
	last.Sees = []model.See{{Cond: wanted, When: model.AtEnd, Place: c.Place}}
	got, err := drive.Run(ctx, d, &way, drive.Options{Corner: k, Faults: t.System.Faults(), Offsets: senders, FusesHold: true})
	if err != nil || len(got.Failures) != 1 {
		return nil
	}
	f := got.Failures[0]
	if len(near) > 0 && !sameEnd(t, f.Circuit) {
		return nil
	}
	var out []diag.Evidence
	var at *Solved
	state := StateOf(t)
	state.Corner, state.Cold = t.System.Circuit().Open(k)
	state.Senders = off(d, senders)
	if f.Circuit != nil {
		at = At(d, t, f.Circuit, t.System.Faults()...)
		at.State().Senders = state.Senders
		state = at.State()
	}
	if lines := f.Chain; len(lines) > 0 {
		out = append(out, chain(lines[:min(len(lines), mostCauses)], state))
	}
	if want || at == nil {
		return out
	}
	for _, e := range loadsOf(d, c, map[int]bool{}) {
		way, ok := f.Circuit.PathThrough(e)
		if !ok || len(out) > mostWays {
			continue
		}
		out = append(out, at.Path("the way of the current through "+Thing(d, &d.Elements[e]), way))
	}
	return out
}

// sameEnd reports whether the switches of a solved circuit stand as they do at the end of a
// trace, so far as the trace tells: a drive that can't do exactly as the trace does may fail
// an expectation too, and for another reason.
func sameEnd(t *system.Trace, s *circuit.Solution) bool {
	if s == nil {
		return false
	}
	for w, info := range s.Circuit().Switches() {
		if is, known := t.Is(info.Cond); known && is != s.Closed(circuit.Switch(w)) {
			return false
		}
	}
	return true
}

// movesOf are the moves of a trace as a drive, in whatever corner it is driven.
func movesOf(t *system.Trace) (way model.Drive, near []string) {
	way, near = t.AsDrive("moves")
	for i := range way.Steps {
		way.Steps[i].Sets = slices.DeleteFunc(way.Steps[i].Sets, func(a model.SetAction) bool { return a.Supply != model.None })
	}
	return way, near
}

// Driven is the state that the moves of a trace lead to in a corner, which need not be that
// of the trace. It is nil where a drive can't do them exactly or has no end.
func Driven(ctx context.Context, t *system.Trace, k circuit.Corner) *Solved {
	way, near := movesOf(t)
	if len(near) > 0 {
		return nil
	}
	end, err := drive.EndOf(ctx, t.System.Design(), &way, drive.Options{Corner: k, Offsets: t.System.Offsets(), Faults: t.System.Faults()})
	if err != nil || end.Circuit() == nil {
		return nil
	}
	return At(t.System.Design(), t, end.Circuit(), t.System.Faults()...)
}

// chain is a chain of causes that begins in a state.
func chain(lines []diag.Line, state *diag.State) diag.Evidence {
	lines = slices.Clone(lines)
	for i := range lines {
		lines[i].Numbers = slices.Clone(lines[i].Numbers)
		for k := range lines[i].Numbers {
			lines[i].Numbers[k].State = state
		}
	}
	return diag.Evidence{Kind: diag.Chain, Title: "because", Lines: lines, State: state}
}

// Causes tells why an expectation of a drive was not met.
func Causes(d *model.Design, f drive.Failure) diag.Evidence {
	state := &diag.State{}
	if f.Circuit != nil {
		state = At(d, nil, f.Circuit, f.Circuit.Circuit().Faults()...).State()
	}
	return chain(f.Chain, state)
}

// loadsOf lists the loads and windings that a condition asks about by their volts, in the
// order of the text, also in the conditions that it names.
func loadsOf(d *model.Design, c *model.Cond, seen map[int]bool) (out []model.ElementID) {
	told := map[model.ElementID]bool{}
	c.Atoms(func(k *model.Cond) {
		switch a := &k.Atom; a.Kind {
		case model.AtomMeasure:
			if e := a.Measure.Element; e != model.None && !told[e] {
				told[e] = true
				out = append(out, e)
			}
		case model.AtomCondition:
			if !seen[a.Index] {
				seen[a.Index] = true
				out = append(out, loadsOf(d, d.Conditions[a.Index].Cond, seen)...)
			}
		}
	})
	return out
}

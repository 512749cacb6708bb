package evidence

import (
	"context"
	"fmt"
	"math"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Bounds on what is told of causes: more nobody reads.
const (
	MostCauses = 40 // of a chain
	mostWays   = 2
)

// Because tells why a condition is not what is wanted in the state that a trace leads to:
// as a chain of causes, and of loads that run and should not, the way of their current.
// The trace is driven once more for this. Where a drive can't do all exactly as the trace does
// it is put in the state that the trace ends in; nothing is reported where that is not the same
// circuit then.
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
	o := scenario.Options{Corner: k, Faults: t.System.Faults(), Offsets: senders, FusesHold: true, InHand: true}
	end, err := scenario.EndOf(ctx, d, &way, o)
	if err != nil {
		return nil
	}
	if len(near) > 0 { // the drive may have come to another end: the trace says how what it tells of stands
		standAs(end, t)
	}
	solved := end.Circuit()
	if len(near) > 0 && !sameEnd(t, solved) {
		return nil
	}
	var out []diag.Evidence
	var at *Solved
	state := StateOf(t)
	state.Corner, state.Cold = t.System.Circuit().Open(k)
	state.Senders = Off(d, senders)
	if solved != nil {
		at = At(d, t, solved, t.System.Faults()...)
		at.State().Senders = state.Senders
		state = at.State()
	}
	if lines := end.Explain(c, want); len(lines) > 0 {
		if n := len(lines) - MostCauses; n > 1 {
			lines = append(lines[:MostCauses], diag.Line{Text: fmt.Sprintf("and %d lines more", n)})
		}
		out = append(out, chain(lines, state))
	}
	if at == nil {
		return out
	}
	for _, e := range loadsOf(d, c, map[int]bool{}) {
		way, ok := solved.PathThrough(e)
		if !ok || len(out) > mostWays || want && !some(d, solved, e) {
			continue
		}
		out = append(out, at.Path("current path through "+Thing(d, &d.Elements[e]), way))
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

// standAs puts the end of a drive in the state in which a trace ends, so far as the trace
// tells.
func standAs(end *scenario.End, t *system.Trace) {
	is := t.Standing()
	end.PutAt(func(s *scenario.State) {
		for i, to := range is.Settings {
			s.Settings[i] = to
		}
		for i, to := range is.Memories {
			s.Memories[i] = to
		}
		for i, to := range is.Machines {
			s.Machines[i] = to
		}
		for i, to := range is.Timers {
			if c := &s.Clocks[i]; c.Phase != to {
				c.Phase, c.Ran, c.Until = to, false, 0 // since when is not known
			}
		}
		for e, made := range is.Free {
			s.Free[e] = made
		}
	})
}

// movesOf are the moves of a trace as a drive, in whatever corner it is driven.
func movesOf(t *system.Trace) (way model.Drive, near []string) {
	way, near = t.AsMoves("moves")
	for i := range way.Steps {
		way.Steps[i].Sets = slices.DeleteFunc(way.Steps[i].Sets, func(a model.SetAction) bool { return a.Supply != model.None })
	}
	return way, near
}

// Driven is the state that the moves of a trace lead to in a corner, which need not be that
// of the trace. Where no fuse opens in the trace, none does in that corner. It is nil where a drive
// can't do the moves exactly or has no end.
func Driven(ctx context.Context, t *system.Trace, k circuit.Corner) *Solved {
	way, near := movesOf(t)
	if len(near) > 0 {
		return nil
	}
	end, err := scenario.EndOf(ctx, t.System.Design(), &way, scenario.Options{
		Corner: k, Offsets: t.System.Offsets(), Faults: t.System.Faults(), InHand: true, FusesHold: !opens(StateOf(t)),
	})
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

// Causes reports why an expectation of a drive was not met, and the solved numbers of what was
// seen instead.
func Causes(d *model.Design, f scenario.Failure) (diag.Evidence, []diag.Number) {
	state := &diag.State{}
	if f.Circuit != nil {
		state = At(d, nil, f.Circuit, f.Circuit.Circuit().Faults()...).State()
	}
	numbers := slices.Clone(f.Numbers)
	for i := range numbers {
		numbers[i].State = state
	}
	return chain(f.Chain, state), numbers
}

// some reports whether an element that is to get more gets something worth speaking of: a
// twentieth of the highest voltage of any supply.
func some(d *model.Design, s *circuit.Solution, e model.ElementID) bool {
	most := 0.0
	for i := range d.Supplies {
		most = max(most, d.Supplies[i].Nominal.Float64())
	}
	x := s.Circuit().Element(e)
	u, ok := s.Between(x.A, x.B)
	return ok && s.Carries(e) && math.Abs(u) > most/20
}

// loadsOf lists the loads and windings that a condition asks about by their volts, in the
// order of the text, also in the conditions that it names.
func loadsOf(d *model.Design, c *model.Cond, seen map[int]bool) (out []model.ElementID) {
	told := map[model.ElementID]bool{}
	c.Atoms(func(k *model.Cond) {
		switch a := &k.Atom; a.Kind {
		case model.AtomMemory:
			if m := &d.Memories[a.Index]; m.MemKind == model.MemCoil && !seen[-1-a.Index] {
				seen[-1-a.Index] = true
				for _, r := range m.Rules {
					out = append(out, loadsOf(d, r.When, seen)...)
				}
				out = slices.Compact(out)
			}
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

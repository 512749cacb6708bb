package drives

import (
	"context"
	"slices"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/ask"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Hand moves a design by hand: step by step, and back.
type Hand struct {
	*scenario.Session
	design *model.Design
	rec    *Recording
}

// Take takes a design in hand where a drive of it begins. The errors are those of scenario.Begin.
func Take(ctx context.Context, d *model.Design, drive *model.Drive, pace scenario.Pace) (*Hand, error) {
	h := &Hand{design: d, rec: newRecording(d, nil)}
	var err error
	h.Session, err = scenario.Begin(ctx, d, drive, scenario.Options{Pace: pace, Each: h.rec.take})
	return h, err
}

// Step runs a step of a drive, from 0. The run tells of that step only.
func (h *Hand) Step(ctx context.Context, drive *model.Drive, i int) (*Run, error) {
	h.rec.Samples = nil
	before := h.Now(ctx)
	h.rec.take(before)
	got, err := h.Session.Step(ctx, drive, i)
	if err != nil {
		return nil, err
	}
	r := &Run{Result: got, Steps: make([]Step, i+1)}
	r.Steps[i] = r.stepOf(h.design, drive, i)
	for k := range r.Steps[i].Sees {
		r.Steps[i].Sees[k].Place = diag.Place{} // it stands in no line of a file
	}
	r.Steps[i].Done, r.Steps[i].Ended = true, got.Ends[0]
	r.Events = events(got.Events, h.rec)
	return r, nil
}

// Stands is a thing with the value that it has.
type Stands struct {
	Signal
	Value
}

// Standing are all signals with what they are now.
func (h *Hand) Standing(ctx context.Context) (out []Stands) {
	now := h.Now(ctx)
	for _, s := range Signals(h.design) {
		out = append(out, Stands{s, s.at(h.design, now)})
	}
	return out
}

// Why are the causes of what a signal is now, back to the inputs: each line because of the next,
// deeper ones indented. It is empty for an input, and for what is not known.
func (h *Hand) Why(ctx context.Context, s *Stands) []diag.Line {
	in := func(k model.AtomKind) *model.Cond { return atom(model.Atom{Kind: k, Index: s.of, In: []int{s.State}}) }
	now := h.Now(ctx)
	if !s.Known {
		return nil
	}
	switch s.Kind {
	case OfMemory:
		return now.Explain(in(model.AtomMemory), false)
	case OfModes:
		return now.Explain(in(model.AtomMachine), false)
	case OfTimer:
		return now.Explain(in(model.AtomTimer), false)
	case OfBeat:
		return now.Explain(atom(model.Atom{Kind: model.AtomBeat, Index: s.of, In: []int{1}}), s.State == 0)
	case OfResult:
		if s.State < len(s.States)-1 {
			return now.Explain(in(model.AtomResult), false)
		}
	case OfBands:
		if s.State < len(s.States)-1 {
			return now.Explain(in(model.AtomBands), false)
		}
	case OfCondition:
		return now.Explain(atom(model.Atom{Kind: model.AtomCondition, Index: s.of}), s.State == 0)
	case OfLoad:
		k := max(s.State, 1) - 1
		level := runsFrom
		if len(s.levels) > 0 {
			level = h.design.Loads[s.of].Levels[s.levels[k]]
		}
		return now.Explain(atom(ask.AtLevel(h.design, model.LoadID(s.of), level)), s.State == 0)
	}
	return nil
}

// Design is the one in hand.
func (h *Hand) Design() *model.Design { return h.design }

// Failed are the things of which faults stand, each once.
func (h *Hand) Failed(ctx context.Context) (out []string) {
	for _, a := range h.Now(ctx).Faults() {
		if !slices.Contains(out, a.Thing.Path) {
			out = append(out, a.Thing.Path)
		}
	}
	return out
}

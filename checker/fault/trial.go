package fault

import (
	"context"
	"slices"
	"strings"

	"pintle/checker/logic"
	"pintle/checker/reach"
	"pintle/checker/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// System is the state system of a design with one fault woven in.
type System struct {
	*Woven
	*system.System
}

// Build weaves a fault into a design and makes the system of that; see [Weave]. Of the
// options those that bound the work count.
func Build(ctx context.Context, d *model.Design, f *Fault, always bool, opts system.Options) (*System, error) {
	w, err := Weave(d, f, always)
	if err != nil {
		return nil, err
	}
	return w.build(ctx, opts)
}

func (w *Woven) build(ctx context.Context, opts system.Options) (*System, error) {
	s, err := system.Build(ctx, w.Design, system.Options{
		MaxNodes: opts.MaxNodes, MaxZones: opts.MaxZones, MaxCorners: opts.MaxCorners, Unsliced: opts.Unsliced,
	})
	if err != nil {
		return nil, err
	}
	return &System{w, s}, nil
}

// Beyond says of a verdict that what a fault leads to is beyond what can be told; see the
// package comment.
const beyond = "it shorts a supply and no fuse opens"

// Requirement answers a requirement of the design in spite of the fault. With beyond, the
// verdict leaves out states in which a supply is shorted outright.
func (s *System) Requirement(ctx context.Context, r *model.Requirement) (v system.Verdict, beyond bool, err error) {
	woven := s.requirement(r)
	v, err = s.Decide(ctx, woven)
	if err != nil || s.Shorted == nil || v.Trace == nil || v.Outcome == system.Holds {
		return v, false, err
	}
	// It fails; where supplies hold out it may not.
	out := system.Not(system.On(s.Shorted))
	switch a, b := system.On(woven.A), system.On(woven.B); woven.Form {
	case model.Never:
		v, err = s.Never(ctx, system.All(a, out))
	case model.Always:
		v, err = s.Whenever(ctx, a, out)
	case model.Whenever:
		v, err = s.Whenever(ctx, a, system.All(b, out))
	case model.Within, model.Repeats:
		v, err = s.Within(ctx, a, system.All(b, out), woven.Seconds)
	case model.Apart:
		v, err = s.Never(ctx, system.All(s.Conducts(woven.X, woven.Y), out))
	default:
		return v, false, nil
	}
	if err != nil || v.Trace == nil || v.Outcome == system.Holds {
		return v, true, err
	}
	past, err := s.pastShort(ctx, v.Trace)
	if err == nil && past {
		v = system.Verdict{Outcome: system.Holds} // as far as can be told
	}
	return v, past, err
}

// requirement is one of the sound design as it stands in the woven one.
func (s *System) requirement(r *model.Requirement) *model.Requirement {
	i := slices.IndexFunc(s.sound.Requirements, func(q model.Requirement) bool { return q.Path == r.Path })
	if i < 0 {
		return r
	}
	return &s.Woven.Design.Requirements[i]
}

// pastShort tells whether a trace leads through a state in which a supply is shorted.
func (s *System) pastShort(ctx context.Context, t *system.Trace) (bool, error) {
	short, err := t.System.Expr(ctx, s.Shorted)
	if err != nil {
		return false, err
	}
	vars := short.Vars()
	for _, v := range vars {
		if _, ok := slices.BinarySearch(t.Vars, v); !ok {
			return true, nil // not looked at: not sure
		}
	}
	points := []logic.Point{t.Initial}
	for i := range t.Steps {
		points = append(points, t.Steps[i].After)
	}
	return slices.ContainsFunc(points, short.Eval), nil
}

// Lines tells a trace of the system in the words of the design and of the fault.
func (s *System) Lines(t *system.Trace) []diag.Line {
	var out []diag.Line
	for _, l := range t.Lines() {
		if strings.Contains(l.Text, latchName) {
			continue // follows at once
		}
		first := strings.HasPrefix(l.Text, "at first: ")
		switch {
		case first && strings.Contains(l.Text, triggerName+" is made"):
			l.Text = strings.Replace(l.Text, triggerName+" is made", s.Fault.Words, 1)
		case first:
			l.Text = strings.TrimPrefix(l.Text, "at first: ")
			parts := slices.DeleteFunc(strings.Split(l.Text, ", "), func(p string) bool { return p == triggerName+" is broken" })
			if len(parts) == 0 {
				continue
			}
			l.Text = "at first: " + strings.Join(parts, ", ")
		case strings.Contains(l.Text, triggerName+" is made"):
			number, _, _ := strings.Cut(l.Text, triggerName)
			l.Text, l.Place, l.Step = number+s.Fault.Event, s.Fault.Place, s.Fault.Step()
		}
		l.Text = strings.Replace(l.Text, " goes from "+whole+" to blown", " blows", 1)
		out = append(out, l)
	}
	if out == nil {
		return []diag.Line{{Text: "from the start, before anything is moved"}}
	}
	return out
}

// AsDrive writes a trace of the system as a drive of the sound design in which the fault
// comes where it comes in the trace. What a drive cannot do exactly is listed; see
// system.Trace.AsDrive.
func (s *System) AsDrive(t *system.Trace, name string) (model.Drive, []string) {
	at := 0
	var notes []string
	if s.trigger != model.None {
		at = slices.IndexFunc(t.Steps, func(st reach.Step) bool { return s.comes(t, &st) })
	}
	if at < 0 { // it is there from the start, or never comes
		at = 0
	}
	cut := func(from, to int) (model.Drive, []string) {
		part := *t.Trace
		part.Steps = nil
		for i := from; i < to; i++ {
			if !s.comes(t, &t.Steps[i]) {
				part.Steps = append(part.Steps, t.Steps[i])
			}
		}
		if from > 0 {
			part.Initial = t.Steps[from-1].After
		}
		return (&system.Trace{Trace: &part, System: t.System}).AsDrive(name)
	}
	d, n1 := cut(0, at)
	rest, n2 := cut(at, len(t.Steps))
	notes = append(append(notes, n1...), n2...)
	if t.Schedule != nil && len(t.Schedule.At) > 0 && t.Schedule.At[len(t.Schedule.At)-1] > 0 {
		notes = append(notes, "the moves have to come at their times")
	}
	broken := model.Step{Faults: s.Fault.Actions}
	broken.Fit = model.None
	d.Steps = append(append(d.Steps, broken), rest.Steps...)
	for _, st := range d.Steps {
		for _, a := range st.Sets {
			if a.Quantity != model.None && slices.Contains(s.stuck, a.Quantity) {
				notes = append(notes, "a drive can't say at what value a sender sticks")
			}
		}
	}
	return d, notes
}

// comes tells whether a step is that in which the fault comes.
func (s *System) comes(t *system.Trace, st *reach.Step) bool {
	if st.Move.Kind != reach.MoveInput || s.trigger == model.None {
		return false
	}
	r := t.System.Role(st.Move.Var)
	return r.Kind == system.RoleFree && r.Index == int(s.trigger)
}

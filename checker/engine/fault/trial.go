package fault

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/checker/engine/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// System is the state system of a design with one fault injected.
type System struct {
	*Faulted
	*system.System
	burns *bool // whether a supply can come to be shorted with no fuse that surely opens; nil: not asked yet
	bare  *bool // whether one can with no fuse that opens
}

// Build injects a fault into a design and makes the system of that; see [Inject]. Of the
// options those that bound the work count.
func Build(ctx context.Context, d *model.Design, f *Fault, always bool, opts system.Options) (*System, error) {
	w, err := Inject(d, f, always)
	if err != nil {
		return nil, err
	}
	return w.build(ctx, opts)
}

func (w *Faulted) build(ctx context.Context, opts system.Options) (*System, error) {
	s, err := system.Build(ctx, w.Design, system.Options{
		MaxNodes: opts.MaxNodes, MaxZones: opts.MaxZones, MaxCorners: opts.MaxCorners, Unsliced: opts.Unsliced, Memo: opts.Memo,
		OnDemand: true, Apart: w.apart,
	})
	if err != nil {
		return nil, err
	}
	return &System{Faulted: w, System: s}, nil
}

// nominalShare is the part of Options.Steps that one fault gets with everything at its nominal
// value: a design has some hundred faults, and what one needs that can be decided is far less.
const nominalShare = 32

// build makes the system of a injected design, for questions at nominal values or within all
// tolerances.
func (o *Options) build(ctx context.Context, w *Faulted, nominal bool) (*System, error) {
	s, err := w.build(ctx, system.Options{MaxNodes: o.MaxNodes, MaxZones: o.MaxZones, Memo: o.Memo})
	if err != nil {
		return nil, err
	}
	s.Circuit().Limit(o.steps(nominal), o.steps(false))
	return s, nil
}

func (o *Options) steps(nominal bool) int {
	steps := cmp.Or(o.Steps, circuit.DefaultSteps)
	if nominal {
		steps = max(steps/nominalShare, 1)
	}
	return steps
}

// Requirement answers a requirement of the design in spite of the fault. Beyond tells that
// the verdict leaves out something: what happens once a supply is shorted with no fuse in the way.
func (s *System) Requirement(ctx context.Context, r *model.Requirement) (v system.Verdict, beyond bool, err error) {
	return s.requirement(ctx, r, false)
}

// requirement answers one, at nominal values only or within all tolerances.
func (s *System) requirement(ctx context.Context, r *model.Requirement, nominal bool) (system.Verdict, bool, error) {
	r = s.faultedOf(r)
	v, err := s.ask(ctx, r, system.On(nil), nominal)
	if err != nil || s.Shorted == nil {
		return v, false, err
	}
	if r.Form == model.Possible { // what is so only once something has burnt shows nothing
		if burns, err := s.burning(ctx); err != nil || !burns {
			return v, false, err
		}
		if v.Outcome == system.Holds {
			v, err = s.possibly(ctx, r, nominal)
		}
		if v.Outcome == system.Fails || v.Outcome == system.HoldsNominally {
			v = system.Verdict{Outcome: system.Holds}
		}
		return v, true, err
	}
	if v.Outcome != system.Fails && v.Outcome != system.HoldsNominally {
		beyond, err := s.burning(ctx)
		return v, beyond, err
	}
	// It fails; while no supply is shorted it may not.
	if burns, err := s.burning(ctx); err != nil || !burns {
		return v, false, err
	}
	v, err = s.ask(ctx, r, system.Not(system.On(s.Shorted)), nominal)
	return v, v.Outcome == system.Holds, err
}

// possibly asks whether something is possible before anything is burnt.
func (s *System) possibly(ctx context.Context, r *model.Requirement, nominal bool) (system.Verdict, error) {
	asked := system.All(system.On(r.A), system.Not(system.On(s.Shorted)))
	if nominal {
		v, err := s.PossibleHere(ctx, asked)
		return s.Surely(v), err
	}
	return s.Possible(ctx, asked)
}

// unprotected reports whether the fault can come to short a supply with no fuse that opens,
// so that the current flows on.
func (s *System) unprotected(ctx context.Context) (bool, error) {
	if s.bare == nil {
		yes := s.Unprotected != nil
		if yes {
			v, err := s.PossibleHere(ctx, system.On(s.Unprotected))
			if err != nil {
				return false, err
			}
			yes = v.Outcome != system.Fails
		}
		s.bare = &yes
	}
	return *s.bare, nil
}

// burning reports whether a supply can come to be shorted with no fuse in the way.
func (s *System) burning(ctx context.Context) (bool, error) {
	if s.burns == nil {
		v, err := s.PossibleHere(ctx, system.On(s.Shorted))
		if err != nil {
			return false, err
		}
		yes := v.Outcome != system.Fails
		s.burns = &yes
	}
	return *s.burns, nil
}

// ask decides a requirement of the injected design as far as while holds.
func (s *System) ask(ctx context.Context, r *model.Requirement, while system.Condition, nominal bool) (system.Verdict, error) {
	a, b := system.On(r.A), system.On(r.B)
	var bad system.Condition
	switch r.Form {
	case model.Never:
		bad = system.All(a, while)
	case model.Always:
		bad = system.All(system.Not(a), while)
	case model.Whenever:
		bad = system.All(system.Not(a), b, while)
	case model.Apart:
		bad = system.All(s.Conducts(r.X, r.Y), while)
	case model.Possible:
		if nominal {
			v, err := s.PossibleHere(ctx, a)
			return s.Surely(v), err
		}
		return s.Possible(ctx, a)
	case model.Within, model.Repeats:
		return s.Within(ctx, a, system.All(b, while), r.Seconds)
	default:
		return system.Verdict{}, nil
	}
	if !nominal {
		return s.Never(ctx, bad)
	}
	v, err := s.PossibleHere(ctx, bad)
	switch v.Outcome {
	case system.Holds:
		v.Outcome = system.Fails
	case system.Fails:
		v.Outcome = system.Holds
	}
	return v, err
}

// faultedOf is a requirement of the sound design as it stands in the injected one.
func (w *Faulted) faultedOf(r *model.Requirement) *model.Requirement {
	i := slices.IndexFunc(w.sound.Requirements, func(q model.Requirement) bool { return q.Path == r.Path })
	if i < 0 {
		return r
	}
	return &w.Design.Requirements[i]
}

// Lines tells a trace of the system in the words of the design and of the fault.
func (s *System) Lines(t *system.Trace) []diag.Line {
	var out []diag.Line
	for _, l := range t.Lines() {
		if strings.Contains(l.Text, latchName) || strings.Contains(l.Text, burnName) ||
			strings.Contains(l.Text, noticedName) || strings.Contains(l.Text, armedName) {
			continue // follows at once
		}
		if s.tell(&l) {
			out = append(out, l)
		}
	}
	if out == nil {
		return []diag.Line{{Text: "from the start, before anything is moved"}}
	}
	return out
}

// tell puts a line of a trace in the words of the faults; false where it then says nothing.
func (s *System) tell(l *diag.Line) bool {
	const start = "at first: "
	if !strings.HasPrefix(l.Text, start) {
		for _, part := range s.each() {
			if name := triggerName + part.mark; strings.Contains(l.Text, name+" is made") {
				number, _, _ := strings.Cut(l.Text, name)
				l.Text, l.Place, l.Step = number+part.Fault.Event, part.Fault.Place, part.Fault.Step()
			}
		}
		return true
	}
	var parts []string
	for _, p := range strings.Split(strings.TrimPrefix(l.Text, start), ", ") {
		comes := true
		for _, part := range s.each() {
			switch p {
			case triggerName + part.mark + " is made":
				p = part.Fault.Words
			case triggerName + part.mark + " is open":
				comes = false
			}
		}
		if comes {
			parts = append(parts, p)
		}
	}
	l.Text = start + strings.Join(parts, ", ")
	return parts != nil
}

// SoundParams counts what the sound design leaves open: the first that many parameters of the
// circuit are those of the sound one.
func (s *System) SoundParams() int {
	n := 0
	for _, p := range s.Circuit().Params() {
		if int(p.Element) < len(s.sound.Elements) {
			n++
		}
	}
	return n
}

// AsDrive writes a trace of the system as a drive of the sound design in which each fault
// comes where it comes in the trace. What a drive cannot do exactly is listed; see
// system.Trace.AsDrive.
func (s *System) AsDrive(t *system.Trace, name string) (model.Drive, []string) {
	return s.asDrive(t, name, (*system.Trace).AsDrive)
}

// AsMoves is AsDrive for a run in which everything stays where it was put (drive.Options.InHand).
func (s *System) AsMoves(t *system.Trace, name string) (model.Drive, []string) {
	return s.asDrive(t, name, (*system.Trace).AsMoves)
}

func (s *System) asDrive(t *system.Trace, name string, as func(*system.Trace, string) (model.Drive, []string)) (model.Drive, []string) {
	out := model.Drive{Info: model.Info{Path: name, Name: name, Kind: "drive", Fit: model.None}, After: model.None}
	var notes []string
	from := 0
	upTo := func(to int) {
		d, n := as(s.stretch(t, from, to), name)
		out.Steps, notes, from = append(out.Steps, d.Steps...), append(notes, n...), to
	}
	for at := 0; at <= len(t.Steps); at++ {
		for _, part := range s.each() {
			first := slices.IndexFunc(t.Steps, func(st reach.Step) bool { return comes(t, part, &st) })
			if max(first, 0) != at || !stands(t, part) { // one that is there from the start comes first
				continue
			}
			upTo(at)
			broken := model.Step{Faults: part.Fault.Actions}
			broken.Fit = model.None
			out.Steps = append(out.Steps, broken)
		}
	}
	upTo(len(t.Steps))
	if t.Schedule != nil && len(t.Schedule.At) > 0 && t.Schedule.At[len(t.Schedule.At)-1] > 0 {
		notes = append(notes, "the moves have to come at their times")
	}
	for _, st := range out.Steps {
		for _, a := range st.Sets {
			if a.Quantity != model.None && int(a.Quantity) >= len(s.sound.Quantities) {
				notes = append(notes, "a drive can't say at what value a sender sticks")
			}
		}
	}
	return out, notes
}

// stretch is the part of a trace from one step up to another, with no fault coming in it.
func (s *System) stretch(t *system.Trace, from, to int) *system.Trace {
	part := *t.Trace
	part.Steps, part.Start = nil, slices.Clone(t.Start)
	for _, w := range s.each() {
		for _, v := range t.Vars {
			if triggered(t, w, v) {
				part.Start[v] = 0 // a step of faults makes it come
			}
		}
	}
	for i := from; i < to; i++ {
		if !slices.ContainsFunc(s.each(), func(w *Faulted) bool { return comes(t, w, &t.Steps[i]) }) {
			part.Steps = append(part.Steps, t.Steps[i])
		}
	}
	if from > 0 {
		part.Initial = t.Steps[from-1].After
	}
	return &system.Trace{Trace: &part, System: t.System}
}

// stands reports whether a fault is there at the end of a trace.
func stands(t *system.Trace, w *Faulted) bool {
	return w.trigger == model.None || slices.ContainsFunc(t.Vars, func(v logic.Var) bool { return triggered(t, w, v) && t.Last()[v] == 1 })
}

// comes reports whether a step is that in which a fault comes.
func comes(t *system.Trace, w *Faulted, st *reach.Step) bool {
	return st.Move.Kind == reach.MoveInput && triggered(t, w, st.Move.Var)
}

// triggered reports whether a variable is the one by which a fault comes.
func triggered(t *system.Trace, w *Faulted, v logic.Var) bool {
	if w.trigger == model.None {
		return false
	}
	r := t.System.Role(v)
	return r.Kind == system.RoleFree && r.Index == int(w.trigger)
}

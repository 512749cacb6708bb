package evidence

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/scenario"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Tally counts what of the evidence of findings was worked out again.
type Tally struct {
	Findings int // that carry evidence of a state
	Moves    int // lists of moves that were driven
	Events   int // things that the moves are said to lead to
	Facts    int // things that are said to be so
	Numbers  int // solved numbers
	Switches int // switches compared between a solved state and the end of the moves
	Near     int // states whose moves a drive can't do exactly
}

// Add adds up.
func (t *Tally) Add(o Tally) {
	t.Findings += o.Findings
	t.Moves += o.Moves
	t.Events += o.Events
	t.Facts += o.Facts
	t.Numbers += o.Numbers
	t.Switches += o.Switches
	t.Near += o.Near
}

// close is how far a number may be off when it is solved again, relative to it.
const close = 1e-6

// Replay works out again what a finding about a design tells: the moves are driven and the
// numbers solved in the corner that they name. It returns what it found to be otherwise, in
// words. The finding has to be one of that very design. Errors are those of the engines.
func Replay(ctx context.Context, d *model.Design, f *diag.Finding) (Tally, []string, error) {
	r := &replay{ctx: ctx, d: d, ends: map[*diag.State]*scenario.End{}, solved: map[*diag.State]*circuit.Solution{}}
	err := r.finding(f)
	if r.t != (Tally{}) {
		r.t.Findings = 1
	}
	return r.t, r.wrong, err
}

type replay struct {
	ctx    context.Context
	d      *model.Design
	t      Tally
	wrong  []string
	ends   map[*diag.State]*scenario.End
	solved map[*diag.State]*circuit.Solution
}

func (r *replay) complain(format string, args ...any) {
	r.wrong = append(r.wrong, fmt.Sprintf(format, args...))
}

func (r *replay) finding(f *diag.Finding) error {
	if err := r.numbers(f.Message, f.Numbers); err != nil {
		return err
	}
	for i := range f.Evidence {
		e := &f.Evidence[i]
		for _, l := range e.Lines {
			if err := r.numbers(l.Text, l.Numbers); err != nil {
				return err
			}
			for _, n := range l.Numbers {
				if e.State != nil && n.State != nil && !sameCorner(e.State, n.State) {
					r.complain("%q is told in another corner than the %s that it stands in", l.Text, e.Kind)
				}
			}
		}
		if e.State == nil {
			continue
		}
		if err := r.evidence(e); err != nil {
			return err
		}
	}
	return nil
}

func sameCorner(a, b *diag.State) bool { return CornerOf(a) == CornerOf(b) }

// numbers solves again what a text tells.
func (r *replay) numbers(text string, ns []diag.Number) error {
	for _, n := range ns {
		if n.State == nil {
			r.complain("%s in %q is of no state", n.Text, text)
			continue
		}
		s, err := r.solve(n.State)
		if err != nil {
			return err
		}
		m := circuit.MeasureOf(n)
		v, err := s.Measure(r.ctx, m)
		if err != nil {
			return err
		}
		r.t.Numbers++
		again := circuit.Number(m, v)
		if math.Abs(again.Value-n.Value) > close*math.Max(math.Abs(n.Value), 1e-9) && again.Text != n.Text {
			r.complain("%q tells %s, and it is %s with %s", text, n.Text, again.Text, s.Circuit().Describe(s.Corner()))
		}
		if !strings.Contains(text, n.Text) {
			r.complain("%q does not tell the %s that it carries", text, n.Text)
		}
	}
	return nil
}

// solve solves a state again.
func (r *replay) solve(st *diag.State) (*circuit.Solution, error) {
	if s, ok := r.solved[st]; ok {
		return s, nil
	}
	c, err := circuit.New(r.d, append(circuit.FaultsOf(st.Faults), circuit.FaultsOf(circuit.PlainBlown(r.d, st.Blown))...))
	if err != nil {
		return nil, err
	}
	stands := map[int]bool{}
	for _, e := range st.Switches {
		stands[e.Index] = e.To == 1
	}
	infos := c.Switches()
	s, err := c.Solve(r.ctx, func(w circuit.Switch) bool { return stands[int(infos[w].Elements[0])] }, CornerOf(st))
	if err != nil {
		return nil, err
	}
	r.solved[st] = s
	// Where a fuse has opened it is not said of every switch how the moves leave it: of those
	// that the text does not depend on the state is one of several.
	if len(st.Faults)+len(st.Blown) == 0 && !st.Passing {
		err = r.ledTo(st, s)
	}
	return s, err
}

// ledTo holds how switches are said to stand against where the moves lead.
func (r *replay) ledTo(st *diag.State, s *circuit.Solution) error {
	end, err := r.drive(st)
	if end == nil || err != nil {
		return err
	}
	c := s.Circuit()
	for _, e := range st.Switches {
		w, ok, _ := c.SwitchOf(model.ElementID(e.Index))
		if !ok {
			continue
		}
		r.t.Switches++
		if is := end.Is(c.Switches()[w].Cond); is != scenario.Unknown && (is == scenario.True) != (e.To == 1) {
			r.complain("%s is solved as %v, and the moves lead to where it is %v", c.Element(model.ElementID(e.Index)).Path, e.To == 1, is == scenario.True)
		}
	}
	return nil
}

// drive goes the moves of a state; nil where a drive can't do them exactly.
func (r *replay) drive(st *diag.State) (*scenario.End, error) {
	if end, ok := r.ends[st]; ok {
		return end, nil
	}
	r.ends[st] = nil
	if st.Moves == nil {
		return nil, nil
	}
	if len(st.Near) > 0 {
		r.t.Near++
		return nil, nil
	}
	way, err := DriveOf(r.d, st.Moves)
	if err != nil {
		return nil, err
	}
	end, err := scenario.EndOf(r.ctx, r.d, &way, scenario.Options{Order: st.Order, Corner: CornerOf(st), Offsets: OffsetsOf(st), Faults: circuit.FaultsOf(st.Faults), FusesHold: !opens(st), InHand: true})
	if errors.Is(err, scenario.ErrHunts) {
		return nil, nil // what hunts has no end to be compared; the moves up to it are reported
	}
	if err != nil {
		return nil, err
	}
	r.t.Moves++
	r.ends[st] = end
	return end, nil
}

// thing is what events speak of.
type thing struct {
	kind  diag.ThingKind
	index int
}

// opens reports whether fuses may open on the way to a state: one has, or a fault comes among
// its moves. Otherwise the design is one in which nothing depends on whether they do.
func opens(st *diag.State) bool {
	return len(st.Blown) > 0 || slices.ContainsFunc(st.Moves, func(m diag.Move) bool { return m.Kind == diag.MoveFault })
}

// evidence holds what the moves are said to lead to against a drive.
func (r *replay) evidence(e *diag.Evidence) error {
	r.switched(e)
	end, err := r.drive(e.State)
	if end == nil || err != nil {
		return err
	}
	said := map[thing][]int{}
	var order []thing
	for _, l := range e.Lines {
		for _, v := range l.Events {
			k := thing{v.Kind, v.Index}
			if !r.has(k) || k.kind == diag.OfFuse && !opens(e.State) {
				continue // of a design that a fault is injected into
			}
			if said[k] == nil {
				order = append(order, k)
			}
			said[k] = append(said[k], v.To)
		}
		for _, v := range l.Facts {
			r.t.Facts++
			if is, known := r.stands(end, thing{v.Kind, v.Index}); known && is != v.To {
				r.complain("%q is not so where the moves lead: %d is %d", l.Text, v.To, is)
			}
		}
	}
	happened := map[thing][]int{}
	for _, v := range end.Events {
		if k, ok := eventThing(v); ok {
			happened[k] = append(happened[k], v.To)
		}
	}
	for _, k := range order {
		got := said[k]
		r.t.Events += len(got)
		switch k.kind {
		case diag.OfSetting, diag.OfMemory, diag.OfMachine, diag.OfTimer, diag.OfFuse:
			if !slices.Equal(happened[k], got) {
				if e.State.Passing && len(got) <= len(happened[k]) && slices.Equal(got, happened[k][:len(got)]) {
					continue
				}
				r.complain("%s: it is said to come to %v, and in a drive of the same moves it comes to %v", r.name(k), got, happened[k])
			}
		case diag.OfResult:
			if end.Is(r.d.Results[k.index].Rows[got[len(got)-1]].When) == scenario.False && !e.State.Passing {
				r.complain("%s: it is said to become %d, and is not that at the end", r.name(k), got[len(got)-1])
			}
		default:
			if e.State.Passing {
				continue
			}
			if is, known := r.stands(end, k); known && is != got[len(got)-1] {
				r.complain("%s: it is said to be %d at the end, and it is %d", r.name(k), got[len(got)-1], is)
			}
		}
	}
	return nil
}

func eventThing(v scenario.Event) (thing, bool) {
	switch v.Kind {
	case scenario.EventSetting:
		return thing{diag.OfSetting, v.Index}, true
	case scenario.EventMemory:
		return thing{diag.OfMemory, v.Index}, true
	case scenario.EventMachine:
		return thing{diag.OfMachine, v.Index}, true
	case scenario.EventTimer:
		return thing{diag.OfTimer, v.Index}, true
	case scenario.EventFuse:
		return thing{diag.OfFuse, v.Index}, true
	}
	return thing{}, false
}

// has reports whether the design has a thing.
func (r *replay) has(k thing) bool {
	n := map[diag.ThingKind]int{
		diag.OfSetting: len(r.d.Settings), diag.OfMemory: len(r.d.Memories), diag.OfMachine: len(r.d.Machines), diag.OfTimer: len(r.d.Timers),
		diag.OfDriver: len(r.d.Drivers), diag.OfPassage: len(r.d.Passages), diag.OfResult: len(r.d.Results), diag.OfElement: len(r.d.Elements),
		diag.OfFuse: len(r.d.Fuses),
	}[k.kind]
	return k.index >= 0 && k.index < n
}

// stands tells in which state a thing is at the end of a drive.
func (r *replay) stands(end *scenario.End, k thing) (to int, known bool) {
	truth := func(t scenario.Truth) (int, bool) {
		switch t {
		case scenario.True:
			return 1, true
		case scenario.False:
			return 0, true
		}
		return 0, false
	}
	if !r.has(k) {
		return 0, false
	}
	switch k.kind {
	case diag.OfSetting:
		return end.State.Settings[k.index], true
	case diag.OfMemory:
		return end.State.Memories[k.index], end.State.Memories[k.index] != scenario.UnknownState
	case diag.OfMachine:
		return end.State.Machines[k.index], end.State.Machines[k.index] != scenario.UnknownState
	case diag.OfTimer:
		return end.State.Clocks[k.index].Phase, end.State.Clocks[k.index].Phase != scenario.UnknownState
	case diag.OfDriver:
		return truth(end.Conducts(r.d.Drivers[k.index].Element))
	case diag.OfElement:
		return truth(end.Conducts(model.ElementID(k.index)))
	case diag.OfPassage:
		return truth(end.Passes(k.index))
	}
	return 0, false
}

// switched holds what is said of switches against how they are solved to stand.
func (r *replay) switched(e *diag.Evidence) {
	for _, l := range e.Lines {
		for _, v := range l.Facts {
			if v.Kind != diag.OfElement {
				continue
			}
			i := slices.IndexFunc(e.State.Switches, func(s diag.Event) bool { return s.Index == v.Index })
			if i >= 0 && e.State.Switches[i].To != v.To {
				r.complain("%q is not so in the state that is solved", l.Text)
			}
		}
	}
}

func (r *replay) name(k thing) string {
	switch k.kind {
	case diag.OfSetting:
		return r.d.Settings[k.index].Path
	case diag.OfMemory:
		return r.d.Memories[k.index].Path
	case diag.OfMachine:
		return r.d.Machines[k.index].Path
	case diag.OfTimer:
		return r.d.Timers[k.index].Path
	case diag.OfDriver:
		return r.d.Drivers[k.index].Path
	case diag.OfPassage:
		return r.d.Passages[k.index].Path
	case diag.OfResult:
		return r.d.Results[k.index].Path
	case diag.OfFuse:
		return r.d.Fuses[k.index].Path
	}
	return string(k.kind)
}

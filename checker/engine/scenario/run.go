package scenario

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"pintle/checker/engine/circuit"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Options say how a drive is run.
type Options struct {
	Corner circuit.Corner // supplies, tolerances, warmth; zero: nominal, warm
	Faults circuit.Overlay
	Pace   Pace
	// Offsets are by how much senders are off; zero: all tell the truth.
	Offsets model.Offsets
	// FusesHold is set for a run in which no fuse opens by what it carries: to drive what a
	// state system found in which none does, or in which memories of the design make them.
	FusesHold bool
	// InHand is set for a run in which every setting stays where it was put until it is moved
	// again, also in a position from which it springs back: as the traces of a state system do.
	InHand bool
	// Order is the order in which hardware is told to change: of several changes that are due
	// at once, any of which may be the first, the run takes the one that comes first in it.
	Order []diag.Event
	// Each, if set, is told of each moment at which hardware has settled: at rest before the
	// first step, after each move, and at the end of each step. It must not keep what it is
	// given.
	Each func(*Rest)
}

// Result is what came of a run.
type Result struct {
	Failures []Failure
	Events   []Event
	Ends     []int64 // when each step ended, ns
	Last     State
	// Sees counts the expectations that could be judged; those that depend on something
	// that could not be read are left out.
	Sees int
	// Unread is set where the run ended before a step that could not be read: from there
	// on nobody knows how the inputs stand.
	Unread bool
	// Open lists what could not be read or judged, in the order of the steps. A run that
	// has any did not pass, whatever else it saw.
	Open []Open
	// Seen lists the expectations of the steps that were driven to their end, in the order of
	// the steps.
	Seen []Seen
}

// Open is something of a drive that is neither met nor missed.
type Open struct {
	Step  int // from 0; -1: before the first
	Place diag.Place
	Why   string // "step 2 could not be read"
}

// Run runs one drive of a design from rest, or from the end of the drive that it goes
// on from. An error means that the run could not be finished: ErrHunts where hardware
// never settles, or what the circuit or the context said. The result then holds what
// came before.
func Run(ctx context.Context, d *model.Design, drive *model.Drive, o Options) (*Result, error) {
	r, err := newRunner(d, o)
	if err != nil {
		return &Result{}, err
	}
	if whole, err := r.lead(ctx, drive.After); err != nil || !whole {
		return r.out, err
	}
	err = r.all(ctx, drive)
	r.out.Last = r.s
	return r.out, err
}

// lead settles the design and runs the drives that one goes on from; what they see is their
// own affair. It is false where one of them could not be read.
func (r *runner) lead(ctx context.Context, after int) (bool, error) {
	d, each := r.design, r.each
	var before []*model.Drive
	for at := after; at != model.None && len(before) <= len(d.Drives); at = d.Drives[at].After {
		before = append(before, &d.Drives[at])
	}
	r.each = nil
	if err := r.begin(ctx); err != nil {
		return false, err
	}
	for _, b := range slices.Backward(before) {
		if !whole(b) {
			*r.out = Result{Unread: true, Open: []Open{{-1, b.NamePlace, "drive " + b.Path + ", from which it goes on, could not be read in full"}}}
			return false, nil
		}
		if err := r.all(ctx, b); err != nil {
			return false, fmt.Errorf("in drive %s, from which this one goes on: %w", b.Path, err)
		}
	}
	*r.out, r.each, r.step, r.ramps = Result{}, each, 0, nil
	r.settled(r.moment(ctx, &r.s))
	return true, nil
}

// whole reports whether all that a drive does could be read.
func whole(d *model.Drive) bool {
	return !d.Broken && !slices.ContainsFunc(d.Steps, func(s model.Step) bool { return s.Broken })
}

type runner struct {
	*plant
	s     State
	out   *Result
	step  int
	ramps []ramp
	watch []watch
	drive *model.Drive
	hold  bool // what is set by hand in the last step stays in hand

	inHand bool // see Options.InHand
	each   func(*Rest)
}

func newRunner(d *model.Design, o Options) (*runner, error) {
	p, err := newPlant(d, o)
	if err != nil {
		return nil, err
	}
	return &runner{plant: p, s: rest(d), out: &Result{}, inHand: o.InHand, each: o.Each}, nil
}

func (r *runner) note(e Event) {
	e.Step = r.step
	r.happened(e)
	r.out.Events = append(r.out.Events, e)
}

// begin settles the design as it is when its battery is connected.
func (r *runner) begin(ctx context.Context) error {
	if err := r.settle(ctx, &r.s, r.note); err != nil {
		return err
	}
	m := r.moment(ctx, &r.s)
	for i := range r.s.Edges {
		r.s.Edges[i] = m.eval(r.design.Edges[i].Of)
	}
	r.settled(m)
	return m.err
}

// moved settles the design after something moved.
func (r *runner) moved(ctx context.Context) (*moment, error) {
	m, err := r.move(ctx, &r.s, r.note)
	if err == nil {
		r.settled(m)
		err = m.err
	}
	return m, err
}

// settled shows a settled moment to whoever asked for each.
func (r *runner) settled(m *moment) {
	if r.each != nil {
		r.each(&Rest{State: r.s, Step: r.step, Told: len(r.out.Events), at: m, ramps: r.ramps})
	}
}

func (r *runner) all(ctx context.Context, d *model.Drive) error {
	for i := range d.Steps {
		if err := r.one(ctx, d, i); err != nil || r.out.Unread {
			return err
		}
	}
	return nil
}

// one runs one step of a drive.
func (r *runner) one(ctx context.Context, d *model.Drive, i int) error {
	r.drive, r.ramps = d, nil
	if r.step = i; d.Steps[i].Broken {
		r.out.Unread = true
		r.open(d.Steps[i].NamePlace, r.stepName()+" could not be read in full")
		return nil
	}
	err := r.runStep(ctx, &d.Steps[i])
	if err == nil {
		r.out.Ends = append(r.out.Ends, r.s.At)
	}
	return err
}

func (r *runner) runStep(ctx context.Context, st *model.Step) error {
	r.watch = r.watch[:0]
	for i := range st.Sees {
		if r.readable(&st.Sees[i]) {
			r.watch = append(r.watch, watch{see: &st.Sees[i], index: i})
		} else {
			r.open(st.Sees[i].Place, "what "+r.stepName()+" expects could not be read")
			r.out.Seen = append(r.out.Seen, Seen{r.step, i, r.s.At, Unknown})
		}
	}
	if err := r.faultActions(ctx, st.Faults); err != nil {
		return err
	}
	held := make([]model.SettingID, 0, len(st.Sets))
	for i := range st.Sets {
		if err := r.set(ctx, &st.Sets[i]); err != nil {
			return err
		}
		if id := st.Sets[i].Setting; id != model.None {
			held = append(held, id)
		}
	}
	end := r.s.At + ns(st.Wait)
	for i := range st.Ramps {
		rp := r.newRamp(&st.Ramps[i])
		r.ramps = append(r.ramps, rp)
		end = max(end, rp.end)
	}
	// With everything set, the expectations begin.
	m, err := r.moved(ctx)
	if err != nil {
		return err
	}
	r.look(m)
	if err := r.until(ctx, end); err != nil {
		return err
	}
	last := r.moment(ctx, &r.s)
	r.atEnd(last)
	r.settled(last)
	if last.err != nil || r.inHand || r.hold && r.step == len(r.drive.Steps)-1 {
		return last.err
	}
	return r.letGo(ctx, held)
}

// open notes that something of the step that runs is neither met nor missed.
func (r *runner) open(at diag.Place, why string) {
	r.out.Open = append(r.out.Open, Open{Step: r.step, Place: at, Why: why})
}

func (r *runner) stepName() string { return StepName(r.drive, r.step) }

// StepName is how people call a step of a drive, from 0: by its name, if it was given one.
func StepName(d *model.Drive, i int) string {
	number := strconv.Itoa(i + 1)
	if i < len(d.Steps) && d.Steps[i].Name != "" && d.Steps[i].Name != number {
		return d.Steps[i].Name
	}
	return "step " + number
}

// readable reports whether everything that an expectation speaks of could be read; one
// that could not has its finding already.
func (r *runner) readable(see *model.See) bool { return see.Cond.Known() && see.Once.Known() }

// faultActions makes faults come and go at the beginning of a step.
func (r *runner) faultActions(ctx context.Context, actions []model.FaultAction) error {
	if len(actions) == 0 {
		return nil
	}
	for i, a := range actions {
		r.note(Event{At: r.s.At, Kind: EventFault, Index: i, Text: FaultWords(&a)})
	}
	if err := r.fail(append(slices.Clone(r.faults), actions...), &r.s); err != nil {
		return err
	}
	_, err := r.moved(ctx)
	return err
}

// FaultWords are what a step says of a fault that comes or goes: "fail W3 open".
func FaultWords(a *model.FaultAction) string {
	switch {
	case a.Mend:
		return "mend " + a.Thing.Path
	case a.Mode == model.FaultSwapped:
		return "swap " + a.Thing.Path + " with " + a.Other.Path
	}
	return "fail " + a.Thing.Path + " " + string(a.Mode)
}

// set puts an input somewhere, through everything between.
func (r *runner) set(ctx context.Context, a *model.SetAction) error {
	switch {
	case a.Setting != model.None:
		return r.turn(ctx, a.Setting, a.Position)
	case a.Quantity != model.None:
		for _, l := range r.between(a.Quantity, a.Value.N) {
			r.s.Quantities[a.Quantity] = l
			if _, err := r.moved(ctx); err != nil {
				return err
			}
		}
		q := &r.design.Quantities[a.Quantity]
		r.note(Event{At: r.s.At, Kind: EventQuantity, Index: int(a.Quantity), Text: q.Path + " is " + a.Value.String()})
		return nil
	case a.Supply != model.None:
		r.corner = r.circuit.WithSupply(r.corner, a.Supply, a.Value.Float64())
		r.note(Event{At: r.s.At, Kind: EventSupply, Index: int(a.Supply),
			Text: r.design.Supplies[a.Supply].Path + " is " + a.Value.String()})
		_, err := r.moved(ctx)
		return err
	}
	return nil
}

func (r *runner) turn(ctx context.Context, id model.SettingID, to int) error {
	set := &r.design.Settings[id]
	for r.s.Settings[id] != to {
		from, next := r.s.Settings[id], to
		if set.InOrder && next > from+1 {
			next = from + 1
		} else if set.InOrder && next < from-1 {
			next = from - 1
		}
		r.s.Settings[id] = next
		r.note(Event{At: r.s.At, Kind: EventSetting, Index: int(id), From: from, To: next,
			Text: set.Path + " is " + set.Positions[next]})
		if _, err := r.moved(ctx); err != nil {
			return err
		}
	}
	return nil
}

// letGo lets what was set by hand in this step spring back.
func (r *runner) letGo(ctx context.Context, held []model.SettingID) error {
	slices.Sort(held)
	for _, id := range slices.Compact(held) {
		for _, spring := range r.design.Settings[id].Springs {
			if r.s.Settings[id] == spring.From {
				if err := r.turn(ctx, id, spring.To); err != nil {
					return err
				}
				break
			}
		}
	}
	return nil
}

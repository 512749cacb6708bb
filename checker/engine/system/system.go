package system

import (
	"context"
	"errors"
	"fmt"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/interval"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/reach"
	"pintle/lang/model"
)

// Options say what system to make of a design. The zero value is the design as it
// stands, with everything nominal.
type Options struct {
	// Circuit is the electrical side, if the caller has it already; it must have been
	// made of the same design with the same Faults. Nil: Build makes it.
	Circuit *circuit.Circuit
	// Memo is that of the circuit that Build makes; nil: none.
	Memo *circuit.Memo
	// Corner fixes supplies, tolerances and the warmth of filaments.
	Corner circuit.Corner
	// Offsets are by how much senders are off.
	Offsets model.Offsets
	// Inexact lets each sender with an accuracy be off by anything within it, the same
	// throughout a run.
	Inexact bool
	// Over makes what the circuit answers known only where that is the same for all open
	// values of this kind.
	Over circuit.Freedom
	// Faults that are there all the time, on electrical things, passages, hoses and
	// senders.
	Faults circuit.Overlay
	// Also lists conditions that will be asked about and that the design does not
	// contain: the values that they compare quantities with are distinguished too.
	Also []*model.Cond
	// From is where runs start if not where the design does; nil: there.
	From *From
	// MaxNodes and MaxZones bound the work of the state engine; 0: its defaults.
	MaxNodes, MaxZones int
	// MaxCorners bounds the corners in which one question is decided again; 0: 64.
	MaxCorners int
	// Apart lists conditions by which the circuit that Build makes goes case by case; see
	// circuit.Circuit.Apart.
	Apart []*model.Cond
	// OnDemand leaves what a memory follows until a question depends on it. The answers are
	// the same; a system of which only a part is asked about costs no more than that part.
	OnDemand bool
	// met is shared by the systems of all corners: why some question met a limit.
	met *string
	// Unsliced makes every question look at the whole system. For tests.
	Unsliced bool
}

// From is a settled state from which runs start, with no timer running and no beat: the inputs and
// memories start as the design says, which has to be changed for it.
type From struct {
	Modes  []int // of each of Design.Machines
	Timers []int // the phase of each of Design.Timers: idle or done
}

// defaultCorners is generous: three supplies and filaments at both ends make 16.
const defaultCorners = 64

// System is the exact state system of one design. It belongs to one goroutine at a
// time, as its engine does.
type System struct {
	d       *model.Design
	opts    Options
	circuit *circuit.Circuit
	stuck   circuit.Stuck // contacts and drivers that standing faults hold

	space  *logic.Space
	reach  *reach.System
	engine *reach.Engine

	roles  []Role // by variable
	byRole map[Role]logic.Var
	axes   []*interval.Axis // by quantity; nil where there is none to be had
	doubts map[logic.Var]Doubt
	// unheard are readings that can be shorted, of which then nothing is known.
	unheard map[int]bool
	// loose is set when an assumption could not be read: what the system can do may
	// then be more than what the design means, so that only absence proves anything.
	loose bool
	// hunts and blocks are worked out once.
	hunts                   []Hunt
	huntsKnown, blocksKnown bool
	blocks                  []block

	meanings map[*model.Cond]meaning
	open     map[*model.Cond]bool // being translated
	foreign  error                // a comparison that the regions do not tell apart
	electric electric
	paths    *paths
	byVar    map[logic.Var][]circuit.QuestionID // what the rules of a variable ask

	derivedFacts []derivedFact // what is derived and told in traces
	corners      map[corner]*System

	waits []bool // with Options.OnDemand: of which memories it is not worked out what they follow
	stale bool   // some of that is not yet in the engine

	offsets     []offset // with Options.Inexact
	manyOffsets string   // why there are none although they would matter
}

// corner is what everything that a design leaves open is taken to be.
type corner struct {
	circuit circuit.Corner
	offsets model.Offsets
	inexact bool
	over    circuit.Freedom
}

// ErrForeign says that a condition compares a quantity with a value that the system was
// not made to tell apart; see Options.Also.
var ErrForeign = errors.New("system: the states do not tell this value apart")

// Build makes the system of a design. Errors: those of the context; of circuit.New, for
// faults that cannot be; and of the engine, for a design that breaks an invariant of
// package model. Whatever a person may write gives a System.
func Build(ctx context.Context, d *model.Design, opts Options) (*System, error) {
	if opts.MaxCorners <= 0 {
		opts.MaxCorners = defaultCorners
	}
	if opts.met == nil {
		opts.met = new(string)
	}
	s := &System{
		d: d, opts: opts, circuit: opts.Circuit, stuck: opts.Faults.Stuck(),
		space:    logic.NewSpace(),
		byRole:   map[Role]logic.Var{},
		doubts:   map[logic.Var]Doubt{},
		unheard:  map[int]bool{},
		meanings: map[*model.Cond]meaning{},
		open:     map[*model.Cond]bool{},
		byVar:    map[logic.Var][]circuit.QuestionID{},
		corners:  map[corner]*System{},
	}
	s.reach = &reach.System{Space: s.space}
	if s.circuit == nil {
		var err error
		if s.circuit, err = circuit.New(d, opts.Faults); err != nil {
			return nil, err
		}
		s.circuit.Apart(opts.Apart...)
		s.circuit.Share(opts.Memo)
	}
	s.electric.init(s)
	var err error
	if s.paths, err = newPaths(d, opts.Faults); err != nil {
		return nil, err
	}
	if err := s.build(ctx); err != nil {
		return nil, err
	}
	if err := s.start(); err != nil {
		return nil, err
	}
	return s, nil
}

// start makes the engine of what has been built.
func (s *System) start() (err error) {
	s.engine, err = reach.New(s.reach, reach.Options{MaxNodes: s.opts.MaxNodes, MaxZones: s.opts.MaxZones, Unsliced: s.opts.Unsliced})
	if err != nil {
		return fmt.Errorf("system: %s: %w", s.d.Title, err)
	}
	return nil
}

// Design is what the system was made of.
func (s *System) Design() *model.Design { return s.d }

// Circuit is the electrical side.
func (s *System) Circuit() *circuit.Circuit { return s.circuit }

// Corner is what the system takes supplies, tolerances and filaments to be.
func (s *System) Corner() circuit.Corner { return s.opts.Corner }

// Faults are there all the time.
func (s *System) Faults() circuit.Overlay { return s.opts.Faults }

// Reach is the system as plain data, for those who run it in real time. It is not to be had of
// a system of Options.OnDemand: that is not all there.
func (s *System) Reach() *reach.System { return s.engine.System() }

// Engine decides questions on expressions; see Expr. Questions put to it directly do
// not know of what could not be read, nor of tolerances, nor of Options.OnDemand.
func (s *System) Engine() *reach.Engine { return s.engine }

// Axis is the range of a quantity, cut into the regions that are the values of its
// variable. It is nil for a quantity that could not be read.
func (s *System) Axis(id model.QuantityID) *interval.Axis { return s.axes[id] }

// LimitMet says in words why some question that was asked so far, in this corner or another,
// met a limit on its work and is undecided; empty if none did.
func (s *System) LimitMet() string { return *s.opts.met }

// Offsets are by how much the system takes senders to be off.
func (s *System) Offsets() model.Offsets { return s.opts.Offsets }

// At returns the system in another corner. Systems are made once for each.
func (s *System) At(ctx context.Context, k circuit.Corner) (*System, error) {
	opts := s.opts
	opts.Corner = k
	return s.with(ctx, opts)
}

// atOffsets returns the system in another corner and with other offsets of the senders.
func (s *System) atOffsets(ctx context.Context, k circuit.Corner, o model.Offsets) (*System, error) {
	opts := s.opts
	opts.Corner, opts.Offsets = k, o
	return s.with(ctx, opts)
}

// with returns the system with other options of corner and offsets.
func (s *System) with(ctx context.Context, opts Options) (*System, error) {
	key := func(o *Options) corner { return corner{o.Corner, o.Offsets, o.Inexact, o.Over} }
	if key(&opts) == key(&s.opts) {
		return s, nil
	}
	if t, ok := s.corners[key(&opts)]; ok {
		return t, nil
	}
	opts.Circuit = s.circuit
	t, err := Build(ctx, s.d, opts)
	if err == nil {
		s.corners[key(&opts)] = t
	}
	return t, err
}

package scenario

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/fluid"
	"pintle/checker/engine/incomplete"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// ErrHunts is wrapped by the error about hardware that never settles.
var ErrHunts = errors.New("never settles")

// plant is a design with the faults that stand in it and the corner that it is run in.
type plant struct {
	design  *model.Design
	circuit *circuit.Circuit
	fluid   *fluid.Fluid
	corner  circuit.Corner
	pace    Pace
	offsets model.Offsets

	unread *incomplete.Circuit
	dark   []bool // by port: what could not be read may be joined to it

	faults circuit.Overlay
	joined []model.ElementID        // what only the faults join
	fused  bool                     // it has a fuse that may open
	blown  map[model.ElementID]bool // fuses that are
	holds  circuit.Stuck            // contacts and drivers that are
	silent map[model.SenderID]bool
	stuck  map[model.SenderID]Level

	order []diag.Event // see Options.Order; what has happened is taken out

	points [][]unit.Num // per quantity, rising: what the design compares it with

	leeway *leeway // nil: answers are those of the corner
}

func newPlant(d *model.Design, o Options) (*plant, error) {
	p := &plant{design: d, corner: o.Corner, pace: o.Pace, offsets: o.Offsets, points: critical(d, o.Offsets), fused: isFused(d) && !o.FusesHold,
		order: slices.Clone(o.Order)}
	return p, p.fail(o.Faults, nil)
}

// fail makes the plant have exactly these faults. Senders that get stuck do so where
// their quantity is in s (at the start of its range if s is nil).
func (p *plant) fail(faults circuit.Overlay, s *State) error {
	c, err := circuit.New(p.design, faults)
	if err != nil {
		return err
	}
	f, err := fluid.New(p.design, faults)
	if err != nil {
		return err
	}
	p.joined = joinedBy(p.design, c, faults)
	p.circuit, p.fluid, p.faults = c, f, faults
	p.unread, p.dark = incomplete.OfCircuit(c), incomplete.OfFluid(f)
	p.silent, p.blown, p.holds = map[model.SenderID]bool{}, map[model.ElementID]bool{}, faults.Stuck()
	stuck := map[model.SenderID]Level{}
	for _, a := range faults.Standing() {
		if a.Thing.Kind == model.ThingElement && a.Mode == model.FaultBlown {
			p.blown[model.ElementID(a.Thing.Index)] = true
		}
		if a.Thing.Kind != model.ThingSender {
			continue
		}
		id := model.SenderID(a.Thing.Index)
		switch a.Mode {
		case model.FaultSilent:
			p.silent[id] = true
		case model.FaultStuck:
			at, already := p.stuck[id]
			if !already {
				q := p.design.Senders[id].Quantity
				at = Level{N: p.design.Quantities[q].Start.N}
				if s != nil {
					at = s.Quantities[q]
				}
			}
			stuck[id] = at
		}
	}
	p.stuck = stuck
	return nil
}

// critical lists what each quantity is compared with: directly, or as the reading of an
// input that a sender of it may be joined to.
func critical(d *model.Design, off model.Offsets) [][]unit.Num {
	points := make([][]unit.Num, len(d.Quantities))
	add := func(q model.QuantityID, n unit.Num) {
		if q >= 0 && int(q) < len(points) {
			points[q] = append(points[q], n)
		}
	}
	d.EachCond(func(c *model.Cond) {
		c.Atoms(func(k *model.Cond) {
			switch a := &k.Atom; a.Kind {
			case model.AtomQuantity:
				add(model.QuantityID(a.Index), a.Value.N)
			case model.AtomReading:
				for _, s := range d.Readings[a.Index].Senders {
					add(d.Senders[s].Quantity, a.Value.N.Sub(off.Of(s)))
				}
			}
		})
	})
	for i := range points {
		slices.SortFunc(points[i], unit.Num.Cmp)
		points[i] = slices.CompactFunc(points[i], unit.Num.Equal)
	}
	return points
}

// move lets hardware settle after something moved, steps the machines, lets hardware
// settle again and takes down the edges. Then machines go on stepping while they can.
func (p *plant) move(ctx context.Context, s *State, note func(Event)) (*moment, error) {
	const mostIdle = 1000
	for idle := 0; ; idle++ {
		if err := p.settle(ctx, s, note); err != nil {
			return nil, err
		}
		stepped, err := p.step(ctx, s, note)
		if err != nil {
			return nil, err
		}
		if stepped {
			if err := p.settle(ctx, s, note); err != nil {
				return nil, err
			}
		}
		m := p.moment(ctx, s)
		turned := false // what begins now stays in the idle move that follows
		for i := range s.Edges {
			was := s.Edges[i]
			s.Edges[i] = m.eval(p.design.Edges[i].Of)
			turned = turned || s.Edges[i] != was
		}
		if m.err != nil {
			return nil, m.err
		}
		switch {
		case !stepped && !turned:
			return m, nil
		case idle == mostIdle:
			return nil, fmt.Errorf("%w: the modes go on changing although nothing moves", ErrHunts)
		}
	}
}

// settle changes excited hardware, timers and beats one after the other until none is
// excited. The first in order of declaration goes first; where the order matters the
// search over all states reports a race. Where going so leads round in a circle, a later
// one has its turn too: see calm.
func (p *plant) settle(ctx context.Context, s *State, note func(Event)) error {
	// Hardware that settles runs through each state at most once, but the states may be
	// many; this many changes without rest do not occur in a vehicle.
	most := 64 + 16*(len(s.Memories)+len(s.Clocks)+len(s.Rhythms)+len(s.Machines))
	for changes := 0; ; changes++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		m := p.moment(ctx, s)
		if event, ok := p.ordered(m, true); ok {
			tell(note, event)
			continue
		}
		if blown, err := p.protect(m, s, true, note); err != nil {
			return err
		} else if blown {
			continue
		}
		event, excited := p.ordered(m, false)
		if !excited {
			event, excited = m.follow()
		}
		if m.err != nil {
			return m.err
		}
		if !excited {
			blown := false
			if p.fused && (p.fuseIsNext() || m.rests()) && m.err == nil {
				var err error
				if blown, err = p.protect(m, s, false, note); err != nil {
					return err
				}
			}
			if m.err != nil || !blown {
				return m.err
			}
			continue
		}
		tell(note, event)
		if changes < most {
			continue
		}
		way, err := p.calm(ctx, s)
		if err == nil && way == nil {
			err = fmt.Errorf("%w: %s", ErrHunts, event.Text)
		}
		if err != nil {
			return err
		}
		for _, e := range way {
			tell(note, e)
		}
		changes = 0 // it is at rest: a fuse may open
	}
}

// tell notes an event; what becomes unknown is none.
func tell(note func(Event), e Event) {
	if e.Text != "" {
		note(e)
	}
}

// mostCalm bounds the states that calm looks at.
const mostCalm = 4096

// calm brings s to rest by the fewest changes, whichever is excited going first, and lists
// them: what goes round in a circle may come to rest once something else has changed, which
// would not wait for ever. Nil if there is no way.
func (p *plant) calm(ctx context.Context, s *State) ([]Event, error) {
	type place struct {
		state  State
		before int
		event  Event
	}
	key := func(s *State) string { return fmt.Sprint(s.Memories, s.Machines, s.Clocks, s.Rhythms) }
	seen := map[string]bool{key(s): true}
	for places, at := []place{{state: s.Clone(), before: -1}}, 0; at < len(places) && at < mostCalm; at++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		excited := false
		for k := range s.parts() {
			next := places[at].state.Clone()
			m := p.moment(ctx, &next)
			event, changed := m.turn(k)
			if m.err != nil {
				return nil, m.err
			}
			if !changed {
				continue
			}
			excited = true
			if id := key(&next); !seen[id] {
				seen[id] = true
				places = append(places, place{next, at, event})
			}
		}
		if excited {
			continue
		}
		*s = places[at].state
		var way []Event
		for i := at; places[i].before >= 0; i = places[i].before {
			way = append(way, places[i].event)
		}
		slices.Reverse(way)
		return way, nil
	}
	return nil, nil
}

// step lets every machine take at most one transition, all of them on the same state.
func (p *plant) step(ctx context.Context, s *State, note func(Event)) (bool, error) {
	m := p.moment(ctx, s)
	to := make([]int, len(s.Machines))
	for i := range p.design.Machines {
		to[i] = m.transition(&p.design.Machines[i], s.Machines[i])
	}
	if m.err != nil {
		return false, m.err
	}
	stepped := false
	for i, mode := range to {
		if mode != s.Machines[i] {
			if e := m.enter(i, mode); e.Text != "" {
				note(e)
			}
			stepped = true
		}
	}
	return stepped, nil
}

// transition is the mode that a machine goes to. Where it is not known whether it steps
// nobody knows where it then stands.
func (m *moment) transition(mc *model.Machine, mode int) int {
	reset := False
	if mc.Reset != nil {
		reset = m.eval(mc.Reset)
	}
	if mode == UnknownState || reset == True {
		return mode
	}
	to := mode
	for _, t := range mc.Transitions {
		if !t.Any && !slices.Contains(t.From, mode) {
			continue
		}
		when := m.eval(t.When)
		if when == Unknown {
			return UnknownState
		}
		if when == True {
			to = t.To
			break
		}
	}
	if reset == Unknown && (mode != mc.Start || to != mode) {
		return UnknownState
	}
	return to
}

func (m *moment) enter(machine, mode int) Event {
	mc := &m.design.Machines[machine]
	e := Event{At: m.s.At, Kind: EventMachine, Index: machine, From: m.s.Machines[machine], To: mode}
	if mode != UnknownState {
		e.Text = mc.Path + " goes to " + mc.Modes[mode].Name
	}
	m.s.Machines[machine] = mode
	return e
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

func onOff(b bool) string {
	if b {
		return "on"
	}
	return "off"
}

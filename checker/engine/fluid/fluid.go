// Package fluid follows vacuum, pressure, air, fuel, coolant and oil through the
// passages and hoses of a flat design.
//
// A port is fed while open passages join it to an origin that is present, and nothing
// joins it to air. It is vented while they join it to air. Where both would be true
// the air wins, so that it counts as vented, and [Answers.Both] says so: that is a
// finding. A port that is neither keeps what is in it, of which nothing is known.
//
// A one-way passage lets feed and air alike through from A to B only. A hose that is
// pulled off leaves both its ends open to air: the consumer is vented, and so is what
// the other end is connected to.
package fluid

import (
	"context"
	"errors"
	"fmt"

	"pintle/lang/model"
)

// ErrFault says that a fault cannot happen to the passage that it names.
var ErrFault = errors.New("fluid: no such fault")

// Edge is a way from one port to another, open while Cond is true.
type Edge struct {
	Passage  model.PassageID
	From, To model.PortID
	Cond     *model.Cond // nil: always
}

// Source is a port that an origin feeds while Cond is true.
type Source struct {
	Origin model.OriginID
	Port   model.PortID
	Cond   *model.Cond // nil: always
}

// Fluid is the graph of ports of one design with one set of faults. It does not
// change.
type Fluid struct {
	design  *model.Design
	edges   []Edge
	sources []Source
	air     []model.PortID // ports open to air
}

// New makes the graph. Faults on other things than passages and hoses are passed
// over, mended ones are not there. Errors: ErrFault.
func New(d *model.Design, faults []model.FaultAction) (*Fluid, error) {
	f := &Fluid{design: d}
	for i, p := range d.Ports {
		if p.OpenToAir {
			f.air = append(f.air, model.PortID(i))
		}
	}
	for i, o := range d.Origins {
		if f.known(o.Port) {
			f.sources = append(f.sources, Source{model.OriginID(i), o.Port, o.Present})
		}
	}
	modes, err := standing(d, faults)
	if err != nil {
		return nil, err
	}
	for i, p := range d.Passages {
		id, open := model.PassageID(i), p.Open
		if !f.known(p.A) || !f.known(p.B) {
			continue
		}
		switch modes[id] {
		case model.FaultOff, model.FaultOpen:
			f.air = append(f.air, p.A, p.B)
			continue
		case model.FaultStuckShut:
			continue
		case model.FaultStuckOpen:
			open = nil
		}
		if open != nil && open.Op == model.CondFalse {
			continue
		}
		f.edges = append(f.edges, Edge{id, p.A, p.B, open})
		if !p.OneWay {
			f.edges = append(f.edges, Edge{id, p.B, p.A, open})
		}
	}
	return f, nil
}

// standing returns the last fault of each passage that was not mended.
func standing(d *model.Design, faults []model.FaultAction) (map[model.PassageID]model.FaultMode, error) {
	modes := map[model.PassageID]model.FaultMode{}
	for _, a := range faults {
		id := model.PassageID(a.Thing.Index)
		switch {
		case a.Thing.Kind != model.ThingPassage:
		case a.Thing.Index < 0 || a.Thing.Index >= len(d.Passages):
			return nil, fmt.Errorf("%w: %s %s", ErrFault, a.Thing.Path, a.Mode)
		case a.Mend:
			delete(modes, id)
		default:
			switch a.Mode {
			case model.FaultStuckOpen, model.FaultStuckShut:
			case model.FaultOff, model.FaultOpen:
				if !d.Passages[id].Hose {
					return nil, fmt.Errorf("%w: %s is inside a part and cannot come off", ErrFault, a.Thing.Path)
				}
			default:
				return nil, fmt.Errorf("%w: %s %s", ErrFault, a.Thing.Path, a.Mode)
			}
			modes[id] = a.Mode
		}
	}
	return modes, nil
}

func (f *Fluid) known(p model.PortID) bool { return p >= 0 && int(p) < len(f.design.Ports) }

// Design returns the design, without the faults.
func (f *Fluid) Design() *model.Design { return f.design }

// Edges returns the ways between ports, in the order of passages; a passage that
// passes both ways has two.
func (f *Fluid) Edges() []Edge { return f.edges }

// Sources returns the fed ports.
func (f *Fluid) Sources() []Source { return f.sources }

// Air returns the ports that are open to air.
func (f *Fluid) Air() []model.PortID { return f.air }

// Logic is what answers are computed in: bool for one state, or functions of the
// state, such as decision diagrams, for all at once. The operations must form a
// lattice in which rising chains end, or Solve does not end either.
type Logic[T any] struct {
	False, True T
	Of          func(*model.Cond) T // never called with nil
	And, Or     func(a, b T) T
	Not         func(T) T
	Same        func(a, b T) bool
}

// Concrete is the Logic of one state.
func Concrete(holds func(*model.Cond) bool) Logic[bool] {
	return Logic[bool]{
		True: true,
		Of:   holds,
		And:  func(a, b bool) bool { return a && b },
		Or:   func(a, b bool) bool { return a || b },
		Not:  func(a bool) bool { return !a },
		Same: func(a, b bool) bool { return a == b },
	}
}

// Answers tells about every port whether, or where, it is joined to what.
type Answers[T any] struct {
	logic  Logic[T]
	Origin []T // per port: joined to an origin that is present
	Air    []T // per port: joined to air
}

// Fed is where a port is joined to an origin and not to air.
func (a *Answers[T]) Fed(p model.PortID) T {
	return a.logic.And(a.Origin[p], a.logic.Not(a.Air[p]))
}

// Vented is where a port is joined to air.
func (a *Answers[T]) Vented(p model.PortID) T { return a.Air[p] }

// Neither is where a port is joined to neither.
func (a *Answers[T]) Neither(p model.PortID) T {
	return a.logic.Not(a.logic.Or(a.Origin[p], a.Air[p]))
}

// Both is where a port is joined to both.
func (a *Answers[T]) Both(p model.PortID) T { return a.logic.And(a.Origin[p], a.Air[p]) }

// Solve answers for all ports. The error is that of the context.
func Solve[T any](ctx context.Context, f *Fluid, l Logic[T]) (*Answers[T], error) {
	of := func(c *model.Cond) T {
		if c == nil {
			return l.True
		}
		return l.Of(c)
	}
	conds := make([]T, len(f.edges))
	for i, e := range f.edges {
		conds[i] = of(e.Cond)
	}
	a := &Answers[T]{logic: l, Origin: make([]T, len(f.design.Ports)), Air: make([]T, len(f.design.Ports))}
	for p := range f.design.Ports {
		a.Origin[p], a.Air[p] = l.False, l.False
	}
	for _, s := range f.sources {
		a.Origin[s.Port] = l.Or(a.Origin[s.Port], of(s.Cond))
	}
	for _, p := range f.air {
		a.Air[p] = l.True
	}
	for _, joined := range [...][]T{a.Origin, a.Air} {
		if err := spread(ctx, f, l, conds, joined); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// spread takes the least fixed point of "joined, or open from something joined".
func spread[T any](ctx context.Context, f *Fluid, l Logic[T], conds, joined []T) error {
	for changed := true; changed; {
		if err := ctx.Err(); err != nil {
			return err
		}
		changed = false
		for i, e := range f.edges {
			if more := l.Or(joined[e.To], l.And(joined[e.From], conds[i])); !l.Same(more, joined[e.To]) {
				joined[e.To], changed = more, true
			}
		}
	}
	return nil
}

// Way returns the passages, in order, by which feed (or, with air, the air) reaches
// a port in a state, the fewest that do; ok is false where it does not reach it.
func (f *Fluid) Way(to model.PortID, air bool, holds func(*model.Cond) bool) (passages []model.PassageID, ok bool) {
	open := func(c *model.Cond) bool { return c == nil || holds(c) }
	via := make([]int, len(f.design.Ports)) // edge + 1, -1 at a start
	var queue []model.PortID
	start := func(p model.PortID) {
		if via[p] == 0 {
			via[p] = -1
			queue = append(queue, p)
		}
	}
	if air {
		for _, p := range f.air {
			start(p)
		}
	} else {
		for _, s := range f.sources {
			if open(s.Cond) {
				start(s.Port)
			}
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		for i, e := range f.edges {
			if e.From == queue[0] && via[e.To] == 0 && open(e.Cond) {
				via[e.To] = i + 1
				queue = append(queue, e.To)
			}
		}
	}
	if via[to] == 0 {
		return nil, false
	}
	for p := to; via[p] > 0; p = f.edges[via[p]-1].From {
		passages = append([]model.PassageID{f.edges[via[p]-1].Passage}, passages...)
	}
	return passages, true
}

package dc

import (
	"context"
	"fmt"
)

// Option changes one solve.
type Option func(settings) settings

type settings struct {
	values *Values
	fresh  bool
}

// WithValues solves with other values than the network's own.
func WithValues(v *Values) Option {
	return func(s settings) settings { s.values = v; return s }
}

// Fresh solves without looking into the table of known solutions or adding to it.
func Fresh() Option {
	return func(s settings) settings { s.fresh = true; return s }
}

// Solve returns the potentials and currents with the given switches closed. A
// solution is found once per set of switches and values and then shared. Errors:
// ErrSwitch, ErrValues for values of another network, ErrUnsettled (see valves.go:
// not reachable in exact arithmetic), and that of the context.
func (c *Compiled) Solve(ctx context.Context, closed Bits, opts ...Option) (*Solution, error) {
	set := settings{values: c.nominal}
	for _, o := range opts {
		set = o(set)
	}
	if set.values == nil {
		set.values = c.nominal
	}
	if set.values.owner != c {
		return nil, fmt.Errorf("%w: made for another network", ErrValues)
	}
	if err := c.allows(ctx, closed); err != nil {
		return nil, err
	}
	if set.fresh {
		return c.solveNew(ctx, closed, set.values)
	}
	key := keyOf(closed, c.net.Switches, set.values.id)
	if s, ok := c.table.find(key); ok {
		c.work.hits.Add(1)
		return s, nil
	}
	s, err := c.solveNew(ctx, closed, set.values)
	if err != nil {
		return nil, err
	}
	return c.table.keep(key, s), nil
}

// allows refuses switches that the network does not have, and a context that is done.
func (c *Compiled) allows(ctx context.Context, closed Bits) error {
	if !closed.within(c.net.Switches) {
		return fmt.Errorf("%w: the network has %d", ErrSwitch, c.net.Switches)
	}
	return ctx.Err()
}

func (c *Compiled) solveNew(ctx context.Context, closed Bits, vs *Values) (*Solution, error) {
	s := &Solution{}
	s.room(c)
	if err := c.solve(ctx, closed, vs, s); err != nil {
		return nil, err
	}
	return s, nil
}

// solve solves into a solution that has room.
func (c *Compiled) solve(ctx context.Context, closed Bits, vs *Values, into *Solution) error {
	w := c.scratch.Get().(*workspace)
	defer c.scratch.Put(w)
	w.pivots = 0
	w.present, w.valves = w.present[:0], w.valves[:0]
	clear(w.on)
	for b := range c.wire {
		s := &c.wire[b]
		if s.sw >= 0 && !closed.Has(int(s.sw)) {
			continue
		}
		w.present = append(w.present, int32(b))
		if s.valve {
			w.valves = append(w.valves, int32(b))
		}
	}
	err := c.settle(ctx, w, vs)
	c.work.solves.Add(1)
	c.work.pivots.Add(uint64(w.pivots))
	if err == nil {
		into.take(w, vs)
	}
	return err
}

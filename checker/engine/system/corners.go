package system

import (
	"context"
	"fmt"
	"slices"

	"pintle/checker/engine/circuit"
)

// corners collects the corners in which a question has to be decided again.
type corners struct {
	s       *System
	qs      []circuit.QuestionID
	open    *openValues
	answers [][]*circuit.Decision // that were met, the first those of the system's corner
	found   []circuit.Corner      // with the other ones
	partial string
}

func (c *corners) collect(ctx context.Context) error {
	here, err := c.at(ctx, c.s.opts.Corner)
	if err != nil {
		return err
	}
	c.answers = append(c.answers, here)
	// Where warmth acts, all filaments cold come first: that is how things are in the moment
	// in which they are switched on, and one of several alone is seldom so.
	if c.warms() {
		if err := c.add(ctx, c.s.opts.Corner.WithCold(true)); err != nil {
			return err
		}
	}
	for _, k := range c.open.shown {
		if err := c.add(ctx, k); err != nil {
			return err
		}
	}
	if err := c.ends(ctx); err != nil {
		return err
	}
	infos := c.s.circuit.Params()
	for _, p := range c.open.params {
		if infos[p].Kind != circuit.SupplyVolts {
			continue
		}
		for _, end := range [...]float64{infos[p].Min, infos[p].Max} {
			if err := c.between(ctx, p, infos[p].Nominal, end, splits); err != nil {
				return err
			}
		}
	}
	return nil
}

// warms reports whether the warmth of some filament is open, and there are others.
func (c *corners) warms() bool {
	filaments := 0
	for _, info := range c.s.circuit.Params() {
		if info.Kind == circuit.Warmth {
			filaments++
		}
	}
	open := slices.ContainsFunc(c.open.params, func(p circuit.ParamID) bool { return c.s.circuit.Params()[p].Kind == circuit.Warmth })
	return open && filaments > 1
}

// ends adds all combinations of the ends of what is open.
func (c *corners) ends(ctx context.Context) error {
	infos := c.s.circuit.Params()
	all := []circuit.Corner{c.s.opts.Corner}
	if c.open.cold {
		all = append(all, c.s.opts.Corner.WithCold(!c.s.opts.Corner.Cold()))
	}
	for _, p := range c.open.params {
		if 2*len(all) > c.s.opts.MaxCorners {
			c.partial = fmt.Sprintf("%d values act together; not all of their combinations were tried", len(c.open.params))
			break
		}
		next := make([]circuit.Corner, 0, 2*len(all))
		for _, k := range all {
			next = append(next, k.With(p, infos[p].Min), k.With(p, infos[p].Max))
		}
		all = next
	}
	for _, k := range all {
		if err := c.add(ctx, k); err != nil {
			return err
		}
	}
	return nil
}

// between adds corners between two values of a parameter, where the answers are others
// than at both.
func (c *corners) between(ctx context.Context, p circuit.ParamID, a, b float64, depth int) error {
	base := c.s.opts.Corner
	one, err := c.at(ctx, base.With(p, a))
	if err != nil {
		return err
	}
	other, err := c.at(ctx, base.With(p, b))
	if err != nil {
		return err
	}
	if depth == 0 || same(one, other) {
		return nil
	}
	middle := a + (b-a)/2
	if err := c.add(ctx, base.With(p, middle)); err != nil {
		return err
	}
	if err := c.between(ctx, p, a, middle, depth-1); err != nil {
		return err
	}
	return c.between(ctx, p, middle, b, depth-1)
}

// add keeps a corner if its answers are new.
func (c *corners) add(ctx context.Context, k circuit.Corner) error {
	got, err := c.at(ctx, k)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(c.answers, func(known []*circuit.Decision) bool { return same(known, got) }) {
		return nil
	}
	if len(c.found) >= c.s.opts.MaxCorners {
		c.partial = fmt.Sprintf("its answers differ in more than %d ways within the tolerances", c.s.opts.MaxCorners)
		return nil
	}
	c.answers = append(c.answers, got)
	c.found = append(c.found, k)
	return nil
}

// at lists the answers in a corner.
func (c *corners) at(ctx context.Context, k circuit.Corner) ([]*circuit.Decision, error) {
	out := make([]*circuit.Decision, len(c.qs))
	for i, q := range c.qs {
		var err error
		if out[i], err = c.s.circuit.Decide(ctx, q, k); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func same(a, b []*circuit.Decision) bool { return slices.EqualFunc(a, b, alike) }

// alike reports whether two decisions give the same answers by the same switches.
func alike(d, e *circuit.Decision) bool {
	type pair struct{ d, e *circuit.Decision }
	seen := map[pair]bool{}
	var walk func(d, e *circuit.Decision) bool
	walk = func(d, e *circuit.Decision) bool {
		switch {
		case d == e || seen[pair{d, e}]:
			return true
		case d.Switch != e.Switch:
			return false
		case d.IsLeaf():
			return d.Nominal == e.Nominal
		}
		seen[pair{d, e}] = true
		return walk(d.Open, e.Open) && walk(d.Closed, e.Closed)
	}
	return walk(d, e)
}

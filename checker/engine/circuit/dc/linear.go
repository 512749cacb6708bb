package dc

import (
	"context"
	"math"
)

// Linear is a network of which the states of the valves are held: each is a conductor in
// both directions, with its drop or EMF, or does not conduct. Potentials and currents are
// then of the first degree in all EMFs and drops together, and those of several sets of EMFs
// add up. Whether the states are the ones that the laws of the valves ask for is for the
// caller to see: a valve that is held conducting needs a Current of no less than 0, one that
// is held open a Drive of no more. It belongs to one goroutine.
type Linear struct {
	c      *Compiled
	w      *workspace
	values Values
}

// Linear makes one.
func (c *Compiled) Linear() *Linear {
	n := len(c.net.Branches)
	return &Linear{c: c, w: c.newWorkspace(), values: Values{owner: c, g: make([]float64, n), e: make([]float64, n)}}
}

// Hold puts in the branches of the closed switches, with these resistances, and holds the
// valves: those for which on is true conduct. Errors are those of Values and Compiled.Solve.
func (l *Linear) Hold(ctx context.Context, closed Bits, ohm []float64, on []bool) error {
	if err := l.c.allows(ctx, closed); err != nil {
		return err
	}
	if err := l.values.set(ohm, nil, closed); err != nil {
		return err
	}
	w := l.w
	w.present, w.valves = w.present[:0], w.valves[:0]
	clear(w.on)
	for b := range l.c.wire {
		s := &l.c.wire[b]
		if s.sw >= 0 && !closed.Has(int(s.sw)) {
			continue
		}
		w.present = append(w.present, int32(b))
		w.on[b] = true
		if s.valve {
			w.valves = append(w.valves, int32(b))
			w.on[b] = on[b]
		}
	}
	return nil
}

// Solve solves with so many volts driving current from A to B of each branch: the EMF of a
// source, the drop of a diode taken negative. Either sign is good.
func (l *Linear) Solve(emf []float64) {
	l.values.maxE = 0
	for _, b := range l.w.present {
		l.values.e[b] = emf[b]
		l.values.maxE = max(l.values.maxE, math.Abs(emf[b]))
	}
	l.c.potentials(l.w, &l.values)
	l.c.currents(l.w, &l.values)
	l.c.work.solves.Add(1)
}

// Valves lists the branches that are valves and in.
func (l *Linear) Valves() []int32 { return l.w.valves }

// Current returns the amperes through a branch from A to B.
func (l *Linear) Current(branch int) float64 { return l.w.i[branch] }

// Drive returns the volts that would drive current through a branch from A to B, its EMF
// included.
func (l *Linear) Drive(branch int) float64 { return l.c.drive(l.w, &l.values, int32(branch)) }

// Between returns the volts of a against b. Where nothing that conducts joins the two it is
// what leaks of equal size through the valves that are held open make of it.
func (l *Linear) Between(a, b Node) float64 {
	x, y := l.c.plan.pos[a], l.c.plan.pos[b]
	d, lost := twoSum(l.w.v[x], -l.w.v[y])
	return d + (lost + l.w.fine[x] - l.w.fine[y])
}

// Joined reports whether branches that conduct join two nodes.
func (l *Linear) Joined(a, b Node) bool {
	return l.c.joined(l.w, l.c.plan.pos[a], l.c.plan.pos[b])
}

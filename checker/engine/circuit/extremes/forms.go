package extremes

import (
	"context"
	"math"

	"pintle/checker/engine/circuit/dc"
)

// form is a number c + Σ a·x over the free axes.
type form struct {
	c        float64
	a        []float64
	rounding float64
}

// each calls do for each form.
func (f *forms) each(do func(*form)) {
	do(&f.reading)
	for i := range f.margins {
		do(&f.margins[i])
	}
	for i := range f.holds {
		do(&f.holds[i])
	}
}

// ends are its extremes over the box.
func (f *form) ends(free []axis) (lo, hi float64) {
	w := 0.0
	for j := range free {
		w += math.Abs(f.a[j]) * free[j].half
	}
	return f.c - w, f.c + w
}

// forms are what is read of a pattern with given resistances.
type forms struct {
	reading form
	margins []form // per valve: not negative where it obeys its law
	holds   []form // per terminal: the amperes that hold it
}

// solve works out the forms: one solution in the middle, and one for each axis.
func (b *box) solve(ctx context.Context, on []bool, ohm []float64) (*forms, error) {
	l := b.p.linear
	if err := l.Hold(ctx, b.in, ohm, on); err != nil {
		return nil, err
	}
	valves := l.Valves()
	n := len(b.free)
	slab := make([]float64, n*(1+len(valves)+b.p.terminals))
	room := func() (a []float64) { a, slab = slab[:n:n], slab[n:]; return a }
	f := &forms{margins: make([]form, len(valves)), holds: make([]form, b.p.terminals)}
	f.each(func(x *form) { x.a = room() })
	// read takes what a solution shows, and returns the largest current that holds a terminal.
	read := func(to func(*form, float64)) (largest float64) {
		x := 0.0
		if b.r.Terms == nil {
			x = l.Between(b.r.Plus, b.r.Minus)
		}
		for _, t := range b.r.Terms {
			if b.in.Has(t.Branch) && (!b.valve(t.Branch) || on[t.Branch]) {
				x += t.Times * l.Current(t.Branch)
			}
		}
		to(&f.reading, x)
		for i, v := range valves {
			if on[v] {
				to(&f.margins[i], l.Current(int(v)))
			} else {
				to(&f.margins[i], -l.Drive(int(v)))
			}
		}
		for t := range f.holds {
			x := l.Current(b.p.hold(t))
			to(&f.holds[t], x)
			largest = max(largest, math.Abs(x))
		}
		return largest
	}
	b.p.count()
	l.Solve(b.emf)
	amps := read(func(f *form, x float64) { f.c = x })
	volts := 1.0
	largest := b.responses(on, ohm, f, func(j int, unit []float64) float64 {
		l.Solve(unit)
		return read(func(f *form, x float64) { f.a[j] = x })
	})
	for j, axis := range b.free {
		amps += axis.half * largest[j]
		volts += axis.half
	}
	for i := range b.emf {
		volts += math.Abs(b.emf[i])
	}
	for i, v := range valves {
		f.margins[i].rounding = roundVolts * volts
		if on[v] {
			f.margins[i].rounding = max(roundAmps*amps, leastAmps)
		}
	}
	return f, nil
}

// Below these parts of all volts, and of all currents of terminals, a margin counts as 0: it
// is the rounding of a solution, and there the states on both sides of a knee are the same.
const (
	roundVolts = 1e-14
	roundAmps  = 1e-13
	leastAmps  = 1e-16 // A, where nothing runs at all
)

func (b *box) valve(branch int) bool {
	return b.p.branches[branch].Kind == dc.Diode || b.p.branches[branch].OneWay
}

// most bounds a form where none of some laws is broken: by each of them alone, which is a
// linear program with one constraint. Its dual is convex, with kinks where an axis changes its
// direction, and every value of it is a bound.
func (b *box) most(f form, laws []form) Interval {
	lo, hi := f.ends(b.free)
	out := Interval{lo, hi}
	for i := range laws {
		out.Hi = min(out.Hi, b.held(&f, &laws[i], 1))
		out.Lo = max(out.Lo, -b.held(&f, &laws[i], -1))
	}
	if out.Lo > out.Hi {
		return Interval{lo, hi} // nowhere but for rounding
	}
	return out
}

// held bounds sign times a form where a law is not broken.
func (b *box) held(f, law *form, sign float64) float64 {
	best := math.Inf(1)
	at := func(times float64) {
		v := sign*f.c + times*(law.c+law.rounding)
		for j := range b.free {
			v += math.Abs(sign*f.a[j]+times*law.a[j]) * b.free[j].half
		}
		best = min(best, v)
	}
	at(0)
	for j := range b.free {
		if times := -sign * f.a[j] / law.a[j]; law.a[j] != 0 && times > 0 && !math.IsInf(times, 0) {
			at(times)
		}
	}
	return best
}

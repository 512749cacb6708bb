// Package extremes gives the range of a reading of a small direct-current network whose
// terminals, resistances and EMFs lie anywhere within intervals.
//
// # Theorem
//
// While the same diodes conduct, node potentials and currents are of the first degree in all
// EMFs and terminal potentials together, and quotients of two polynomials of the first degree
// in each single conductance (Cramer's rule and the matrix-tree theorem: Chen, Applied Graph
// Theory, 2nd ed. 1976, ch. 4). The denominator, the determinant of the nodal matrix, is
// positive. So a reading is monotone in each single number while the others stand still,
// though its direction may depend on the others, and attains its extremes over a box at
// vertices: from any point of it, moving one number after another to the better end never
// loses. Over EMFs and terminals no vertex need be visited: the extremes of a sum
// c + Σ a·x over a box are c ± Σ |a|·w, w being half of each width.
//
// Which diodes conduct is a linear complementarity problem with a positive definite matrix
// (package dc). The same theorem holds for the margin by which a diode obeys its law in a
// given pattern of states, so that a pattern of which no margin is negative at a vertex holds
// in the whole box. Otherwise the patterns next to it are looked at too, those that differ in
// one diode of which a margin is negative somewhere. As the cones of a positive definite
// problem meet at their facets, across which one state changes (Cottle, Pang and Stone, The
// Linear Complementarity Problem, 1992, sections 1.3 and 3.3), a set of patterns that is
// closed in this way covers the box. What the reading can be in any of them, held to one
// margin that must not be negative, bounds it; with one pattern, and with fixed resistances
// where one diode changes, exactly.
package extremes

import (
	"context"
	"math"
	"sync/atomic"

	"pintle/checker/circuit/dc"
)

// Interval is where a number lies, ends included.
type Interval struct{ Lo, Hi float64 }

// Point is the interval of one number.
func Point(x float64) Interval { return Interval{x, x} }

// Or takes in another interval, with what lies between.
func (i Interval) Or(j Interval) Interval { return Interval{min(i.Lo, j.Lo), max(i.Hi, j.Hi)} }

func (i Interval) middle() float64 { return i.Lo + (i.Hi-i.Lo)/2 }

// Terminal is where the potential of a terminal lies: against the zero, or against an earlier
// terminal.
type Terminal struct {
	Interval
	Against int // an earlier terminal, -1: the zero
}

// Term is a part of a reading: so many times the current through a branch, from A to B.
type Term struct {
	Branch int
	Times  float64
}

// Reading is what is read off a solution: the volts of Plus against Minus, or, if there are
// Terms, the sum of these.
type Reading struct {
	Plus, Minus dc.Node
	Terms       []Term
}

// Part is a network with terminals, of which the potentials against the zero are given.
// It belongs to one goroutine.
type Part struct {
	terminals int
	branches  []dc.Branch
	switches  []int // per branch: the number of its switch, -1: always in
	trial     *dc.Trial
	linear    *dc.Linear
	solved    *atomic.Uint64 // counts solutions
}

const (
	// holdOhm joins a terminal to the source that holds it, in ohm.
	holdOhm = dc.MinOhm
	// pad is by how much the interval of a terminal is widened, in V: more than what
	// holdOhm loses at holdAmps.
	pad      = 1e-6
	holdAmps = 900
	// maxOpen is how many resistances may be open at once, maxFree how many terminals and
	// EMFs, maxPatterns how many patterns of diodes are looked at, and maxSolves how often a
	// range may solve the network.
	maxOpen     = 8
	maxFree     = 24
	maxPatterns = 12
	maxSolves   = 2048
)

// New prepares a network. Its branches are numbered as in net, a branch with a switch is
// in where Range is given that switch closed. The zero is a node of net. Solutions are
// counted in solved. Errors are those of dc.Compile.
func New(net dc.Network, zero dc.Node, terminals []dc.Node, meter Reading, meterOhm float64, solved *atomic.Uint64) (*Part, error) {
	p := &Part{terminals: len(terminals), branches: net.Branches, solved: solved}
	own := dc.Network{Nodes: net.Nodes, References: []dc.Node{zero}}
	add := func(b dc.Branch) {
		b.Switch = len(own.Branches)
		own.Branches = append(own.Branches, b)
	}
	for _, b := range net.Branches {
		p.switches = append(p.switches, b.Switch)
		add(b)
	}
	for _, t := range terminals {
		add(dc.Branch{Kind: dc.Source, A: zero, B: t, Ohm: holdOhm})
		add(dc.Branch{Kind: dc.Source, A: t, B: zero, Ohm: holdOhm})
	}
	add(dc.Branch{A: meter.Plus, B: meter.Minus, Ohm: meterOhm})
	own.Switches = len(own.Branches)
	compiled, err := dc.Compile(own)
	if err != nil {
		return nil, err
	}
	p.branches = own.Branches
	p.trial, p.linear = compiled.Trial(), compiled.Linear()
	return p, nil
}

// own counts the branches of the network itself.
func (p *Part) own() int { return len(p.switches) }

// hold is the source that holds a terminal, plus at the terminal; the one behind it is for
// potentials below the zero.
func (p *Part) hold(terminal int) int { return p.own() + 2*terminal }

func (p *Part) meter() int { return p.own() + 2*p.terminals }

// Range returns the range of a reading with some switches closed, terminals and branches
// anywhere within their intervals: exact, or a bound where several diodes change their
// states, or one does and resistances are open. It is false where that could not be found:
// too much is open, or too many diodes change.
func (p *Part) Range(ctx context.Context, closed func(int) bool, terminals []Terminal, ohm, volt []Interval, r Reading) (Interval, bool, error) {
	b := p.box(closed, terminals, ohm, volt, r)
	if b == nil {
		return Interval{}, false, nil
	}
	if r.Terms == nil {
		// Where nothing but a meter joins the two points of a reading, it decides.
		joined, apart := b, false
		out, some, ok, err := joined.over(ctx, &apart)
		if err != nil || !ok || !apart {
			return out, ok && some, err
		}
		b.put(p.meter())
		metered, more, ok, err := b.over(ctx, nil)
		if some {
			metered = metered.Or(out)
		}
		return metered, ok && more, err
	}
	out, some, ok, err := b.over(ctx, nil)
	return out, ok && some, err
}

// box is a set of numbers, each anywhere within its interval.
type box struct {
	p    *Part
	r    Reading
	in   dc.Bits
	ohm  []float64 // at the ends of what is open where that is lowest
	emf  []float64 // in the middle, from A to B
	free []axis    // terminals and EMFs
	open []open    // resistances

	drops []float64 // volts of the branches, as dc.Trial wants them
	left  int       // solutions that may be made
}

// axis is one number of the first degree: what it moves, in V a V, and half of its width.
type axis struct {
	moves []move
	half  float64
}

type move struct {
	branch int
	by     float64
}

// open is a resistance that is known to lie between two values.
type open struct {
	branch   int
	ohm, end float64
}

// box makes a box; nil where too much is open.
func (p *Part) box(closed func(int) bool, terminals []Terminal, ohm, volt []Interval, r Reading) *box {
	n := len(p.branches)
	slab := make([]float64, 3*n)
	b := &box{p: p, r: r, in: make(dc.Bits, (n+63)/64), ohm: slab[:n:n], emf: slab[n : 2*n : 2*n], drops: slab[2*n:], left: maxSolves}
	for i := range p.branches {
		b.ohm[i] = p.branches[i].Ohm
	}
	for i, s := range p.switches {
		if s >= 0 && !closed(s) {
			continue
		}
		b.put(i)
		sign := 1.0
		if p.branches[i].Kind == dc.Diode {
			sign = -1
		}
		b.ohm[i], b.drops[i] = ohm[i].Lo, volt[i].middle()
		b.emf[i] = sign * b.drops[i]
		if ohm[i].Lo != ohm[i].Hi {
			b.open = append(b.open, open{i, ohm[i].Lo, ohm[i].Hi})
		}
		if volt[i].Lo != volt[i].Hi {
			b.free = append(b.free, axis{[]move{{i, sign}}, (volt[i].Hi - volt[i].Lo) / 2})
		}
	}
	own := len(b.free) // axes behind it belong to the terminals, one each
	for i, t := range terminals {
		at := p.hold(i)
		b.put(at)
		b.emf[at] = t.middle()
		b.free = append(b.free, axis{half: (t.Hi-t.Lo)/2 + pad})
		// It moves with all those that it is known against, one against the other.
		for j := i; j >= 0; j = terminals[j].Against {
			b.free[own+j].moves = append(b.free[own+j].moves, move{at, 1})
			if j != i {
				b.emf[at] += terminals[j].middle()
			}
		}
	}
	if len(b.open) > maxOpen || len(b.free) > maxFree {
		return nil
	}
	return b
}

func (b *box) put(i int) { b.in[i>>6] |= 1 << (i & 63) }

// start finds the pattern of the diodes in the middle of the box.
func (b *box) start(ctx context.Context) ([]bool, error) {
	in := append(dc.Bits(nil), b.in...)
	for t := range b.p.terminals {
		at := b.p.hold(t)
		b.drops[at], b.drops[at+1] = b.emf[at], -b.emf[at]
		if b.emf[at] < 0 {
			b.drops[at] = 0
			in[at>>6] &^= 1 << (at & 63)
			at++
			in[at>>6] |= 1 << (at & 63)
		} else {
			b.drops[at+1] = 0
		}
	}
	b.p.solved.Add(1)
	s, err := b.p.trial.Solve(ctx, in, b.ohm, b.drops)
	if err != nil {
		return nil, err
	}
	on := make([]bool, len(b.p.branches))
	for i := range on {
		on[i] = s.Conducting(i)
	}
	return on, nil
}

// over ranges over the box. Without apart, or if it stays false, the reading is taken in
// every pattern; those in which its points are not joined set it and are left out. some tells
// whether anything was read.
func (b *box) over(ctx context.Context, apart *bool) (out Interval, some, ok bool, err error) {
	first, err := b.start(ctx)
	if err != nil {
		return out, false, false, err
	}
	out = Interval{math.Inf(1), math.Inf(-1)}
	name := func(on []bool) string {
		key := make([]byte, len(on))
		for i, is := range on {
			if is {
				key[i] = 1
			}
		}
		return string(key)
	}
	queue, seen := [][]bool{first}, map[string]bool{name(first): true}
	for ; len(queue) > 0; queue = queue[1:] {
		p, err := b.look(ctx, queue[0])
		if err != nil || p == nil {
			return out, some, false, err
		}
		if p.nowhere {
			continue
		}
		if apart != nil && p.apart {
			*apart = true
		} else {
			out, some = out.Or(p.reading), true
		}
		if p.amps > holdAmps {
			return out, some, false, nil
		}
		for _, v := range p.turns {
			next := append([]bool(nil), queue[0]...)
			next[v] = !next[v]
			if key := name(next); !seen[key] {
				seen[key] = true
				queue = append(queue, next)
			}
		}
		if len(seen) > maxPatterns {
			return out, some, false, nil
		}
	}
	return out, some, true, nil
}

// pattern is what holds where the diodes are in given states.
type pattern struct {
	reading Interval
	amps    float64 // the most that holds a terminal
	turns   []int32 // valves that break their law somewhere in the box
	nowhere bool    // some valve does everywhere
	apart   bool    // nothing joins the points of the reading
}

// look works out a pattern; nil where that takes too many solutions.
func (b *box) look(ctx context.Context, on []bool) (*pattern, error) {
	ends := 1 << len(b.open)
	if b.left -= ends * (1 + len(b.free)); b.left < 0 {
		return nil, nil
	}
	out := &pattern{reading: Interval{math.Inf(1), math.Inf(-1)}}
	ohm := append([]float64(nil), b.ohm...)
	var turns, never []bool
	for end := range ends {
		for k, o := range b.open {
			ohm[o.branch] = o.ohm
			if end>>k&1 > 0 {
				ohm[o.branch] = o.end
			}
		}
		f, err := b.solve(ctx, on, ohm)
		if err != nil {
			return nil, err
		}
		if end == 0 {
			turns, never = make([]bool, len(f.margins)), make([]bool, len(f.margins))
			for i := range never {
				never[i] = true
			}
			out.apart = b.r.Terms == nil && !b.p.linear.Joined(b.r.Plus, b.r.Minus)
		}
		var laws []form
		for i, m := range f.margins {
			lo, hi := m.ends(b.free)
			if lo < -m.rounding {
				turns[i] = true
				laws = append(laws, m)
			}
			never[i] = never[i] && hi < -m.rounding
		}
		if len(b.open) > 0 {
			laws = nil // within the box of resistances no margin is held to
		}
		out.reading = out.reading.Or(b.most(f.reading, laws))
		for _, h := range f.holds {
			x := b.most(h, laws)
			out.amps = max(out.amps, -x.Lo, x.Hi)
		}
	}
	for i, v := range b.p.linear.Valves() {
		out.nowhere = out.nowhere || never[i]
		if turns[i] {
			out.turns = append(out.turns, v)
		}
	}
	return out, nil
}

// form is a number c + Σ a·x over the free axes.
type form struct {
	c        float64
	a        []float64
	rounding float64
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
	f.reading.a = room()
	for i := range f.margins {
		f.margins[i].a = room()
	}
	for i := range f.holds {
		f.holds[i].a = room()
	}
	set := func(emf []float64, to func(*form, float64)) (largest float64) {
		b.p.solved.Add(1)
		l.Solve(emf)
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
	amps := set(b.emf, func(f *form, x float64) { f.c = x })
	volts := 1.0
	unit := make([]float64, len(b.emf))
	for j, axis := range b.free {
		for _, m := range axis.moves {
			unit[m.branch] = m.by
		}
		amps += axis.half * set(unit, func(f *form, x float64) { f.a[j] = x })
		for _, m := range axis.moves {
			unit[m.branch] = 0
		}
		volts += axis.half
	}
	for i := range b.emf {
		volts += math.Abs(b.emf[i])
	}
	for i, v := range valves {
		f.margins[i].rounding = roundVolts * volts
		if on[v] {
			f.margins[i].rounding = roundAmps * amps
		}
	}
	return f, nil
}

// Below these parts of all volts, and of all currents of terminals, a margin counts as 0: it
// is the rounding of a solution, and there the states on both sides of a knee are the same.
const (
	roundVolts = 1e-14
	roundAmps  = 1e-13
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

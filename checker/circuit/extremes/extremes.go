// Package extremes gives the range of a reading of a small direct-current network whose
// terminals, resistances and EMFs lie anywhere within intervals.
//
// # Theorem
//
// While the same diodes conduct, node potentials and currents are quotients of two
// polynomials of the first degree in each single conductance, and affine in each EMF and
// in the potential of each terminal (Cramer's rule and the matrix-tree theorem: Chen,
// Applied Graph Theory, 2nd ed. 1976, ch. 4). The denominator, the determinant of the
// nodal matrix, is positive. So a reading is monotone in each single number while the
// others stand still, though its direction may depend on the others. Such a function
// attains its extremes over a box at vertices: from any point of it, moving one number
// after another to the better end never loses.
//
// The condition is checked: the states of the diodes at all vertices are compared. Where
// they are the same at all of them they are the same throughout, for the laws of a diode
// are inequalities in which each number occurs in the first degree, so that on a line
// along one axis they hold between two points at which they hold; and edges, then faces,
// and so on up to the box itself are covered by such lines. Where they differ the box is
// cut in halves, and if that does not end the reading is not bounded.
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
	zero      dc.Node
	terminals []dc.Node
	branches  []dc.Branch
	switches  []int // per branch: the number of its switch, -1: always in
	trial     *dc.Trial
	solved    *atomic.Uint64 // counts solutions

	// Of the last solution.
	in        dc.Bits
	ohm, volt []float64
	on        []bool
}

const (
	// holdOhm joins a terminal to the source that holds it, in ohm.
	holdOhm = dc.MinOhm
	// pad is by how much the interval of a terminal is widened, in V: more than what
	// holdOhm loses at holdAmps.
	pad      = 1e-6
	holdAmps = 500
	// maxOpen is how many numbers may be open at once, maxCuts how often a box is cut in
	// halves, one half of the other.
	maxOpen = 8
	maxCuts = 5
)

// New prepares a network. Its branches are numbered as in net, a branch with a switch is
// in where Range is given that switch closed. The zero is a node of net. Solutions are
// counted in solved. Errors are those of dc.Compile.
func New(net dc.Network, zero dc.Node, terminals []dc.Node, meter Reading, meterOhm float64, solved *atomic.Uint64) (*Part, error) {
	p := &Part{zero: zero, terminals: terminals, branches: net.Branches, solved: solved}
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
	n := len(own.Branches)
	p.trial = compiled.Trial()
	p.in = make(dc.Bits, (n+63)/64)
	p.ohm, p.volt, p.on = make([]float64, n), make([]float64, n), make([]bool, n)
	for i, b := range own.Branches {
		p.ohm[i] = b.Ohm
	}
	return p, nil
}

// axis is an open number: of a terminal, or the resistance or EMF of a branch.
type axis struct {
	at    *Interval
	kind  axisKind
	which int
}

type axisKind uint8

const (
	terminalVolts axisKind = iota
	branchOhm
	branchVolt
)

// Range returns the range of a reading with some switches closed, terminals and branches
// anywhere within their intervals. It is false where that could not be found: too much is
// open, or diodes change their states within the intervals.
func (p *Part) Range(ctx context.Context, closed func(int) bool, terminals []Terminal, ohm, volt []Interval, r Reading) (Interval, bool, error) {
	b := &box{p: p, ctx: ctx, closed: closed, r: r}
	b.terminals = make([]Interval, len(terminals))
	b.held, b.against = make([]float64, len(terminals)), make([]int, len(terminals))
	for i, t := range terminals {
		b.terminals[i], b.against[i] = Interval{t.Lo - pad, t.Hi + pad}, t.Against
		b.axes = append(b.axes, axis{&b.terminals[i], terminalVolts, i})
	}
	b.ohm, b.volt = append(b.ohm, ohm...), append(b.volt, volt...)
	for i := range b.ohm {
		if b.ohm[i].Lo != b.ohm[i].Hi && p.there(i, closed) {
			b.axes = append(b.axes, axis{&b.ohm[i], branchOhm, i})
		}
		if b.volt[i].Lo != b.volt[i].Hi && p.there(i, closed) {
			b.axes = append(b.axes, axis{&b.volt[i], branchVolt, i})
		}
	}
	if len(b.axes) > maxOpen {
		return Interval{}, false, nil
	}
	return b.over(maxCuts)
}

func (p *Part) there(branch int, closed func(int) bool) bool {
	s := p.switches[branch]
	return s < 0 || closed(s)
}

// box is a set of numbers, each anywhere within its interval.
type box struct {
	p                    *Part
	ctx                  context.Context
	closed               func(int) bool
	r                    Reading
	terminals, ohm, volt []Interval
	against              []int
	held                 []float64 // where each terminal is held, in V
	axes                 []axis
}

// over ranges over the box, and over its halves where need be.
func (b *box) over(cuts int) (Interval, bool, error) {
	out := Interval{math.Inf(1), math.Inf(-1)}
	var pattern []bool
	same := true
	for corner := range 1 << len(b.axes) {
		v, ok, err := b.vertex(corner)
		if err != nil || !ok {
			return out, false, err
		}
		out = out.Or(Point(v))
		if pattern == nil {
			pattern = append(pattern, b.p.on...)
			continue
		}
		for i, on := range b.p.on {
			same = same && on == pattern[i]
		}
	}
	switch {
	case same:
		return out, true, nil
	case cuts == 0:
		return out, false, nil
	}
	widest := b.axes[0].at
	for _, a := range b.axes {
		if a.kind == terminalVolts && a.at.Hi-a.at.Lo > widest.Hi-widest.Lo {
			widest = a.at
		}
	}
	whole := *widest
	defer func() { *widest = whole }()
	middle := whole.Lo + (whole.Hi-whole.Lo)/2
	widest.Hi = middle
	low, ok, err := b.over(cuts - 1)
	if err != nil || !ok {
		return out, false, err
	}
	*widest = Interval{middle, whole.Hi}
	high, ok, err := b.over(cuts - 1)
	return low.Or(high), ok, err
}

// vertex reads at one vertex, given by the axes that are at their higher end.
func (b *box) vertex(corner int) (v float64, ok bool, err error) {
	p := b.p
	clear(p.in)
	put := func(i int, ohm, volt float64) {
		p.in[i>>6] |= 1 << (i & 63)
		p.ohm[i], p.volt[i] = ohm, volt
	}
	for i := range p.branches {
		if p.there(i, b.closed) {
			put(i, b.ohm[i].Lo, b.volt[i].Lo)
		}
	}
	hold := func(t int, volts float64) {
		if from := b.against[t]; from >= 0 {
			volts += b.held[from]
		}
		b.held[t] = volts
		i := len(p.branches) + 2*t
		if volts < 0 {
			i, volts = i+1, -volts
		}
		put(i, holdOhm, volts)
	}
	for k, a := range b.axes {
		x := a.at.Lo
		if corner>>k&1 > 0 {
			x = a.at.Hi
		}
		switch a.kind {
		case terminalVolts:
			hold(a.which, x)
		case branchOhm:
			p.ohm[a.which] = x
		case branchVolt:
			p.volt[a.which] = x
		}
	}
	s, err := p.solve(b.ctx)
	if err != nil {
		return 0, false, err
	}
	if b.r.Terms != nil {
		for _, t := range b.r.Terms {
			v += t.Times * s.Current(t.Branch)
		}
	} else if v, ok = s.Between(b.r.Plus, b.r.Minus); !ok {
		// Nothing but a meter joins the two.
		meter := len(p.branches) + 2*len(p.terminals)
		put(meter, p.ohm[meter], 0)
		if s, err = p.solve(b.ctx); err != nil {
			return 0, false, err
		}
		v, _ = s.Between(b.r.Plus, b.r.Minus)
	}
	for i := range p.on {
		p.on[i] = s.Conducting(i)
	}
	for t := range p.terminals {
		for side := range 2 {
			// Which of the two holds it says nothing of diodes.
			i := len(p.branches) + 2*t + side
			p.on[i] = false
			if math.Abs(s.Current(i)) > holdAmps {
				return 0, false, nil
			}
		}
	}
	return v, true, nil
}

func (p *Part) solve(ctx context.Context) (*dc.Solution, error) {
	p.solved.Add(1)
	return p.trial.Solve(ctx, p.in, p.ohm, p.volt)
}

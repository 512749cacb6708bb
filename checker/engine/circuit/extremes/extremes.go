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
	"sync/atomic"

	"pintle/checker/engine/circuit/dc"
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
	nodes     int
	ends      []dc.Node // the terminals
	zero      dc.Node
	branches  []dc.Branch
	switches  []int // per branch: the number of its switch, -1: always in
	trial     *dc.Trial
	linear    *dc.Linear
	solved    *atomic.Uint64 // counts solutions
	solves    int            // by this part, or as good as, see responses
	units     map[string]*unitResponse
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
	p := &Part{terminals: len(terminals), nodes: net.Nodes, ends: terminals, zero: zero, branches: net.Branches, solved: solved}
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

// Solves counts the solutions that this part asked for so far, those that it had kept included.
func (p *Part) Solves() int { return p.solves }

// count notes one more solution.
func (p *Part) count() {
	p.solves++
	p.solved.Add(1)
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

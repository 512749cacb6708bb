package circuit

import (
	"context"
	"math"
	"slices"
	"sync"

	"pintle/checker/engine/budget"
	"pintle/checker/engine/circuit/dc"
	"pintle/lang/model"
)

// Solution is the whole circuit in one state of its switches and one corner. It does
// not change and is safe for concurrent use.
type Solution struct {
	c      *Circuit
	corner Corner
	closed []bool         // per switch
	parts  []*dc.Solution // per island

	metalOnce sync.Once
	live      []bool
	grounded  []bool
}

// Solve solves the whole circuit. Islands are solved once for each of their own
// states. Errors: that of the context; ErrDesign for a corner that holds numbers
// that cannot be.
func (c *Circuit) Solve(ctx context.Context, closed func(Switch) bool, k Corner) (*Solution, error) {
	s := &Solution{c: c, corner: k, closed: make([]bool, len(c.switches)), parts: make([]*dc.Solution, len(c.islands))}
	for w := range s.closed {
		s.closed[w] = closed(Switch(w))
	}
	budget.From(ctx).Spend(budget.States, int64(len(c.elems)))
	for i, part := range c.islands {
		var err error
		if s.parts[i], err = c.solveIsland(ctx, part, s.bits(part), k, true); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func (s *Solution) bits(i *island) dc.Bits {
	b := make(dc.Bits, (len(i.Switches)+63)/64)
	for l, w := range i.Switches {
		if s.closed[w] {
			b[l>>6] |= 1 << (l & 63)
		}
	}
	return b
}

// solveIsland solves one island. Solutions and values are remembered if keep is set.
func (c *Circuit) solveIsland(ctx context.Context, i *island, closed dc.Bits, k Corner, keep bool) (*dc.Solution, error) {
	if keep {
		v, err := c.valuesAt(i, k)
		if err != nil {
			return nil, err
		}
		return i.net.Solve(ctx, closed, dc.WithValues(v))
	}
	v, err := c.newValues(i, k)
	if err != nil {
		return nil, err
	}
	return i.net.Solve(ctx, closed, dc.WithValues(v), dc.Fresh())
}

// Circuit returns the circuit that was solved.
func (s *Solution) Circuit() *Circuit { return s.c }

// Corner returns the corner that it was solved in.
func (s *Solution) Corner() Corner { return s.corner }

// Closed reports whether a switch is closed.
func (s *Solution) Closed(w Switch) bool { return s.closed[w] }

// Conducts reports whether an element is there and its switch closed. A diode conducts
// in this sense even while it blocks.
func (s *Solution) Conducts(e model.ElementID) bool {
	w := s.c.switchOf[e]
	return w == always || w >= 0 && s.closed[w]
}

// Blocks reports whether an element is a diode or one-way source that conducts as far
// as its switch goes, but is driven backwards.
func (s *Solution) Blocks(e model.ElementID) bool {
	i, b, ok := s.c.branchOf(e)
	return ok && s.Conducts(e) && !s.parts[i].Conducting(b)
}

// Carries reports whether a current runs through an element, beyond what the rounding
// of a solution may leave.
func (s *Solution) Carries(e model.ElementID) bool {
	i, b, ok := s.c.branchOf(e)
	return ok && s.parts[i].Carries(b)
}

// branchOf finds an element in the network of its island.
func (c *Circuit) branchOf(id model.ElementID) (island, branch int, ok bool) {
	e := &c.elems[id]
	n := e.A
	if n == c.design.Ground {
		n = e.B
	}
	if c.switchOf[id] == never || e.A == e.B {
		return 0, 0, false
	}
	island = c.at[n].island
	branch, ok = c.islands[island].branch(id)
	return island, branch, ok
}

// Amps returns the current through an element, from A to B; 0 where it is open.
func (s *Solution) Amps(e model.ElementID) float64 {
	i, b, ok := s.c.branchOf(e)
	if !ok {
		return 0
	}
	return s.parts[i].Current(b)
}

// Volts returns the volts of a node against the zero of its piece: ground where
// HasZero is true. Between is what to use for differences.
func (s *Solution) Volts(n model.NodeID) float64 {
	p := s.c.at[n]
	if p.island < 0 {
		return 0
	}
	return s.parts[p.island].Potential(p.local)
}

// HasZero reports whether a node lies in a piece that is joined to ground, so that its
// volts have a meaning by themselves.
func (s *Solution) HasZero(n model.NodeID) bool {
	p := s.c.at[n]
	if p.island < 0 {
		return n == s.c.design.Ground
	}
	part, i := s.parts[p.island], s.c.islands[p.island]
	return i.ground >= 0 && part.Piece(p.local) == part.Piece(i.ground)
}

// Piece identifies the piece that a node lies in: the nodes joined to it by elements
// that conduct (not by blocking diodes). Two nodes are in one piece when they have
// the same one. All pieces that are joined to ground are one.
func (s *Solution) Piece(n model.NodeID) int {
	if s.HasZero(n) {
		return 0
	}
	p := s.c.at[n]
	if p.island < 0 {
		return -1 - int(n)
	}
	return s.c.islands[p.island].offset + s.parts[p.island].Piece(p.local)
}

// Between returns the volts of a against b. It is false where they lie in different
// pieces: then there is no such voltage.
func (s *Solution) Between(a, b model.NodeID) (volts float64, ok bool) {
	if a != b && s.Piece(a) != s.Piece(b) {
		return 0, false
	}
	return s.Volts(a) - s.Volts(b), true
}

// meterOhm is the resistance of the instrument that Measure puts between two points
// without a common piece, in ohm. Common digital meters have 10 megohm; no source.
const meterOhm = 10e6

// Measure reads a number off the solution: V, A or At. Where the two points of a
// voltage lie in different pieces, so that without an instrument there is no voltage
// between them, it is what a meter of 10 megohm shows: 0 for a loose end, the feed
// less the drop behind a diode that nothing draws from.
func (s *Solution) Measure(ctx context.Context, m model.Measure) (float64, error) {
	across := s.c.across(m)
	v, err := s.signed(ctx, &across)
	if unsigned(m.Kind) {
		v = math.Abs(v)
	}
	return v, err
}

// unsigned reports whether a measure is a magnitude.
func unsigned(k model.MeasureKind) bool { return k != model.Volts }

// signed is a measure before its magnitude is taken.
func (s *Solution) signed(ctx context.Context, m *model.Measure) (float64, error) {
	switch m.Kind {
	case model.Volts, model.AbsVolts:
		if v, ok := s.Between(m.A, m.B); ok {
			return v, nil
		}
		return s.metered(ctx, m.A, m.B)
	case model.Amps:
		return s.Amps(m.Element), nil
	}
	sum := 0.0
	for _, w := range m.Windings {
		sum += w.Turns * s.Amps(w.Element)
	}
	return sum, nil
}

// metered solves the island of two nodes again with a meter between them. Nodes of
// different islands have a common piece only through ground, and two pieces of
// which one has no ground close no circuit through a meter.
func (s *Solution) metered(ctx context.Context, a, b model.NodeID) (float64, error) {
	g := s.c.design.Ground
	pa, pb := s.c.at[a], s.c.at[b]
	if a == g {
		pa = place{pb.island, -1}
	}
	if b == g {
		pb = place{pa.island, -1}
	}
	if pa.island != pb.island || pa.island < 0 {
		return s.meteredAcross(ctx, a, b)
	}
	i := s.c.islands[pa.island]
	x, y := s.c.localIn(i, a), s.c.localIn(i, b)
	if x < 0 || y < 0 {
		return 0, nil // an island without ground, metered against ground
	}
	net, err := i.metered(x, y)
	if err != nil {
		return 0, err
	}
	ohm, volt := s.c.numbers(i, s.corner)
	v, err := net.Values(append(ohm, meterOhm), append(volt, 0))
	if err != nil {
		return 0, err
	}
	part, err := net.Solve(ctx, s.bits(i), dc.WithValues(v), dc.Fresh())
	if err != nil {
		return 0, err
	}
	s.c.work.solves.Add(1)
	volts, _ := part.Between(x, y)
	return volts, nil
}

// meteredAcross reads between two islands. What is joined to ground on both sides has its
// volts without an instrument. Else the meter closes a circuit only through ground: the two
// islands are solved as one that meets there, and nothing is read where one of them has no
// ground.
func (s *Solution) meteredAcross(ctx context.Context, a, b model.NodeID) (float64, error) {
	g := s.c.design.Ground
	if g == model.None || a == g || b == g || s.c.at[a].island < 0 || s.c.at[b].island < 0 {
		return 0, nil
	}
	if s.HasZero(a) && s.HasZero(b) {
		return s.Volts(a) - s.Volts(b), nil
	}
	i, j := s.c.islands[s.c.at[a].island], s.c.islands[s.c.at[b].island]
	if i.ground < 0 || j.ground < 0 {
		return 0, nil
	}
	n, m := i.net.Network(), j.net.Network()
	there := func(v dc.Node) dc.Node {
		if v == j.ground {
			return i.ground
		}
		return v + dc.Node(n.Nodes)
	}
	closed := s.bits(i)
	for l, w := range j.Switches {
		if s.closed[w] {
			closed = closed.With(n.Switches + l)
		}
	}
	both := dc.Network{Nodes: n.Nodes + m.Nodes, Switches: n.Switches + m.Switches, References: []dc.Node{i.ground}}
	both.Branches = slices.Clone(n.Branches)
	for _, x := range m.Branches {
		x.A, x.B = there(x.A), there(x.B)
		if x.Switch >= 0 {
			x.Switch += n.Switches
		}
		both.Branches = append(both.Branches, x)
	}
	x, y := s.c.localIn(i, a), there(s.c.localIn(j, b))
	both.Branches = append(both.Branches, dc.Branch{A: x, B: y, Ohm: meterOhm, Switch: -1})
	net, err := dc.Compile(both)
	if err != nil {
		return 0, err
	}
	ohm, volt := s.c.numbers(i, s.corner)
	ohmJ, voltJ := s.c.numbers(j, s.corner)
	v, err := net.Values(slices.Concat(ohm, ohmJ, []float64{meterOhm}), slices.Concat(volt, voltJ, []float64{0}))
	if err != nil {
		return 0, err
	}
	part, err := net.Solve(ctx, closed, dc.WithValues(v), dc.Fresh())
	if err != nil {
		return 0, err
	}
	s.c.work.solves.Add(1)
	volts, _ := part.Between(x, y)
	return volts, nil
}

// metered returns the island's network with a meter as its last branch.
func (i *island) metered(a, b dc.Node) (*dc.Compiled, error) {
	i.mu.Lock()
	defer i.mu.Unlock()
	key := [2]dc.Node{a, b}
	if net, ok := i.meters[key]; ok {
		return net, nil
	}
	n := i.net.Network()
	n.Branches = append(n.Branches, dc.Branch{A: a, B: b, Ohm: meterOhm, Switch: -1})
	net, err := dc.Compile(n)
	if err != nil {
		return nil, err
	}
	if i.meters == nil {
		i.meters = map[[2]dc.Node]*dc.Compiled{}
	}
	i.meters[key] = net
	return net, nil
}

// Answer answers a question in this state and corner.
func (s *Solution) Answer(ctx context.Context, q QuestionID) (bool, error) {
	a := s.c.Question(q).Atom
	switch a.Kind {
	case model.AtomLive:
		return s.Live(model.NodeID(a.Index)), nil
	case model.AtomGrounded:
		return s.Grounded(model.NodeID(a.Index)), nil
	case model.AtomFloating:
		return s.Floating(model.NodeID(a.Index)), nil
	case model.AtomJoined:
		return s.Joined(model.NodeID(a.Index), model.NodeID(a.Other)), nil
	}
	v, err := s.Measure(ctx, a.Measure)
	return err == nil && a.Cmp.Holds(margin(v, a.Level.Nominal)), err
}

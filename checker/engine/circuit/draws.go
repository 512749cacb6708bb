package circuit

import (
	"context"
	"encoding/binary"
	"slices"

	"pintle/checker/engine/circuit/dc"
)

// draws bound what a component can take from its rails and give to them, in siemens,
// whatever its switches do.
type draws struct {
	// across is what all its high rails together, tied, can give to all its low ones,
	// tied, for each volt between them.
	across float64
	// Of each terminal: own is by how much its current can grow for each volt that it
	// alone is moved; give and take are what it can give to all others, tied, for each
	// volt above them, and take from them below.
	own, give, take []float64
	// oneWay: own knows nothing of the direction of diodes, and give and take are better.
	oneWay bool
}

const (
	// enumerated is how many unknown switches of a component are tried out in all states
	// that can be together. The others of larger ones are all taken for closed.
	enumerated = 10
	// nearly is by how much give and take may be more than the draw across and still serve
	// instead of it.
	nearly = 4
)

// drawsOf works out the draws of a component.
//
// The elements are resistances, or resistances in one direction: without their drops,
// currents are proportional to the voltage V between two sets of tied terminals, and the
// current is 2 W(V) / V, where W is the least co-content over all inner potentials
// (Millar, Phil. Mag. 42 (1951) 1150). An element that is added adds to W, never takes
// from it; that is Rayleigh's monotonicity law, here with diodes too. So the most is that
// of the state with most closed, and where some switches exclude each other the highest of
// the states that can be. With drops the co-content f of the real component is convex,
// f(0) = 0 and f(V) <= W(V) = G V^2 / 2 everywhere, so that
//
//	I(V) = f'(V) <= (f(2V) - f(V)) / V <= W(2V) / V = 2 G V.
//
// (Without that factor it would be wrong: adding a conductor can lower or raise the
// current of networks with drops; Cohen and Horowitz, Nature 352 (1991) 699.)
// Sources inside are taken without their volts; what they push comes on top.
//
// The current of one terminal grows with its own potential by the conductance that it has
// to all others, tied: by the most of that with every diode conducting (Rayleigh again).
func (w *boundNetwork) drawsOf(ctx context.Context, r *region, c *component, k *assignment, ohm []float64) (*draws, error) {
	patterns := w.patterns(r, c, k)
	key := w.drawsKey(r, c, patterns, ohm)
	w.mu.Lock()
	d := w.draws[key]
	w.mu.Unlock()
	if d != nil {
		return d, nil
	}
	if d = w.c.memo.draws(key); d == nil {
		var err error
		if d, err = w.newDraws(ctx, r, c, patterns, ohm); err != nil {
			return nil, err
		}
		w.c.memo.keepDraws(key, d)
	}
	w.mu.Lock()
	w.draws[key] = d
	w.mu.Unlock()
	return d, nil
}

// drawsKey is all that the draws of a component depend on, with nodes and switches in numbers of
// the component: components of different circuits that are alike have the same key.
func (w *boundNetwork) drawsKey(r *region, c *component, patterns []uint64, ohm []float64) string {
	own := w.unknownOf(r, c)
	key := make([]byte, 0, 16*len(c.elements)+8)
	key = append(key, flags(c.drop, patterns != nil))
	number := map[dc.Node]uint64{}
	node := func(v dc.Node) {
		n, ok := number[v]
		if !ok {
			n = uint64(len(number))
			number[v] = n
		}
		key = binary.AppendUvarint(append(key, byte(r.side[v])), n)
	}
	for _, i := range c.elements {
		b := &w.branches[i]
		key = append(key, flags(b.Kind == dc.Diode, r.presence[i] == maybe))
		node(b.A)
		node(b.B)
		if r.presence[i] == maybe && patterns != nil {
			at, _ := slices.BinarySearch(own, w.c.switchOf[w.s.Elements[i]])
			key = binary.AppendUvarint(key, uint64(at))
		}
		key = appendFloat(key, ohm[i])
	}
	for _, p := range patterns {
		key = binary.AppendUvarint(key, p)
	}
	return string(key)
}

// unknownOf lists the unknown switches of a component, ascending.
func (w *boundNetwork) unknownOf(r *region, c *component) []Switch {
	var own []Switch
	for _, i := range c.elements {
		if r.presence[i] == maybe {
			own = append(own, w.c.switchOf[w.s.Elements[i]])
		}
	}
	slices.Sort(own)
	return slices.Compact(own)
}

// patterns lists how the unknown switches of a component can stand together with as many
// closed as can be, the lowest in the lowest bit; nil where they are too many. What is closed
// besides never takes from a draw, so that the others need not be looked at.
func (w *boundNetwork) patterns(r *region, c *component, k *assignment) []uint64 {
	own := w.unknownOf(r, c)
	if len(own) > enumerated {
		return nil
	}
	all := w.standsOf(k, own)
	var most []uint64
	for _, p := range all {
		if !slices.ContainsFunc(all, func(q uint64) bool { return q != p && q&p == p }) {
			most = append(most, p)
		}
	}
	return most
}

// standsOf lists how some switches, ascending, can stand together as far as a state is
// known, the lowest in the lowest bit.
func (w *boundNetwork) standsOf(k *assignment, own []Switch) []uint64 {
	var key []byte
	for _, s := range own {
		key = binary.AppendUvarint(key, uint64(s))
	}
	w.mu.Lock()
	all, known := w.stands[string(key)]
	w.mu.Unlock()
	if !known {
		var spread func(k *assignment, i int, p uint64)
		spread = func(k *assignment, i int, p uint64) {
			if i == len(own) {
				all = append(all, p)
				return
			}
			for bit, closed := range [...]bool{false, true} {
				if n := k.with(own[i], closed); n != nil {
					spread(n, i+1, p|uint64(bit)<<i)
				}
			}
		}
		spread(w.c.facts.nothing(), 0, 0)
		w.mu.Lock()
		w.stands[string(key)] = all
		w.mu.Unlock()
	}
	var out []uint64
	for _, p := range all {
		can := true
		for i, s := range own {
			t := k.known[s]
			can = can && (t == Depends || (t == Yes) == (p>>i&1 > 0))
		}
		if can {
			out = append(out, p)
		}
	}
	return out
}

// newDraws solves for the draws in all states of the unknown switches.
func (w *boundNetwork) newDraws(ctx context.Context, r *region, c *component, patterns []uint64, ohm []float64) (*draws, error) {
	n := len(c.terminals)
	d := &draws{own: make([]float64, n), give: make([]float64, n), take: make([]float64, n)}
	own := w.unknownOf(r, c)
	// Nodes of the network: 0 is at no volts, 1 at one.
	net := dc.Network{Nodes: 2, Switches: len(own)}
	number := map[dc.Node]dc.Node{}
	place := func(v dc.Node) dc.Node {
		at, ok := number[v]
		if !ok {
			at = dc.Node(net.Nodes)
			number[v] = at
			net.Nodes++
		}
		return at
	}
	var diodes []int
	for _, i := range c.elements {
		b := &w.branches[i]
		branch := dc.Branch{Kind: dc.Resistor, A: place(b.A), B: place(b.B), Ohm: ohm[i], Switch: -1}
		if b.Kind == dc.Diode {
			branch.Kind = dc.Diode
			diodes = append(diodes, len(net.Branches))
		}
		if r.presence[i] == maybe && patterns != nil {
			branch.Switch, _ = slices.BinarySearch(own, w.c.switchOf[w.s.Elements[i]])
		}
		net.Branches = append(net.Branches, branch)
	}
	measure := func(net dc.Network, atOne func(i int) bool, best *float64) error {
		net.Branches = slices.Clone(net.Branches)
		for i := range net.Branches {
			b := &net.Branches[i]
			for j, t := range c.terminals {
				for _, end := range [...]*dc.Node{&b.A, &b.B} {
					if *end == number[t.node] {
						*end = 0
						if atOne(j) {
							*end = 1
						}
					}
				}
			}
		}
		net.Branches = append(net.Branches, dc.Branch{Kind: dc.Source, A: 0, B: 1, Ohm: dc.MinOhm, Volt: 1, Switch: -1})
		compiled, err := dc.Compile(net)
		if err != nil {
			return err
		}
		states := patterns
		if states == nil {
			states = []uint64{0}
		}
		for _, p := range states {
			s, err := compiled.Solve(ctx, dc.Bits{p}, dc.Fresh())
			if err != nil {
				return err
			}
			w.c.work.bounds.Add(1)
			amps := s.Current(len(net.Branches) - 1)
			g := amps / (1 - amps*dc.MinOhm) // less the source's own resistance
			if c.drop {
				g *= 2
			}
			*best = max(*best, g)
		}
		return nil
	}
	if c.lows > 0 && c.highs > 0 {
		if err := measure(net, func(i int) bool { return r.side[c.terminals[i].node] == high }, &d.across); err != nil {
			return nil, err
		}
	}
	if n > 1 && c.highs <= 1 && c.lows <= 1 && len(diodes) == 0 {
		for i := range n { // two ends: all is said
			d.own[i], d.give[i], d.take[i] = d.across, d.across, d.across
		}
		return d, nil
	}
	conducting := net
	conducting.Branches = slices.Clone(net.Branches)
	for _, i := range diodes {
		conducting.Branches[i].Kind = dc.Resistor
	}
	for j := range c.terminals {
		if n == 1 {
			break // nothing runs
		}
		if err := measure(conducting, func(i int) bool { return i == j }, &d.own[j]); err != nil {
			return nil, err
		}
		d.give[j], d.take[j] = d.own[j], d.own[j]
		if len(diodes) == 0 {
			continue
		}
		d.give[j], d.take[j] = 0, 0
		if err := measure(net, func(i int) bool { return i == j }, &d.give[j]); err != nil {
			return nil, err
		}
		if err := measure(net, func(i int) bool { return i != j }, &d.take[j]); err != nil {
			return nil, err
		}
	}
	d.oneWay = len(diodes) > 0
	for j := range c.terminals {
		d.oneWay = d.oneWay && max(d.give[j], d.take[j]) <= nearly*d.across
	}
	return d, nil
}

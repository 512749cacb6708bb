package circuit

import (
	"context"
	"math"

	"pintle/checker/engine/circuit/dc"
)

// Currents between rails.
//
// Metal and supplies that are known to be there join the rails and the zero to a graph.
// Where an element of it is a bridge, what runs through it is, by Kirchhoff's current law,
// what the components on its far side take from their rails and give to them, and this is
// bounded by their draws. So the current of a cable or main fuse is bounded, and how far
// the potentials of two rails can be apart.
//
// What is behind a bridge, seen from the zero, takes no more than G (V - L) + P of its
// near end at V, L being the lowest potential that there is: at each rail the draws are of
// that form, and behind a resistance R, with the far end at V - R I, I <= G (V - R I - L) + P
// is I <= (G (V - L) + P) / (1 + G R). So a rail that its own current pulls down draws less,
// and forms are added up from the ends of the tree towards the zero. The same holds of what
// comes back, (H - V) with the highest potential H. What known components carry for certain
// makes P less; it may be negative.

// feeds are bounds on the currents of such bridges.
type feeds struct {
	amps   []interval // per element of the island, from A to B
	bridge []bool     // per element: amps holds
	up     []int32    // per node: the bridge or other element towards the zero, -1: none
	depth  []int32    // per node, in elements
}

// feedsOf works the feeds of some bounds out once.
func (b *bounds) feedsOf(ctx context.Context, k *assignment) (*feeds, error) {
	if f := b.feeds.Load(); f != nil {
		return f, nil
	}
	f, err := b.newFeeds(ctx, k)
	if err == nil {
		b.feeds.Store(f)
	}
	return f, err
}

// core reports whether an element joins rails or the zero, and what runs through it is not
// that of a component.
func (b *bounds) core(i int) bool {
	e := &b.w.branches[i]
	if b.r.presence[i] != present || b.r.side[e.A] == inner || b.r.side[e.B] == inner || e.A == e.B {
		return false
	}
	return b.w.c.elems[b.w.s.Elements[i]].Metal || e.Kind == dc.Source && !e.OneWay
}

// flow bounds a current that leaves a rail at V by siemens times what V lies beyond an outermost
// potential, where it does, and amps, which may be negative.
type flow struct{ siemens, amps float64 }

// at is the bound where the rail lies so many volts beyond.
func (f flow) at(volts float64) float64 { return f.siemens*max(volts, 0) + f.amps }

// through is the bound of the current through a resistance, from least to most, to the rail,
// the near end of which lies so many volts beyond.
func (f flow) through(least, most, volts float64) float64 {
	near := f.behind(least, most)
	if volts <= 0 {
		return max(f.amps, near.amps)
	}
	amps := f.siemens*volts + f.amps
	pulled := amps / (1 + f.siemens*least)
	if amps < 0 {
		pulled = amps / (1 + f.siemens*most)
	}
	if f.amps*least < volts { // the far end can't have been pulled beyond the outermost
		return pulled
	}
	return max(pulled, f.amps)
}

// behind is the flow of a rail as it is seen through a resistance.
func (f flow) behind(least, most float64) flow {
	out := flow{f.siemens / (1 + f.siemens*least), f.amps}
	if out.amps < 0 {
		out.amps /= 1 + f.siemens*most
	}
	return out
}

func (f *flow) add(g flow) { f.siemens, f.amps = f.siemens+g.siemens, f.amps+g.amps }

func (b *bounds) newFeeds(ctx context.Context, k *assignment) (*feeds, error) {
	w, n := b.w, len(b.w.s.Nodes)
	x, err := b.exchange(ctx, k)
	if err != nil {
		return nil, err
	}
	f := &feeds{
		amps: make([]interval, len(w.branches)), bridge: make([]bool, len(w.branches)),
		up: make([]int32, n), depth: make([]int32, n),
	}
	for v := range f.up {
		f.up[v], f.depth[v] = -1, -1
	}
	// Depth first from the zero; low is the least depth that a subtree reaches by an element
	// that is not of the tree (Tarjan, SIAM J. Comput. 1 (1972) 146).
	low := make([]int32, n)
	next := make([]int, n)
	f.depth[w.ref] = 0
	for stack := []dc.Node{w.ref}; len(stack) > 0; {
		v := stack[len(stack)-1]
		if next[v] < len(w.at[v]) {
			i := w.at[v][next[v]]
			next[v]++
			to := w.branches[i].A + w.branches[i].B - v
			switch {
			case !b.core(i) || int32(i) == f.up[v]:
			case f.depth[to] < 0:
				f.depth[to], f.up[to] = f.depth[v]+1, int32(i)
				low[to] = f.depth[to]
				stack = append(stack, to)
			default:
				low[v] = min(low[v], f.depth[to])
			}
			continue
		}
		stack = stack[:len(stack)-1]
		if i := f.up[v]; i >= 0 {
			e := &w.branches[i]
			parent := e.A + e.B - v
			low[parent] = min(low[parent], low[v])
			b.pass(f, x, v, parent, int(i), low[v] == f.depth[v])
		}
	}
	return f, nil
}

// pass adds what flows at a rail to that of the next one towards the zero. Where a bridge
// joins the two, its current is bounded.
func (b *bounds) pass(f *feeds, x *exchanges, v, parent dc.Node, i int, bridge bool) {
	e := &b.w.branches[i]
	out, in := x.out[v], x.in[v]
	mostOut, mostIn := out.at(b.hi.volt[v]-x.all.lo), in.at(x.all.hi-b.lo.volt[v])
	if !bridge {
		x.out[parent].add(flow{0, mostOut})
		x.in[parent].add(flow{0, mostIn})
		return
	}
	emf := b.volt[i]
	if e.B != v {
		emf = -emf
	}
	mostOut = min(mostOut, out.through(b.least[i], b.ohm[i], b.hi.volt[parent]+emf-x.all.lo))
	mostIn = min(mostIn, in.through(b.least[i], b.ohm[i], x.all.hi-emf-b.lo.volt[parent]))
	f.bridge[i] = true
	f.amps[i] = interval{-mostIn, mostOut} // towards v
	if e.B != v {
		f.amps[i] = interval{-mostOut, mostIn}
	}
	if emf != 0 {
		x.out[parent].add(flow{0, mostOut})
		x.in[parent].add(flow{0, mostIn})
		return
	}
	x.out[parent].add(out.behind(b.least[i], b.ohm[i]))
	x.in[parent].add(in.behind(b.least[i], b.ohm[i]))
}

// exchanges bound, per rail, what components take from it and give to it.
type exchanges struct {
	out, in []flow
	all     interval // potentials of rails
}

func (b *bounds) exchange(ctx context.Context, k *assignment) (*exchanges, error) {
	w, n := b.w, len(b.w.s.Nodes)
	x := &exchanges{out: make([]flow, n), in: make([]flow, n)}
	lows, highs := interval{0, 0}, interval{math.Inf(1), math.Inf(-1)}
	for v, side := range b.r.side {
		v := interval{b.lo.volt[v], b.hi.volt[v]}
		switch side {
		case low:
			lows = lows.or(v)
		case high:
			highs = highs.or(v)
		}
	}
	if highs.lo > highs.hi {
		highs = lows
	}
	x.all = lows.or(highs)
	out := func(v dc.Node, amps float64) { x.out[v].amps += amps }
	in := func(v dc.Node, amps float64) { x.in[v].amps += amps }
	for i := range b.r.components {
		c := &b.r.components[i]
		if c.still || len(c.terminals) == 0 {
			continue
		}
		if w.lonely(c) {
			e := &w.branches[c.elements[0]]
			g, emf := 1/b.least[c.elements[0]], b.volt[c.elements[0]]
			in(e.B, g*max(b.hi.volt[e.A]+emf-b.lo.volt[e.B], 0))
			out(e.A, g*max(b.hi.volt[e.A]+emf-b.lo.volt[e.B], 0))
			if !e.OneWay {
				out(e.B, g*max(b.hi.volt[e.B]-emf-b.lo.volt[e.A], 0))
				in(e.A, g*max(b.hi.volt[e.B]-emf-b.lo.volt[e.A], 0))
			}
			continue
		}
		d, err := w.drawsOf(ctx, b.r, c, k, b.least)
		if err != nil {
			return nil, err
		}
		if sure, err := b.surely(ctx, c, k); err != nil {
			return nil, err
		} else if sure > 0 {
			hot, cold := c.terminals[0].node, c.terminals[1].node
			if b.r.side[hot] == low {
				hot, cold = cold, hot
			}
			amps := sure * max(b.lo.volt[hot]-b.hi.volt[cold], 0)
			in(hot, -amps)
			out(cold, -amps)
		}
		for j, t := range c.terminals {
			v := t.node
			out(v, c.push)
			in(v, c.push)
			if d.oneWay {
				x.out[v].siemens += d.give[j]
				x.in[v].siemens += d.take[j]
				continue
			}
			own, other, others := lows, highs, c.highs
			same := c.lows > 1
			if b.r.side[v] == high {
				own, other, others, same = highs, lows, c.lows, c.highs > 1
			}
			if same {
				out(v, d.own[j]*max(b.hi.volt[v]-own.lo, 0))
				in(v, d.own[j]*max(own.hi-b.lo.volt[v], 0))
			}
			if others == 0 {
				continue
			}
			across := min(d.across, d.own[j])
			if b.r.side[v] == high {
				x.out[v].siemens += across
				in(v, d.own[j]*max(other.hi-b.lo.volt[v], 0))
			} else {
				x.in[v].siemens += across
				out(v, d.own[j]*max(b.hi.volt[v]-other.lo, 0))
			}
		}
	}
	b.beside(x)
	return x, nil
}

// surely is what a known component of resistances between one high and one low rail conducts
// at least, in siemens; 0 for any other one.
func (b *bounds) surely(ctx context.Context, c *component, k *assignment) (float64, error) {
	if c.unknown || c.lows != 1 || c.highs != 1 {
		return 0, nil
	}
	for _, i := range c.elements {
		if b.w.branches[i].Kind != dc.Resistor {
			return 0, nil
		}
	}
	d, err := b.w.drawsOf(ctx, b.r, c, k, b.ohm)
	if err != nil {
		return 0, err
	}
	return d.across * (1 - 1e-9), nil
}

// beside adds what lies between two rails, is known to be there and is no metal.
func (b *bounds) beside(x *exchanges) {
	w := b.w
	for i := range w.branches {
		e := &w.branches[i]
		if b.r.presence[i] != present || b.core(i) || b.r.side[e.A] == inner || b.r.side[e.B] == inner {
			continue
		}
		u := interval{b.lo.volt[e.A], b.hi.volt[e.A]}.minus(interval{b.lo.volt[e.B], b.hi.volt[e.B]})
		emf := b.volt[i]
		if e.Kind == dc.Diode {
			emf = -emf
		}
		u = u.plus(interval{emf, emf}).times(1 / b.least[i])
		if e.Kind == dc.Diode || e.OneWay {
			u = interval{max(u.lo, 0), max(u.hi, 0)}
		}
		x.out[e.A].amps += max(u.hi, 0)
		x.in[e.B].amps += max(u.hi, 0)
		x.in[e.A].amps += max(-u.lo, 0)
		x.out[e.B].amps += max(-u.lo, 0)
	}
}

// apart bounds the volts of one rail against another by the currents between them; false
// where no bridges join them.
func (b *bounds) apart(f *feeds, x, y dc.Node) (interval, bool) {
	sum := interval{}
	// climb adds what is lost from a node up to the next one towards the zero.
	climb := func(v dc.Node, sign float64) (dc.Node, bool) {
		i := f.up[v]
		if i < 0 || !f.bridge[i] {
			return v, false
		}
		e := &b.w.branches[i]
		amps, emf := f.amps[i], b.volt[i]
		// V(A) - V(B) = amps * ohm - emf.
		lost := interval{min(amps.lo*b.ohm[i], amps.lo*b.least[i]) - emf, max(amps.hi*b.ohm[i], amps.hi*b.least[i]) - emf}
		to := e.A + e.B - v
		if v == e.B {
			lost = lost.times(-1)
		}
		sum = sum.plus(lost.times(sign))
		return to, true
	}
	for ok := true; x != y; {
		if f.depth[x] < 0 || f.depth[y] < 0 {
			return sum, false
		}
		if f.depth[x] >= f.depth[y] {
			x, ok = climb(x, 1)
		} else {
			y, ok = climb(y, -1)
		}
		if !ok {
			return sum, false
		}
	}
	return sum, true
}

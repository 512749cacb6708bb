package circuit

import (
	"context"
	"math"

	"pintle/checker/circuit/dc"
)

// Currents between rails.
//
// Metal and supplies that are known to be there join the rails and the zero to a graph.
// Where an element of it is a bridge, what runs through it is, by Kirchhoff's current law,
// what the components on its far side take from their rails and give to them, and this is
// bounded by their draws. So the current of a cable or main fuse is bounded, and how far
// the potentials of two rails can be apart.

// feeds are bounds on the currents of such bridges.
type feeds struct {
	amps   []interval // per element of the island, from A to B
	bridge []bool     // per element: amps holds
	up     []int32    // per node: the bridge or other element towards the zero, -1: none
	depth  []int32    // per node, in elements
}

// feedsOf works the feeds of some bounds out once.
func (b *bounds) feedsOf(ctx context.Context, k *knowledge) (*feeds, error) {
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

func (b *bounds) newFeeds(ctx context.Context, k *knowledge) (*feeds, error) {
	w, n := b.w, len(b.w.s.Nodes)
	out, in, err := b.exchange(ctx, k)
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
			out[parent] += out[v]
			in[parent] += in[v]
			if low[v] == f.depth[v] {
				f.bridge[i] = true
				f.amps[i] = interval{-in[v], out[v]} // towards v
				if e.B != v {
					f.amps[i] = interval{-out[v], in[v]}
				}
			}
		}
	}
	return f, nil
}

// exchange bounds, per rail, what components take from it and give to it, in A.
func (b *bounds) exchange(ctx context.Context, k *knowledge) (out, in []float64, err error) {
	w, n := b.w, len(b.w.s.Nodes)
	out, in = make([]float64, n), make([]float64, n)
	lows, highs := interval{0, 0}, interval{math.Inf(1), math.Inf(-1)}
	for v, side := range b.r.side {
		x := interval{b.lo.volt[v], b.hi.volt[v]}
		switch side {
		case low:
			lows = lows.or(x)
		case high:
			highs = highs.or(x)
		}
	}
	if highs.lo > highs.hi {
		highs = lows
	}
	all := lows.or(highs)
	flow := func(v dc.Node, g float64, to interval, emf float64) {
		out[v] += g * max(b.hi.volt[v]-to.lo-emf, 0)
		in[v] += g * max(to.hi+emf-b.lo.volt[v], 0)
	}
	for i := range b.r.components {
		c := &b.r.components[i]
		if c.still || len(c.terminals) == 0 {
			continue
		}
		if w.lonely(c) {
			e := &w.branches[c.elements[0]]
			g, emf := 1/b.least[c.elements[0]], b.volt[c.elements[0]]
			in[e.B] += g * max(b.hi.volt[e.A]+emf-b.lo.volt[e.B], 0)
			out[e.A] += g * max(b.hi.volt[e.A]+emf-b.lo.volt[e.B], 0)
			if !e.OneWay {
				out[e.B] += g * max(b.hi.volt[e.B]-emf-b.lo.volt[e.A], 0)
				in[e.A] += g * max(b.hi.volt[e.B]-emf-b.lo.volt[e.A], 0)
			}
			continue
		}
		d, err := w.drawsOf(ctx, b.r, c, k, b.least)
		if err != nil {
			return nil, nil, err
		}
		for j, t := range c.terminals {
			v := t.node
			out[v] += c.push
			in[v] += c.push
			if d.oneWay {
				out[v] += d.give[j] * max(b.hi.volt[v]-all.lo, 0)
				in[v] += d.take[j] * max(all.hi-b.lo.volt[v], 0)
				continue
			}
			own, other, others := lows, highs, c.highs
			same := c.lows > 1
			if b.r.side[v] == high {
				own, other, others, same = highs, lows, c.lows, c.highs > 1
			}
			if same {
				flow(v, d.own[j], own, 0)
			}
			if others == 0 {
				continue
			}
			if b.r.side[v] == high {
				out[v] += d.across * max(b.hi.volt[v]-other.lo, 0)
				in[v] += d.own[j] * max(other.hi-b.lo.volt[v], 0)
			} else {
				in[v] += d.across * max(other.hi-b.lo.volt[v], 0)
				out[v] += d.own[j] * max(b.hi.volt[v]-other.lo, 0)
			}
		}
	}
	// What lies between two rails, is known to be there and is no metal.
	for i := range w.branches {
		e := &w.branches[i]
		if b.r.presence[i] != present || b.core(i) || b.r.side[e.A] == inner || b.r.side[e.B] == inner {
			continue
		}
		x := interval{b.lo.volt[e.A], b.hi.volt[e.A]}.minus(interval{b.lo.volt[e.B], b.hi.volt[e.B]})
		emf := b.volt[i]
		if e.Kind == dc.Diode {
			emf = -emf
		}
		x = x.plus(interval{emf, emf}).times(1 / b.least[i])
		if e.Kind == dc.Diode || e.OneWay {
			x = interval{max(x.lo, 0), max(x.hi, 0)}
		}
		out[e.A] += max(x.hi, 0)
		in[e.B] += max(x.hi, 0)
		in[e.A] += max(-x.lo, 0)
		out[e.B] += max(-x.lo, 0)
	}
	return out, in, nil
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

package extremes

import (
	"context"
	"math"

	"pintle/checker/engine/circuit/dc"
)

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
	var in []int
	for i, s := range p.switches {
		if s < 0 || closed(s) {
			in = append(in, i)
		}
	}
	in, ohm = p.reduce(in, ohm, volt, r)
	for _, i := range in {
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
	b.p.count()
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

package circuit

import (
	"math"

	"pintle/checker/engine/circuit/dc"
)

// What can be read off bounds.

// lies reports how well the potential of a node is known.
type certainty uint8

const (
	loose   certainty = iota // in a component with maybe elements
	held                     // likewise, but joined to a rail by what is known to conduct both ways
	tied                     // solved, and joined to the zero
	apart                    // in a known component that no rail touches
	hanging                  // in a known component of which a diode cuts it off
)

// where returns how a node lies and, unless it is apart, within what potential.
func (b *bounds) where(v dc.Node) (certainty, interval) {
	if k := b.r.component[v]; k >= 0 {
		c := &b.r.components[k]
		if c.unknown {
			if b.r.held[v] {
				return held, b.hull(c)
			}
			return loose, b.hull(c)
		}
		if len(c.terminals) == 0 {
			return apart, interval{}
		}
		zero := b.w.ref
		if b.lo.piece[v] != b.lo.piece[zero] || b.hi.piece[v] != b.hi.piece[zero] {
			return hanging, b.hull(c)
		}
	}
	return tied, interval{b.lo.volt[v], b.hi.volt[v]}
}

// hull is what holds for all nodes of a component that are joined to its rails.
func (b *bounds) hull(c *component) interval {
	if len(c.terminals) == 0 {
		return interval{-c.emf, c.emf}
	}
	h := interval{math.Inf(1), math.Inf(-1)}
	for _, t := range c.terminals {
		h.lo = min(h.lo, b.lo.volt[t.node])
		h.hi = max(h.hi, b.hi.volt[t.node])
	}
	return interval{h.lo - c.emf, h.hi + c.emf}
}

// volts bounds what a meter between two nodes of the island shows.
func (b *bounds) volts(x, y dc.Node) interval {
	x, drifts := b.standIn(x)
	y, too := b.standIn(y)
	if x == y {
		return interval{}
	}
	if drifts || too {
		return b.between(x, y).and(0)
	}
	return b.between(x, y)
}

// standIn is the node at whose potential a node of a still component stands, or from
// which it may be cut off if it drifts: the component's rail, else its first node.
func (b *bounds) standIn(v dc.Node) (at dc.Node, drifts bool) {
	k := b.r.component[v]
	if k < 0 || !b.r.components[k].still {
		return v, false
	}
	c := &b.r.components[k]
	if len(c.terminals) == 1 {
		l, _ := b.where(v)
		return c.terminals[0].node, !sure(l)
	}
	if len(c.elements) == 0 {
		return v, false
	}
	return b.w.branches[c.elements[0]].A, false
}

func (b *bounds) between(x, y dc.Node) interval {
	lx, vx := b.where(x)
	ly, vy := b.where(y)
	sameComponent := b.r.component[x] >= 0 && b.r.component[x] == b.r.component[y]
	emf := 0.0
	if k := b.r.component[x]; k >= 0 {
		emf = b.r.components[k].emf
	}
	switch {
	case lx == tied && ly == tied:
		if b.lo == b.hi {
			v, _ := b.lo.between(x, y)
			return interval{v, v}
		}
		out := vx.minus(vy)
		if f := b.feeds.Load(); f != nil {
			if x, ok := b.apart(f, x, y); ok {
				out = out.both(x)
			}
		}
		return out
	case lx == apart && ly == apart && sameComponent:
		if v, ok := b.lo.between(x, y); ok && !b.open {
			return interval{v, v}
		}
		return interval{-emf, emf}
	case b.alone(x) && !sameComponent, b.alone(y) && !sameComponent:
		return interval{} // nothing but the meter joins them: no current, no volts
	}
	if sure(lx) && sure(ly) {
		return vx.minus(vy)
	}
	// Joined to rails the potentials lie in their hulls; loose ends take on the
	// potential of the meter's other side, and then it shows nothing.
	return vx.minus(vy).and(0)
}

// alone reports whether a node's component touches no rail.
func (b *bounds) alone(v dc.Node) bool {
	k := b.r.component[v]
	return k >= 0 && len(b.r.components[k].terminals) == 0
}

// amps bounds the current through an element of the island, from A to B.
func (b *bounds) amps(i int) interval {
	if b.r.presence[i] == absent || b.r.dead[i] {
		return interval{}
	}
	e := &b.w.branches[i]
	if b.r.presence[i] == present && !b.open {
		k := max(b.r.component[e.A], b.r.component[e.B])
		known := k < 0 || !b.r.components[k].unknown
		if known && (b.lo == b.hi || k >= 0 && len(b.r.components[k].terminals) == 0) {
			return interval{b.lo.amps[i], b.lo.amps[i]}
		}
	}
	c := b.chain(i)
	x := b.volts(c.from, c.to).plus(interval{c.emf, c.emf})
	x = x.times(1 / c.ohm).or(x.times(1 / c.least))
	if c.forward {
		x = interval{max(x.lo, 0), max(x.hi, 0)}
	}
	if c.backward {
		x = interval{min(x.lo, 0), min(x.hi, 0)}
	}
	if b.r.presence[i] == maybe || b.loosely(c.from) || b.loosely(c.to) {
		x = x.and(0)
	}
	if f := b.feeds.Load(); f != nil && f.bridge[i] {
		x = x.both(f.amps[i])
	}
	return x
}

func (b *bounds) loosely(v dc.Node) bool { l, _ := b.where(v); return !sure(l) }

// sure reports whether a node is joined to the rails of its component whatever maybe elements
// and diodes do.
func sure(l certainty) bool { return l == tied || l == held }

// chain is the longest run of present elements through nodes at which nothing else
// ends: one current runs through all of it, and the resistance of the whole tells
// more of that current than a piece of wire does.
type chain struct {
	from, to          dc.Node
	ohm, least, emf   float64
	forward, backward bool // a diode lets only such current through
}

func (b *bounds) chain(i int) chain {
	e := &b.w.branches[i]
	c := chain{from: e.A, to: e.B}
	b.link(&c, i, true)
	next := func(v dc.Node, last int) (int, bool) {
		other := -1
		for _, j := range b.w.at[v] {
			switch {
			case j == last || b.r.presence[j] == absent:
			case other >= 0 || b.r.presence[j] == maybe:
				return 0, false
			default:
				other = j
			}
		}
		return other, other >= 0
	}
	for last := i; c.to != c.from; {
		j, ok := next(c.to, last)
		if !ok {
			break
		}
		along := b.w.branches[j].A == c.to
		b.link(&c, j, along)
		c.to, last = b.w.branches[j].A+b.w.branches[j].B-c.to, j
	}
	for last := i; c.to != c.from; {
		j, ok := next(c.from, last)
		if !ok {
			break
		}
		along := b.w.branches[j].B == c.from
		b.link(&c, j, along)
		c.from, last = b.w.branches[j].A+b.w.branches[j].B-c.from, j
	}
	return c
}

// link adds an element to a chain, along its direction from A to B or against it.
func (b *bounds) link(c *chain, i int, along bool) {
	e := &b.w.branches[i]
	emf := b.volt[i]
	if e.Kind == dc.Diode {
		emf = -emf
	}
	if !along {
		emf = -emf
	}
	c.ohm += b.ohm[i]
	c.least += b.least[i]
	c.emf += emf
	if e.Kind == dc.Diode || e.OneWay {
		c.forward = c.forward || along
		c.backward = c.backward || !along
	}
}

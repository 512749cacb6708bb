package circuit

import (
	"context"
	"math"
	"slices"

	"pintle/checker/circuit/dc"
)

// How potentials are bounded while some switches are not known.
//
// Nodal potentials of a network of resistors, diodes and one-way sources grow when
// current is fed into a node, and when the potential of a fixed node grows: the
// nodal equations are an M-function (Rheinboldt, J. Math. Anal. Appl. 32 (1970) 274;
// for resistors alone, the maximum principle). So what a component takes out of its
// rails may be replaced by something that takes at least as much, and all potentials
// come out at or below the true ones; the same upwards. With the component's rails
// anywhere above the lowest low rail L and the lowest high rail H,
//
//	from a high rail at V   at most  G (V - L) + g (V - H)
//	from a low rail at V    at most  g (V - L) + g (V - H)
//
// each bracket 0 where it is negative, and without the one for the rail's own side
// where it is the only one of that side, plus what sources inside push. G is the draw
// of workbench.draw, g the conductance of the component's elements that end at the
// rail. To see the first, lower all other rails to L and H. With this one at H too
// the high rails together give G (H - L) and each gives some of it; from there on g
// bounds every further ampere per volt. (Where H is below L, g (V - H) does by
// itself.) L and H are not known beforehand; any guess that the solution made with
// it does not fall below will do, because iterating from such a guess only rises, to
// the one fixed point, which is below the truth.
//
// From the solution downwards and the solution upwards every node of the rails and
// of the components without maybe elements gets an interval; nodes of the others lie
// between their rails, widened by the sources inside.

//
// Resistances that are known only within a tolerance, or between cold and warm, are
// taken at their highest; what they may carry more is taken from both their ends
// towards the lowest rail, or given from the highest. So one solution bounds the
// circuit for all resistances at once. Volts are those of the corner.

// bounds are the intervals of one knowledge in one corner.
type bounds struct {
	w      *workbench
	r      *region
	volt   []float64
	ohm    []float64    // the highest resistances
	least  []float64    // the lowest: the same ones where nothing is left open
	open   bool         // some differ
	lo, hi *dc.Solution // the same one where nothing is unknown or open
}

// bound works out the bounds with resistances of the corner, or with any that it
// leaves open to the given freedom.
func (w *workbench) bound(ctx context.Context, k *knowledge, corner Corner, over Freedom) (*bounds, error) {
	ohm, volt := w.c.numbers(w.s, corner)
	b := &bounds{w: w, volt: volt, ohm: ohm, least: ohm}
	if over != 0 {
		b.least, b.ohm, b.open = w.c.resistances(w.s, corner, over, ohm)
	}
	b.r = w.cut(k, b.least, volt)
	rest, err := w.rest(ctx, b.r, b.least)
	if err != nil {
		return nil, err
	}
	if rest == nil && !b.open {
		b.lo, err = w.trial(b.r, b.ohm, volt, false).solve(ctx)
		b.hi = b.lo
		return b, err
	}
	if rest == nil {
		rest = make([]demand, len(w.s.Nodes))
	}
	b.spare(rest)
	if b.lo, err = w.oneSide(ctx, b, rest, false); err != nil {
		return nil, err
	}
	b.hi, err = w.oneSide(ctx, b, rest, true)
	return b, err
}

// resistances returns the lowest and highest that a corner leaves open to a freedom.
func (c *Circuit) resistances(s *island, k Corner, over Freedom, ohm []float64) (least, most []float64, open bool) {
	least, most = slices.Clone(ohm), slices.Clone(ohm)
	for id, p := range c.params {
		i, ok := s.branch(p.Element)
		_, fixed := k.Value(ParamID(id))
		if !ok || fixed || p.Volts || p.Kind.freedom()&over == 0 || c.elems[p.Element].shorted {
			continue
		}
		least[i] = min(least[i], solvable(p.Min))
		most[i] = max(most[i], solvable(p.Max))
		open = true
	}
	return least, most, open
}

// spare adds what open resistances of known components may carry beyond what the
// highest of them do.
func (b *bounds) spare(rest []demand) {
	for i := range b.w.branches {
		if b.ohm[i] == b.least[i] || b.r.presence[i] != present || b.r.dead[i] || b.r.inUnknown(b.w, i) {
			continue
		}
		e := &b.w.branches[i]
		for _, v := range [...]dc.Node{e.A, e.B} {
			rest[v].spare += 1/b.least[i] - 1/b.ohm[i]
			if k := b.r.component[v]; k >= 0 {
				rest[v].emf = max(rest[v].emf, b.r.components[k].emf)
			}
		}
		// A source or diode carries its volts over that much less resistance too.
		if b.volt[i] > 0 {
			extra := b.volt[i] * (1/b.least[i] - 1/b.ohm[i])
			rest[e.A].push += extra
			rest[e.B].push += extra
		}
	}
}

// demand is what the components with maybe elements may ask of one rail.
type demand struct {
	draw  float64 // G above, towards low rails from high ones or the other way, in siemens
	same  float64 // g towards other rails of the same side
	cross float64 // g towards rails of the other side
	push  float64 // in A
	spare float64 // what open resistances may conduct beyond their least, in siemens
	emf   float64 // by which their other ends may lie beyond the rails
}

// rest sums the demands per node; nil where nothing is unknown.
func (w *workbench) rest(ctx context.Context, r *region, ohm []float64) ([]demand, error) {
	var out []demand
	for i := range r.components {
		c := &r.components[i]
		if !c.unknown {
			continue
		}
		if out == nil {
			out = make([]demand, len(w.s.Nodes))
		}
		g, err := w.draw(ctx, r, c, ohm)
		if err != nil {
			return nil, err
		}
		c.siemens = g
		for _, t := range c.terminals {
			d := &out[t.node]
			d.draw += g
			d.push += c.push
			same, cross := c.lows, c.highs
			if r.side[t.node] == high {
				same, cross = cross, same
			}
			if same > 1 {
				d.same += t.siemens
			}
			if cross > 0 {
				d.cross += t.siemens
			}
		}
	}
	return out, nil
}

const (
	slack    = 1e-9 // V, by which a guess is put on the safe side of rounding
	attempts = 8
)

type demandTo struct{ siemens, volts float64 }

// oneSide solves downwards, or upwards if up is set.
func (w *workbench) oneSide(ctx context.Context, b *bounds, rest []demand, up bool) (*dc.Solution, error) {
	t := w.trial(b.r, b.ohm, b.volt, up)
	out := -1.0
	if up {
		out = 1
	}
	// set lays the demands on with a guess of the outermost potentials of low and
	// high rails. Downwards a high rail is drawn towards low ones, upwards a low rail
	// is fed from high ones.
	set := func(lows, highs float64) {
		for v, d := range rest {
			n := dc.Node(v)
			if n == w.ref {
				continue // it stays at zero whatever is asked of it
			}
			across := d.cross
			if up == (b.r.side[v] == low) {
				across = d.draw
			}
			l, h := demandTo{across, lows}, demandTo{d.same, highs}
			if b.r.side[v] == low {
				l, h = demandTo{d.same, lows}, demandTo{across, highs}
			}
			// What is spare goes to the outermost potential that there is.
			far := &l
			if up {
				far = &h
			}
			if d.spare > 0 {
				far.siemens += d.spare
				far.volts = out*max(out*lows, out*highs) + out*d.emf
			}
			t.extra(n, toLow, l.siemens, l.volts)
			t.extra(n, toHigh, h.siemens, h.volts)
			t.extra(n, push, d.push, 0)
		}
	}
	// The first guess is the solution without demands.
	s, err := t.solve(ctx)
	if err != nil {
		return nil, err
	}
	lows, highs := guess{out: out, span: w.span}, guess{out: out, span: w.span}
	l, h := w.ends(b.r, s, up)
	lows.next(l)
	highs.next(h)
	for range attempts {
		set(lows.x, highs.x)
		if s, err = t.solve(ctx); err != nil {
			return nil, err
		}
		l, h = w.ends(b.r, s, up)
		if lows.holds(l) && highs.holds(h) {
			return s, nil
		}
		lows.next(l)
		highs.next(h)
	}
	// No potential is further from the zero than the span: that guess needs no test.
	set(out*w.span, out*w.span)
	return t.solve(ctx)
}

// guess closes in on an outermost potential that the solution made with it does not
// go beyond.
type guess struct {
	out      float64 // -1: downwards, 1: upwards
	span     float64 // no potential is further from zero
	x        float64
	results  int
	oldX, fx float64 // the guess before, and what came of it
}

func (g *guess) holds(fx float64) bool { return g.out*(fx-g.x) <= 0 }

// next takes in what came of the last guess and makes a new one: first what came,
// then where the line through the last two results meets f(x) = x, and a little
// beyond.
func (g *guess) next(fx float64) {
	x := g.x
	switch {
	case g.results == 0:
		g.x = fx + g.out*slack
	case g.holds(fx):
		return
	case g.results == 1 || x == g.oldX:
		g.x = fx + g.out*slack
	default:
		slope := min(max((fx-g.fx)/(x-g.oldX), 0), 0.99)
		g.x = x + 1.05*(fx-x)/(1-slope) + g.out*slack
	}
	g.x = min(max(g.x, -g.span), g.span)
	g.results++
	g.oldX, g.fx = x, fx
}

// ends returns the outermost potentials of the low and of the high rails.
func (w *workbench) ends(r *region, s *dc.Solution, up bool) (lows, highs float64) {
	pick := math.Min
	lows, highs = 0, math.Inf(1)
	if up {
		pick, highs = math.Max, math.Inf(-1)
	}
	for v, side := range r.side {
		p := s.Potential(dc.Node(v))
		switch side {
		case low:
			lows = pick(lows, p)
		case high:
			highs = pick(highs, p)
		}
	}
	if math.IsInf(highs, 0) {
		highs = lows
	}
	return lows, highs
}

// interval is where a value lies, ends included.
type interval struct{ lo, hi float64 }

func (x interval) minus(y interval) interval { return interval{x.lo - y.hi, x.hi - y.lo} }

func (x interval) and(v float64) interval { return interval{min(x.lo, v), max(x.hi, v)} }

func (x interval) or(y interval) interval { return interval{min(x.lo, y.lo), max(x.hi, y.hi)} }

func (x interval) times(f float64) interval {
	if f < 0 {
		return interval{x.hi * f, x.lo * f}
	}
	return interval{x.lo * f, x.hi * f}
}

func (x interval) plus(y interval) interval { return interval{x.lo + y.lo, x.hi + y.hi} }

func (x interval) abs() interval {
	switch {
	case x.lo >= 0:
		return x
	case x.hi <= 0:
		return interval{-x.hi, -x.lo}
	}
	return interval{0, max(-x.lo, x.hi)}
}

// lies tells how well the potential of a node is known.
type lies uint8

const (
	loose   lies = iota // in a component with maybe elements
	tied                // solved, and joined to the zero
	apart               // in a known component that no rail touches
	hanging             // in a known component of which a diode cuts it off
)

// where returns how a node lies and, unless it is apart, within what potential.
func (b *bounds) where(v dc.Node) (lies, interval) {
	if k := b.r.component[v]; k >= 0 {
		c := &b.r.components[k]
		if c.unknown {
			return loose, b.hull(c)
		}
		if len(c.terminals) == 0 {
			return apart, interval{}
		}
		zero := b.w.ref
		if b.lo.Piece(v) != b.lo.Piece(zero) || b.hi.Piece(v) != b.hi.Piece(zero) {
			return hanging, b.hull(c)
		}
	}
	return tied, interval{b.lo.Potential(v), b.hi.Potential(v)}
}

// hull is what holds for all nodes of a component that are joined to its rails.
func (b *bounds) hull(c *component) interval {
	if len(c.terminals) == 0 {
		return interval{-c.emf, c.emf}
	}
	h := interval{math.Inf(1), math.Inf(-1)}
	for _, t := range c.terminals {
		h.lo = min(h.lo, b.lo.Potential(t.node))
		h.hi = max(h.hi, b.hi.Potential(t.node))
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
		return c.terminals[0].node, l != tied
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
			v, _ := b.lo.Between(x, y)
			return interval{v, v}
		}
		return vx.minus(vy)
	case lx == apart && ly == apart && sameComponent:
		if v, ok := b.lo.Between(x, y); ok && !b.open {
			return interval{v, v}
		}
		return interval{-emf, emf}
	case b.alone(x) && !sameComponent, b.alone(y) && !sameComponent:
		return interval{} // nothing but the meter joins them: no current, no volts
	}
	// Joined to rails the potentials lie in their hulls; loose ends take on the
	// potential of the meter's other side, and then it shows nothing.
	return vx.minus(vy).and(0)
}

// alone tells whether a node's component touches no rail.
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
			return interval{b.lo.Current(i), b.lo.Current(i)}
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
	return x
}

func (b *bounds) loosely(v dc.Node) bool { l, _ := b.where(v); return l != tied }

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

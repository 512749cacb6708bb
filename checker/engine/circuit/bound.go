package circuit

import (
	"context"
	"math"
	"slices"
	"sync/atomic"

	"pintle/checker/engine/circuit/dc"
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

// bounds are the intervals of one an assignment in one corner.
type bounds struct {
	w *boundNetwork
	r *region
	*figures
	lo, hi *solved // the same one where nothing is unknown or open

	feeds atomic.Pointer[feeds] // see feedsOf
}

// figures are the numbers of an island's elements in one corner, for some freedom.
type figures struct {
	volt  []float64
	ohm   []float64 // the highest resistances
	least []float64 // the lowest: the same ones where nothing is left open
	open  bool      // some differ
}

type figuresKey struct {
	corner Corner
	over   Freedom
}

// maxFigures is how many figures a workbench remembers before it forgets them all.
const maxFigures = 64

// figuresOf works them out once.
func (w *boundNetwork) figuresOf(corner Corner, over Freedom) *figures {
	key := figuresKey{corner, over}
	w.mu.Lock()
	defer w.mu.Unlock()
	if f := w.figures[key]; f != nil {
		return f
	}
	ohm, volt := w.c.numbers(w.s, corner)
	f := &figures{volt: volt, ohm: ohm, least: ohm}
	if over != 0 {
		f.least, f.ohm, f.open = w.c.resistances(w.s, corner, over, ohm)
	}
	if len(w.figures) >= maxFigures {
		clear(w.figures)
	}
	w.figures[key] = f
	return f
}

// bound works out the bounds with resistances of the corner, or with any that it
// leaves open to the given freedom. Rough ones are wider, at less than half the cost.
func (w *boundNetwork) bound(ctx context.Context, k *assignment, corner Corner, over Freedom, rough bool) (*bounds, error) {
	b := &bounds{w: w, figures: w.figuresOf(corner, over)}
	b.r = w.cut(k, b.least, b.volt)
	rest, err := w.rest(ctx, b, k)
	if err != nil {
		return nil, err
	}
	if rest == nil && !b.open {
		t := w.trial(b.r, b.ohm, b.volt, false)
		defer t.done()
		s, err := t.solve(ctx)
		if err != nil {
			return nil, err
		}
		b.lo = w.keep(s, true)
		b.hi = b.lo
		return b, nil
	}
	if rest == nil {
		rest = make([]demand, len(w.s.Nodes))
	}
	b.spare(rest)
	if b.lo, err = w.oneSide(ctx, b, rest, false, rough); err != nil {
		return nil, err
	}
	b.hi, err = w.oneSide(ctx, b, rest, true, rough)
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
	give  float64 // towards whatever lies lowest, from what may give only
	take  float64 // from whatever lies highest
	spare float64 // what open resistances may conduct beyond their least, in siemens
	emf   float64 // by which their other ends may lie beyond the rails

	sources []source
}

// rest sums the demands per node; nil where nothing is unknown.
func (w *boundNetwork) rest(ctx context.Context, b *bounds, k *assignment) ([]demand, error) {
	r := b.r
	var out []demand
	for i := range r.components {
		c := &r.components[i]
		if !c.unknown {
			continue
		}
		if out == nil {
			out = make([]demand, len(w.s.Nodes))
		}
		if w.lonely(c) {
			w.sourceOnly(b, c, out)
			continue
		}
		g, err := w.drawsOf(ctx, r, c, k, b.least)
		if err != nil {
			return nil, err
		}
		c.siemens = g.across
		for j, t := range c.terminals {
			d := &out[t.node]
			d.push += c.push
			if g.oneWay {
				d.give += g.give[j]
				d.take += g.take[j]
				continue
			}
			d.draw += min(g.across, g.own[j]) // no rail gives more a volt than all else takes, tied
			same, cross := c.lows, c.highs
			if r.side[t.node] == high {
				same, cross = cross, same
			}
			if same > 1 {
				d.same += g.own[j]
			}
			if cross > 0 {
				d.cross += g.own[j]
			}
		}
	}
	return out, nil
}

// lonely reports whether a component is a source between two rails and nothing else: a
// supply that may be there or not.
func (w *boundNetwork) lonely(c *component) bool {
	return len(c.elements) == 1 && len(c.terminals) == 2 && w.branches[c.elements[0]].Kind == dc.Source
}

// sourceOnly notes such a source: what it gives at its plus while that is below its volts
// above the minus, and takes there, unless it is one-way, while that is above; the other
// way round at its minus.
func (w *boundNetwork) sourceOnly(b *bounds, c *component, out []demand) {
	i := c.elements[0]
	e := &w.branches[i]
	g := 1 / b.least[i]
	out[e.B].sources = append(out[e.B].sources, source{g, e.A, b.volt[i], e.OneWay})
	out[e.A].sources = append(out[e.A].sources, source{g, e.B, -b.volt[i], e.OneWay})
}

// source is a supply that may be there, as seen from one of its ends: so many siemens
// towards so many volts above the other end.
type source struct {
	siemens float64
	other   dc.Node
	emf     float64
	oneWay  bool
}

const (
	slack    = 1e-9 // V, by which a guess is put on the safe side of rounding
	attempts = 8
)

type demandTo struct{ siemens, volts float64 }

// oneSide solves downwards, or upwards if up is set.
func (w *boundNetwork) oneSide(ctx context.Context, b *bounds, rest []demand, up, rough bool) (*solved, error) {
	t := w.trial(b.r, b.ohm, b.volt, up)
	defer t.done()
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
			far, spare := &l, d.spare+d.give
			if up {
				far, spare = &h, d.spare+d.take
			}
			if spare > 0 {
				far.siemens += spare
				far.volts = out*max(out*lows, out*highs) + out*d.emf
			}
			t.sources(n, b.r, d.sources, lows, highs)
			t.extra(n, toLow, l.siemens, l.volts)
			t.extra(n, toHigh, h.siemens, h.volts)
			t.extra(n, push, d.push, 0)
		}
	}
	// No potential is further from the zero than the span: that guess needs no test.
	farthest := func() (*solved, error) {
		set(out*w.span, out*w.span)
		s, err := t.solve(ctx)
		if err != nil {
			return nil, err
		}
		return w.keep(s, !up), nil
	}
	if rough {
		return farthest()
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
			return w.keep(s, !up), nil
		}
		lows.next(l)
		highs.next(h)
	}
	return farthest()
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
func (w *boundNetwork) ends(r *region, s *dc.Solution, up bool) (lows, highs float64) {
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

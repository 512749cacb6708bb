package circuit

import (
	"context"
	"slices"
	"sync"

	"pintle/checker/engine/circuit/dc"
	"pintle/checker/engine/circuit/extremes"
	"pintle/lang/model"
)

// How a question is decided where it stands.
//
// The rest of an island acts on a part of it through nothing but the potentials of the
// nodes at which the two meet. So the part that a question is about is cut out at rails,
// of which bound.go gives the potentials, one interval for all states of the rest; every
// state of its own few switches is tried, and in each package extremes gives the range of
// what is asked for, exact over these potentials and what else is open in the part. All
// questions of an island share the intervals of its rails, so that one more costs no more
// than its part is large.

// part is a part of an island, cut out at rails.
type part struct {
	mu        sync.Mutex
	net       *extremes.Part
	zero      dc.Node
	elements  []int32 // of the island
	terminals []dc.Node
	number    map[dc.Node]dc.Node // of the island's nodes
	switches  []Switch            // ascending
}

const (
	// ownSwitches is how many switches of a part are tried out in all their states.
	ownSwitches = 10
	// shareSwitches is how many switches parts that meet at a rail may have for the rail
	// to be taken for a point inside.
	shareSwitches = 8
	// ownStates is in how many states that can be.
	ownStates = 64
)

// locally decides by the parts that the question is about. The nominal answer is
// Undecided where it is not known yet. It returns nil where it does not help; where it
// does for some states of the part, then goes on with the others.
func (d *decider) locally(ctx context.Context, k *assignment, nominal Tri, then func(*assignment) (*Decision, error)) (*Decision, error) {
	if len(d.islands) != 1 {
		return nil, nil
	}
	if d.corners > d.parted {
		d.stopped()
		return nil, nil
	}
	w, err := d.c.workbenchOf(d.islands[0])
	if err != nil {
		return nil, err
	}
	base, err := w.boundOnce(ctx, k, d.key.corner, 0, false)
	if err != nil {
		return nil, err
	}
	for _, wide := range [...]bool{false, true} {
		p, err := w.partOf(base.r, d, wide)
		if err != nil {
			return nil, err
		}
		if p == nil || len(w.standsOf(k, p.switches)) > ownStates {
			continue
		}
		at, err := d.terminals(ctx, w, k, p)
		if err != nil || at == nil {
			return nil, err
		}
		l := &locals{d: d, w: w, p: p, at: at, nominal: nominal, then: then}
		l.ohm, l.volt = d.partNumbers(w, p)
		out, err := l.spread(ctx, k, p.switches)
		if err != nil || l.helped {
			return out, err
		}
	}
	return nil, nil
}

// terminals returns where the terminals of a part lie, whatever is open: each against the
// zero, or against an earlier one where that is known better.
func (d *decider) terminals(ctx context.Context, w *boundNetwork, k *assignment, p *part) ([]extremes.Terminal, error) {
	corners, ok := d.endsOfVolts()
	if !ok {
		return nil, nil
	}
	n := len(p.terminals)
	at := make([]extremes.Terminal, n)
	apart := make([]extremes.Terminal, n*n) // of each against each earlier one
	for c, corner := range corners {
		b, err := w.boundOnce(ctx, k, corner, d.key.over, false)
		if err != nil {
			return nil, err
		}
		var f *feeds
		if n > 1 {
			if f, err = b.feedsOf(ctx, k); err != nil {
				return nil, err
			}
		}
		for i, t := range p.terminals {
			_, v := b.where(t)
			at[i] = widened(at[i], v, true, c == 0)
			for j := range i {
				v, ok := b.apart(f, t, p.terminals[j])
				apart[i*n+j] = widened(apart[i*n+j], v, ok, c == 0)
			}
		}
	}
	for i := range at {
		at[i].Against = -1
		for j := range i {
			if x := apart[i*n+j]; x.Against >= 0 && x.Hi-x.Lo < at[i].Hi-at[i].Lo {
				at[i], at[i].Against = x, j
			}
		}
	}
	return at, nil
}

// widened takes an interval into another one; Against is negative where one of them is not
// known.
func widened(t extremes.Terminal, v interval, known, first bool) extremes.Terminal {
	x := extremes.Interval{Lo: v.lo, Hi: v.hi}
	if first {
		t = extremes.Terminal{Interval: x}
	}
	t.Interval = t.Or(x)
	if !known {
		t.Against = -1
	}
	return t
}

// partNumbers are the resistances and EMFs of a part, with what is open of them.
func (d *decider) partNumbers(w *boundNetwork, p *part) (ohm, volt []extremes.Interval) {
	f := w.figuresOf(d.key.corner, d.key.over)
	for _, i := range p.elements {
		id := w.s.Elements[i]
		v := extremes.Point(f.volt[i])
		for _, q := range d.c.openOf(id) {
			info := &d.c.params[q]
			if _, fixed := d.key.corner.Value(q); !fixed && info.Volts && info.Kind.freedom()&d.key.over != 0 && !d.c.elems[id].shorted {
				v = v.Or(extremes.Interval{Lo: info.Min, Hi: info.Max})
			}
		}
		ohm = append(ohm, extremes.Interval{Lo: f.least[i], Hi: f.ohm[i]})
		volt = append(volt, v)
	}
	return ohm, volt
}

// locals decides in every state of a part.
type locals struct {
	d         *decider
	w         *boundNetwork
	p         *part
	at        []extremes.Terminal
	ohm, volt []extremes.Interval
	nominal   Tri
	then      func(*assignment) (*Decision, error)
	helped    bool // some state was decided
}

func (l *locals) spread(ctx context.Context, k *assignment, switches []Switch) (*Decision, error) {
	for len(switches) > 0 && k.known[switches[0]] != Depends {
		switches = switches[1:]
	}
	if len(switches) > 0 {
		return l.d.fork(k, switches[0], func(k *assignment) (*Decision, error) { return l.spread(ctx, k, switches[1:]) })
	}
	answer, err := l.answer(ctx, k)
	if err != nil {
		return nil, err
	}
	if answer != Undecided {
		l.helped = true
		return plain[answer], nil
	}
	return l.then(k)
}

// answer is the answer in a state of the part, Undecided where that depends on the rest or
// on what is open.
func (l *locals) answer(ctx context.Context, k *assignment) (Tri, error) {
	v, ok, err := l.measure(ctx, k)
	if err != nil || !ok {
		return Undecided, err
	}
	a := &l.d.q.Atom
	for _, answer := range [...]Tri{No, Yes} {
		if l.nominal != Undecided && answer != l.nominal {
			continue
		}
		above := (a.Cmp == model.Above || a.Cmp == model.AtLeast) == (answer == Yes)
		if l.d.compare(v, l.d.levelIn(above, l.d.key.over)) == answer {
			return answer, nil
		}
	}
	return Undecided, nil
}

// measure bounds what is asked for in a state of the part.
func (l *locals) measure(ctx context.Context, k *assignment) (interval, bool, error) {
	p := l.p
	p.mu.Lock()
	defer p.mu.Unlock()
	closed := func(i int) bool { return k.known[p.switches[i]] == Yes }
	before := p.net.Solves()
	v, ok, err := p.net.Range(ctx, closed, l.at, l.ohm, l.volt, l.reading())
	l.d.corners += (p.net.Solves() - before) * len(p.elements)
	return interval{v.Lo, v.Hi}, ok, err
}

// reading is the measure of the question in the numbers of the part.
func (l *locals) reading() extremes.Reading {
	m := &l.d.q.Atom.Measure
	term := func(e model.ElementID, times float64) extremes.Term {
		i, _ := l.w.s.branch(e)
		at, _ := slices.BinarySearch(l.p.elements, int32(i))
		return extremes.Term{Branch: at, Times: times}
	}
	switch m.Kind {
	case model.Volts, model.AbsVolts:
		return extremes.Reading{Plus: l.node(m.A), Minus: l.node(m.B)}
	case model.Amps:
		return extremes.Reading{Terms: []extremes.Term{term(m.Element, 1)}}
	}
	r := extremes.Reading{Terms: []extremes.Term{}}
	for _, w := range m.Windings {
		r.Terms = append(r.Terms, term(w.Element, w.Turns))
	}
	return r
}

func (l *locals) node(n model.NodeID) dc.Node { return l.p.number[l.d.c.localIn(l.w.s, n)] }

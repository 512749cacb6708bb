package circuit

import (
	"context"

	"pintle/lang/model"
)

// Decisions on what bounds tell of a measure.

// bounded answers from bounds, and returns them where it cannot.
func (d *decider) bounded(ctx context.Context, k *assignment, nominal Tri) (*Decision, map[*island]*bounds, error) {
	known := nominal != Undecided
	if known {
		if sure, err := d.sure(ctx, k, nominal); err != nil || sure {
			return plain[nominal], nil, err
		}
	}
	v, all, err := d.boundsAt(ctx, k, d.key.corner, 0, false)
	if err != nil {
		return nil, nil, err
	}
	if d.against(v) == Undecided {
		return nil, all, nil
	}
	leaf, err := d.worstCase(ctx, v, scene{
		known:  k,
		unsure: known,
		at: func(corner Corner) (interval, error) {
			v, _, err := d.boundsAt(ctx, k, corner, 0, false)
			return v, err
		},
	})
	if err != nil || leaf != nil {
		return leaf, nil, err
	}
	d.vain++
	if open := k.open(d.scope); d.vain > judgedStates && open > judgedSwitches {
		// The nominal answer stands; what tolerances do to it stays open.
		return d.b.leaf(Leaf{Answer: Undecided, Nominal: d.against(v), Why: tooMany(open)}), nil, nil
	}
	return nil, all, nil
}

// boundsAt bounds the measure in a corner, for all resistances that it leaves open to
// a freedom.
func (d *decider) boundsAt(ctx context.Context, k *assignment, corner Corner, over Freedom, rough bool) (interval, map[*island]*bounds, error) {
	all := map[*island]*bounds{}
	for _, i := range d.islands {
		w, err := d.c.workbenchOf(i)
		if err != nil {
			return interval{}, nil, err
		}
		if all[i], err = w.boundOnce(ctx, k, corner, over, rough); err != nil {
			return interval{}, nil, err
		}
		if d.readsRails(i, all[i]) {
			if _, err = all[i].feedsOf(ctx, k); err != nil {
				return interval{}, nil, err
			}
		}
	}
	return d.measure(all, d.q.Atom.Measure), all, nil
}

// readsRails reports whether the question is about the current between rails of an island,
// or about the volts between two of them.
func (d *decider) readsRails(s *island, b *bounds) bool {
	rails, nodes := false, 0
	measured(&d.q.Atom.Measure, func(n model.NodeID) {
		if d.c.at[n].island == int(s.id) && b.r.side[d.c.localIn(s, n)] != inner {
			nodes++
		}
	}, func(e model.ElementID) {
		i, ok := s.branch(e)
		rails = rails || ok && b.core(i)
	})
	return rails || nodes > 1
}

// against compares an interval with the level of the question; Undecided where it
// lies on both sides.
func (d *decider) against(v interval) Tri { return d.compare(v, d.q.Atom.Level.Nominal) }

func (d *decider) compare(v interval, level float64) Tri {
	a := &d.q.Atom
	if unsigned(a.Measure.Kind) {
		v = v.abs()
	}
	lo, hi := margin(v.lo, level), margin(v.hi, level)
	if v.lo != v.hi && (near(lo, v.lo) || near(hi, v.hi)) {
		return Undecided
	}
	if x := a.Cmp.Holds(lo); x == a.Cmp.Holds(hi) {
		return triOf(x)
	}
	return Undecided
}

// near reports whether a bound is so near to the level that meters and rounding, which
// bounds do not know of, could carry the value across.
func near(margin, value float64) bool {
	return margin < 1e-6*max(1, value) && margin > -1e-6*max(1, value)
}

// measure bounds a measure, before its magnitude is taken.
func (d *decider) measure(all map[*island]*bounds, m model.Measure) interval {
	switch m.Kind {
	case model.Volts, model.AbsVolts:
		return d.volts(all, m.A, m.B)
	case model.Amps:
		return d.amps(all, m.Element)
	}
	sum := interval{}
	for _, w := range m.Windings {
		sum = sum.plus(d.amps(all, w.Element).times(w.Turns))
	}
	return sum
}

func (d *decider) amps(all map[*island]*bounds, e model.ElementID) interval {
	i, b, ok := d.c.branchOf(e)
	if !ok {
		return interval{}
	}
	return all[d.c.islands[i]].amps(b)
}

func (d *decider) volts(all map[*island]*bounds, a, b model.NodeID) interval {
	ground := d.c.design.Ground
	pa, pb := d.c.at[a], d.c.at[b]
	if a == ground {
		pa.island = pb.island
	}
	if b == ground {
		pb.island = pa.island
	}
	if pa.island < 0 || pb.island < 0 {
		return interval{} // a node that nothing ends at
	}
	ia, ib := d.c.islands[pa.island], d.c.islands[pb.island]
	if ia == ib {
		x, y := d.c.localIn(ia, a), d.c.localIn(ia, b)
		if x < 0 || y < 0 {
			return interval{} // against the ground of an island that has none
		}
		return all[ia].volts(x, y)
	}
	if ia.ground < 0 || ib.ground < 0 {
		return interval{}
	}
	va, vb := all[ia].volts(pa.local, ia.ground), all[ib].volts(pb.local, ib.ground)
	if all[ia].loosely(pa.local) || all[ib].loosely(pb.local) {
		return va.minus(vb).and(0)
	}
	return va.minus(vb)
}

// A workbench remembers so many bounds, and in large islands only so many that they come
// to so many numbers, and as many again of those before; then it forgets these.
const (
	maxBounds  = 1 << 12
	maxNumbers = 16 << 20
)

// boundOnce works out the bounds of what is known of an island's switches once.
func (w *boundNetwork) boundOnce(ctx context.Context, k *assignment, corner Corner, over Freedom, rough bool) (*bounds, error) {
	key := make([]byte, 0, len(w.s.Switches)+len(corner.set)+2)
	for _, s := range w.s.Switches {
		key = append(key, byte(k.known[s]))
	}
	flags := byte(over) << 2
	if corner.cold {
		flags |= 1
	}
	if rough {
		flags |= 2
	}
	key = append(append(key, flags), corner.set...)
	if b := w.remembered(string(key)); b != nil {
		return b, nil
	}
	b, err := w.bound(ctx, k, corner, over, rough)
	if err != nil {
		return nil, err
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.remember(string(key), b)
	return b, nil
}

func (w *boundNetwork) remembered(key string) *bounds {
	w.mu.Lock()
	defer w.mu.Unlock()
	if b := w.known[key]; b != nil {
		return b
	}
	b := w.before[key]
	if b != nil {
		w.remember(key, b)
	}
	return b
}

func (w *boundNetwork) remember(key string, b *bounds) {
	numbers := 4 * (len(w.s.Nodes) + len(w.s.Elements))
	if len(w.known) >= min(maxBounds, 1+maxNumbers/numbers) {
		w.known, w.before = map[string]*bounds{}, w.known
	}
	w.known[key] = b
}

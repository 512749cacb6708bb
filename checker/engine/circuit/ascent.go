package circuit

import (
	"context"
	"maps"
	"math"
	"slices"
)

// ascent moves one parameter at a time to the end that is worse.
type ascent struct {
	d       *decider
	s       scene
	target  target
	over    Freedom
	nominal Tri

	tried  bool
	corner Corner
	far    float64 // beyond the target, negative before it
	answer Tri
	order  []ParamID
	gain   map[ParamID]float64 // the most that a parameter did by itself
}

func (w *ascent) flipped() bool { return w.answer != w.nominal && w.answer != Undecided }

// look solves one corner.
func (w *ascent) look(k Corner) (far float64, answer Tri, err error) {
	v, err := w.s.at(k)
	if err != nil {
		return 0, Undecided, err
	}
	far = v.hi - w.target.level
	if w.target.sense < 0 {
		far = w.target.level - v.lo
	}
	level := w.target.level
	if unsigned(w.d.q.Atom.Measure.Kind) {
		level = math.Abs(level)
		if w.d.q.Atom.Level.Nominal < 0 {
			level = -level
		}
	}
	return far, w.d.compare(v, level), nil
}

const sweeps = 4

func (w *ascent) from(ctx context.Context, corner Corner) error {
	far, answer, err := w.look(corner)
	if err != nil {
		return err
	}
	keep := func() {
		if !w.tried || far > w.far {
			w.tried, w.corner, w.far, w.answer = true, corner, far, answer
		}
	}
	keep()
	for range sweeps {
		if w.flipped() {
			return nil
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if w.s.params == nil {
			return nil
		}
		params, err := w.s.params(corner)
		if err != nil {
			return err
		}
		moved := false
		for _, p := range params {
			info := w.d.c.params[p]
			if _, fixed := w.d.key.corner.Value(p); fixed || info.Kind.freedom()&w.over == 0 {
				continue
			}
			was := w.d.c.valueIn(corner, p)
			for _, end := range [...]float64{info.Min, info.Max} {
				if end == was {
					continue
				}
				f, a, err := w.look(corner.With(p, end))
				if err != nil {
					return err
				}
				if f <= far+hair {
					continue
				}
				if _, ok := w.gain[p]; !ok {
					w.order = append(w.order, p)
				}
				w.gain[p] = max(w.gain[p], f-far)
				corner, far, answer, moved = corner.With(p, end), f, a, true
			}
		}
		keep()
		if !moved {
			return nil
		}
	}
	return nil
}

// through looks between the corner asked about and the one that was found, where a
// magnitude has fallen to its level and risen beyond it again with the other sign.
func (w *ascent) through(ctx context.Context) error {
	if w.flipped() || w.far <= 0 || w.answer == Undecided {
		return nil
	}
	lo, hi := w.d.key.corner, w.corner
	for range 60 {
		if err := ctx.Err(); err != nil {
			return err
		}
		mid := w.d.c.between(lo, hi)
		far, answer, err := w.look(mid)
		if err != nil {
			return err
		}
		switch {
		case answer == Undecided:
			w.answer = Undecided
			return nil
		case answer != w.nominal:
			w.corner, w.far, w.answer = mid, far, answer
			return nil
		case far > 0:
			hi = mid
		default:
			lo = mid
		}
	}
	return nil
}

// between is half way from one corner to another.
func (c *Circuit) between(a, b Corner) Corner {
	set := map[ParamID]bool{}
	for _, k := range [...]Corner{a, b} {
		for _, s := range k.settings() {
			set[s.param] = true
		}
	}
	if a.Cold() != b.Cold() {
		for i, p := range c.params {
			if p.Kind == Warmth {
				set[ParamID(i)] = true
			}
		}
	}
	out := a
	for _, p := range slices.Sorted(maps.Keys(set)) {
		out = out.With(p, (c.valueIn(a, p)+c.valueIn(b, p))/2)
	}
	return out
}

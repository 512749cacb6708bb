package circuit

import (
	"cmp"
	"context"
	"math"
	"slices"

	"pintle/lang/model"
)

// Judge answers a question like Decide, but for everything that a design leaves open
// besides what the corner fixes: a leaf is Yes or No where the answer is the same
// throughout, and Depends where it is not, with a corner for each answer.
//
// The worst case of a state is looked for among the ends of the parameters. In a
// linear network that is where it lies: a voltage or current is a quotient of two
// functions, each of the first degree in every single conductance and source (by the
// matrix-tree theorem), hence monotone in each parameter while the others stand
// still. Which ends they are is found by moving one parameter after another to the
// end that is worse until none makes it worse, from the given corner and from all
// filaments cold. That is exact while no parameter changes the direction in which
// another one acts, as only bridges and diodes near their knee can make it do. Where
// it finds a corner that changes the answer, that corner is a fact.
func (c *Circuit) Judge(ctx context.Context, q QuestionID, k Corner, over Freedom) (*Decision, error) {
	return c.decide(ctx, decisionKey{q, k, over & OverAll})
}

// freedom is the kind of a parameter as a set.
func (k ParamKind) freedom() Freedom {
	return [...]Freedom{SupplyVolts: OverSupply, Tolerance: OverTolerance, Warmth: OverWarmth}[k]
}

// scene is a state to be judged: what its measure is in a corner, and which
// parameters can act on it there.
type scene struct {
	at     func(Corner) (interval, error)
	params func(Corner) ([]ParamID, error)
}

// judge makes the leaf of a state in which the measure has been found to be v; nil
// where the bounds of some corner do not decide.
func (d *decider) judge(ctx context.Context, v interval, s scene) (*Decision, error) {
	nominal := d.against(v)
	if nominal == Undecided {
		return nil, nil
	}
	plain := Leaf{Answer: nominal, Nominal: nominal}
	if d.key.over == 0 {
		return d.b.leaf(plain), nil
	}
	found, err := d.worst(ctx, s, nominal, d.key.over)
	if err != nil {
		return nil, err
	}
	switch found.answer {
	case nominal:
		return d.b.leaf(plain), nil
	case Undecided:
		return nil, nil
	}
	leaf := Leaf{Answer: Depends, Nominal: nominal, Param: found.most}
	for _, f := range [...]Freedom{OverSupply, OverTolerance, OverWarmth} {
		if f&d.key.over == 0 || f == d.key.over {
			continue
		}
		alone, err := d.worst(ctx, s, nominal, f)
		if err != nil {
			return nil, err
		}
		if alone.answer != nominal && alone.answer != Undecided {
			leaf.On |= f
			if leaf.On == f { // of several that do it alone the first shows it
				found = alone
				leaf.Param = alone.most
			}
		}
	}
	corner, used, err := d.least(found.corner, s, nominal)
	if err != nil {
		return nil, err
	}
	if leaf.On == 0 {
		leaf.On = used
	}
	leaf.Yes, leaf.No = d.key.corner, corner
	if nominal == No {
		leaf.Yes, leaf.No = corner, d.key.corner
	}
	return d.b.leaf(leaf), nil
}

// outcome is the worst case that was found.
type outcome struct {
	corner Corner
	answer Tri
	most   ParamID // what moved the measure most; NoParam where only the level is open
}

// NoParam is the parameter of a leaf that turns on the tolerance of the level that
// the question compares with.
const NoParam = ParamID(-1)

// sense is the direction in which the measure has to go for the answer to change.
func (d *decider) sense(nominal Tri) float64 {
	above := d.q.Atom.Cmp == model.Above || d.q.Atom.Cmp == model.AtLeast
	if above == (nominal == Yes) {
		return -1
	}
	return 1
}

// reach tells how far a measure goes in a sense beyond the level: an answer other
// than the nominal one begins at zero.
func (d *decider) reach(v interval, sense float64, over Freedom) (far float64, answer Tri) {
	level := d.q.Atom.Level
	at := level.Nominal
	if over&OverTolerance != 0 && level.Varies() {
		at = level.Min
		if sense < 0 {
			at = level.Max
		}
	}
	shifted := interval{v.lo - at + level.Nominal, v.hi - at + level.Nominal}
	if sense > 0 {
		return v.hi - at, d.against(shifted)
	}
	return at - v.lo, d.against(shifted)
}

// worst looks for the corner that goes farthest towards another answer.
func (d *decider) worst(ctx context.Context, s scene, nominal Tri, over Freedom) (outcome, error) {
	sense := d.sense(nominal)
	w := &climb{d: d, s: s, sense: sense, over: over, nominal: nominal, gain: map[ParamID]float64{}}
	starts := []Corner{d.key.corner}
	if over&OverWarmth != 0 && !d.key.corner.Cold() {
		starts = append(starts, d.key.corner.WithCold(true))
	}
	for _, start := range starts {
		if err := w.from(ctx, start); err != nil {
			return outcome{}, err
		}
		if w.answer != nominal && w.answer != Undecided {
			break
		}
	}
	out := outcome{corner: w.corner, answer: w.answer, most: NoParam}
	best := 0.0
	for _, p := range w.order {
		if g := w.gain[p]; g > best {
			out.most, best = p, g
		}
	}
	return out, nil
}

// climb moves one parameter at a time to the end that is worse.
type climb struct {
	d       *decider
	s       scene
	sense   float64
	over    Freedom
	nominal Tri

	tried  bool
	corner Corner
	far    float64
	answer Tri
	order  []ParamID
	gain   map[ParamID]float64 // the most that a parameter did by itself
}

const sweeps = 4

func (w *climb) from(ctx context.Context, corner Corner) error {
	v, err := w.s.at(corner)
	if err != nil {
		return err
	}
	far, answer := w.d.reach(v, w.sense, w.over)
	if !w.tried || far > w.far {
		w.tried, w.corner, w.far, w.answer = true, corner, far, answer
	}
	for range sweeps {
		if answer != w.nominal && answer != Undecided {
			return nil
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		params, err := w.s.params(corner)
		if err != nil {
			return err
		}
		moved := false
		for _, p := range params {
			info := w.d.c.params[p]
			if info.Kind.freedom()&w.over == 0 {
				continue
			}
			if _, fixed := w.d.key.corner.Value(p); fixed {
				continue
			}
			was := w.d.c.valueIn(corner, p)
			for _, end := range [...]float64{info.Min, info.Max} {
				if end == was {
					continue
				}
				v, err := w.s.at(corner.With(p, end))
				if err != nil {
					return err
				}
				f, a := w.d.reach(v, w.sense, w.over)
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
		if far > w.far {
			w.corner, w.far, w.answer = corner, far, answer
		}
		if !moved {
			return nil
		}
	}
	return nil
}

// valueIn is the value of a parameter in a corner.
func (c *Circuit) valueIn(k Corner, p ParamID) float64 {
	if v, ok := k.Value(p); ok {
		return v
	}
	if info := c.params[p]; info.Kind == Warmth && k.Cold() {
		return c.elems[info.Element].ColdOhm.Nominal
	}
	return c.params[p].Nominal
}

// least takes back every departure from the given corner that the other answer does
// not need, and tells what is left.
func (d *decider) least(corner Corner, s scene, nominal Tri) (Corner, Freedom, error) {
	other := func(k Corner) (bool, error) {
		v, err := s.at(k)
		if err != nil {
			return false, err
		}
		_, answer := d.reach(v, d.sense(nominal), d.key.over)
		return answer != nominal && answer != Undecided, nil
	}
	if corner.Cold() && !d.key.corner.Cold() {
		if ok, err := other(corner.WithCold(false)); err != nil {
			return corner, 0, err
		} else if ok {
			corner = corner.WithCold(false)
		}
	}
	for _, set := range corner.settings() {
		if _, fixed := d.key.corner.Value(set.param); fixed {
			continue
		}
		without := corner.without(set.param)
		if ok, err := other(without); err != nil {
			return corner, 0, err
		} else if ok {
			corner = without
		}
	}
	var used Freedom
	if corner.Cold() != d.key.corner.Cold() {
		used |= OverWarmth
	}
	for _, set := range corner.settings() {
		if _, fixed := d.key.corner.Value(set.param); !fixed {
			used |= d.c.params[set.param].Kind.freedom()
		}
	}
	if used == 0 {
		used = OverTolerance // of the level alone
	}
	return corner, used, nil
}

// influences lists the parameters that can act where all switches are known: sources
// that are there, and resistances that carry a current. The heaviest come first.
func (d *decider) influences(ctx context.Context, k *knowledge, corner Corner) ([]ParamID, error) {
	s, err := d.state(ctx, k, corner, corner == d.key.corner)
	if err != nil {
		return nil, err
	}
	return d.acting(func(e model.ElementID) float64 {
		if !s.Conducts(e) {
			return 0
		}
		if _, _, ok := d.c.branchOf(e); !ok || !d.inScope(e) {
			return 0
		}
		return math.Abs(s.Amps(e))
	}, func(e model.ElementID) bool { return d.inScope(e) && s.Conducts(e) }), nil
}

// influencesOf is the same where bounds are all there is: what is part of components
// with maybe elements has its worst value in the bounds already.
func (d *decider) influencesOf(all map[*island]*bounds) []ParamID {
	known := func(e model.ElementID) (*bounds, int, bool) {
		i, b, ok := d.c.branchOf(e)
		if !ok || !d.inScope(e) {
			return nil, 0, false
		}
		bo := all[d.c.islands[i]]
		return bo, b, bo.r.presence[b] == present && !bo.r.inUnknown(bo.w, b)
	}
	return d.acting(func(e model.ElementID) float64 {
		if b, i, ok := known(e); ok {
			return max(math.Abs(b.lo.Current(i)), math.Abs(b.hi.Current(i)))
		}
		return 0
	}, func(e model.ElementID) bool { _, _, ok := known(e); return ok })
}

func (d *decider) inScope(e model.ElementID) bool {
	i, _, ok := d.c.branchOf(e)
	return ok && slices.Contains(d.q.Islands, IslandID(i))
}

func (d *decider) acting(amps func(model.ElementID) float64, there func(model.ElementID) bool) []ParamID {
	type weighed struct {
		p      ParamID
		weight float64
	}
	var out []weighed
	for i, p := range d.c.params {
		switch {
		case d.c.elems[p.Element].shorted:
		case p.Volts && there(p.Element):
			out = append(out, weighed{ParamID(i), p.Max - p.Min})
		case !p.Volts:
			// By so many volts its change acts on the rest, at first.
			if w := amps(p.Element) * (p.Max - p.Min); w > hair {
				out = append(out, weighed{ParamID(i), w})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b weighed) int { return cmp.Compare(b.weight, a.weight) })
	ids := make([]ParamID, len(out))
	for i, w := range out {
		ids[i] = w.p
	}
	return ids
}

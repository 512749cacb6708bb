package circuit

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"pintle/lang/model"
)

// WorstCase answers a question like Decide, but for everything that a design leaves open
// besides what the corner fixes: a leaf is Yes or No where the answer is the same
// throughout, and Depends where it is not, with a corner for each answer.
//
// Where the bounds of bound.go give one answer for all resistances and at all ends
// of the volts, that is the end of it. Otherwise, and where all switches are known,
// the worst case is looked for among the ends of the parameters. In a
// linear network that is where it lies: a voltage or current is a quotient of two
// functions, each of the first degree in every single conductance and source (by the
// matrix-tree theorem), hence monotone in each parameter while the others stand
// still. Which ends they are is found by moving one parameter after another to the
// end that is worse until none makes it worse, from the given corner and from all
// filaments cold. That is exact while no parameter changes the direction in which
// another one acts, as only bridges and diodes near their knee can make it do. Where
// it finds a corner that changes the answer, that corner is a fact.
func (c *Circuit) WorstCase(ctx context.Context, q QuestionID, k Corner, over Freedom) (*Decision, error) {
	return c.decide(ctx, decisionKey{q, k, over & OverAll})
}

// freedom is the kind of a parameter as a set.
func (k ParamKind) freedom() Freedom {
	return [...]Freedom{SupplyVolts: OverSupply, Tolerance: OverTolerance, Warmth: OverWarmth}[k]
}

// scene is a state, whole or in part, to be judged: what its measure is in a corner
// and, where the state is whole, which parameters can act on it there.
type scene struct {
	known  *assignment
	unsure bool // bounds have been asked in vain already
	at     func(Corner) (interval, error)
	params func(Corner) ([]ParamID, error)
}

// worstCase makes the leaf of a state in which the measure has been found to be v; nil
// where the bounds of some corner do not decide.
func (d *decider) worstCase(ctx context.Context, v interval, s scene) (*Decision, error) {
	nominal := d.against(v)
	if nominal == Undecided {
		return nil, nil
	}
	if d.key.over == 0 {
		return plain[nominal], nil
	}
	if !s.unsure {
		if sure, err := d.sure(ctx, s.known, nominal); err != nil || sure {
			return plain[nominal], err
		}
	}
	if s.params != nil {
		if d.climbs++; d.climbs > climbedStates {
			return d.b.leaf(Leaf{
				Answer: Undecided, Nominal: nominal,
				Why: fmt.Sprintf("what tolerances do was looked for in %d states only", climbedStates),
			}), nil
		}
	}
	found, err := d.worst(ctx, v, s, nominal, d.key.over)
	if err != nil {
		return nil, err
	}
	switch {
	case found.answer == nominal && s.params != nil:
		return plain[nominal], nil
	case found.answer == nominal || found.answer == Undecided:
		return nil, nil
	}
	leaf := Leaf{Answer: Depends, Nominal: nominal, Param: found.most}
	for _, f := range [...]Freedom{OverSupply, OverTolerance, OverWarmth} {
		if f&d.key.over == 0 || f == d.key.over {
			continue
		}
		alone, err := d.worst(ctx, v, s, nominal, f)
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
	if leaf.Param == NoParam {
		if leaf.Param, err = d.foremost(corner, s); err != nil {
			return nil, err
		}
	}
	leaf.Yes, leaf.No = d.key.corner, corner
	if nominal == No {
		leaf.Yes, leaf.No = corner, d.key.corner
	}
	return d.b.leaf(leaf), nil
}

// maxEnds is how many volts that are open at once are taken at both ends each.
const maxEnds = 3

// sure reports whether the bounds of all open resistances give one answer at all ends
// of the open volts.
func (d *decider) sure(ctx context.Context, k *assignment, nominal Tri) (bool, error) {
	corners, ok := d.endsOfVolts()
	if !ok {
		return false, nil
	}
	for _, rough := range [...]bool{true, false} {
		if sure, err := d.sureAt(ctx, k, nominal, corners, rough); sure || err != nil {
			return sure, err
		}
	}
	return false, nil
}

// endsOfVolts lists the corners with all open volts at their ends; false where they are
// too many.
func (d *decider) endsOfVolts() ([]Corner, bool) {
	corners := []Corner{d.key.corner}
	ends := 0
	for i, p := range d.c.params {
		if _, fixed := d.key.corner.Value(ParamID(i)); fixed || !p.Volts || p.Kind.freedom()&d.key.over == 0 || !d.inScope(p.Element) {
			continue
		}
		if ends++; ends > maxEnds {
			return nil, false
		}
		var more []Corner
		for _, c := range corners {
			more = append(more, c.With(ParamID(i), p.Min), c.With(ParamID(i), p.Max))
		}
		corners = more
	}
	return corners, true
}

// sureAt reports whether bounds, rough or as good as can be had, give one answer at some
// corners and between them.
func (d *decider) sureAt(ctx context.Context, k *assignment, nominal Tri, corners []Corner, rough bool) (bool, error) {
	above := (d.q.Atom.Cmp == model.Above || d.q.Atom.Cmp == model.AtLeast) == (nominal == Yes)
	// What lies between the ends lies between their values: a magnitude that is above
	// its level at both, with opposite signs, is below it somewhere.
	var hull interval
	for i, corner := range corners {
		v, _, err := d.boundsAt(ctx, k, corner, d.key.over, rough)
		if err != nil {
			return false, err
		}
		if i == 0 {
			hull = v
		}
		hull = hull.or(v)
		if d.compare(hull, d.levelIn(above, d.key.over)) != nominal {
			return false, nil
		}
	}
	return true, nil
}

// outcome is the worst case that was found.
type outcome struct {
	corner Corner
	answer Tri
	most   ParamID // what moved the measure most; NoParam where only the level is open
}

// NoParam is the parameter of a leaf that depends on the tolerance of the level that
// the question compares with. Its corners are then both the one asked about.
const NoParam = ParamID(-1)

// target is where the signed measure has to go for the answer to change.
type target struct {
	sense float64 // 1: up, -1: down
	level float64 // and beyond
}

// waysOut are the ways out of what v answers: one level for volts with their sign;
// for a magnitude that is above its level, down to it; for one below, up or down.
func (d *decider) waysOut(v interval, nominal Tri, over Freedom) []target {
	a := d.q.Atom
	above := (a.Cmp == model.Above || a.Cmp == model.AtLeast) == (nominal == Yes)
	level := d.levelIn(above, over)
	switch {
	case !unsigned(a.Measure.Kind) && above:
		return []target{{-1, level}}
	case !unsigned(a.Measure.Kind):
		return []target{{1, level}}
	case !above:
		return []target{{1, level}, {-1, -level}}
	case v.lo >= 0:
		return []target{{-1, level}}
	case v.hi <= 0:
		return []target{{1, -level}}
	}
	return []target{{-1, level}, {1, -level}}
}

// levelIn is the level at its worst for a measure that is above it or not.
func (d *decider) levelIn(above bool, over Freedom) float64 {
	l := d.q.Atom.Level
	switch {
	case over&OverTolerance == 0 || !l.Varies():
		return l.Nominal
	case above:
		return l.Max
	}
	return l.Min
}

// worst looks for the corner that goes farthest towards another answer.
func (d *decider) worst(ctx context.Context, v interval, s scene, nominal Tri, over Freedom) (outcome, error) {
	var c *ascent
	for _, t := range d.waysOut(v, nominal, over) {
		c = &ascent{d: d, s: s, target: t, over: over, nominal: nominal, gain: map[ParamID]float64{}}
		for _, start := range d.starts(over) {
			if err := c.from(ctx, start); err != nil {
				return outcome{}, err
			}
			if c.flipped() {
				break
			}
		}
		if err := c.through(ctx); err != nil {
			return outcome{}, err
		}
		if c.flipped() {
			break
		}
	}
	out := outcome{corner: c.corner, answer: c.answer, most: NoParam}
	best := 0.0
	for _, p := range c.order {
		if g := c.gain[p]; g > best {
			out.most, best = p, g
		}
	}
	return out, nil
}

// starts are the corners that a climb sets out from.
func (d *decider) starts(over Freedom) []Corner {
	k := d.key.corner
	out := []Corner{k}
	if over&OverWarmth != 0 && !k.Cold() {
		out = append(out, k.WithCold(true))
	}
	if over&OverSupply == 0 {
		return out
	}
	lowest, highest := k, k
	for i, p := range d.c.params {
		if _, fixed := k.Value(ParamID(i)); p.Kind == SupplyVolts && !fixed {
			lowest, highest = lowest.With(ParamID(i), p.Min), highest.With(ParamID(i), p.Max)
		}
	}
	if lowest != k {
		out = append(out, lowest, highest)
	}
	return out
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
// not need, and reports what is left.
func (d *decider) least(corner Corner, s scene, nominal Tri) (Corner, Freedom, error) {
	other := func(k Corner) (bool, error) {
		v, err := s.at(k)
		if err != nil {
			return false, err
		}
		above := (d.q.Atom.Cmp == model.Above || d.q.Atom.Cmp == model.AtLeast) == (nominal == Yes)
		answer := d.compare(v, d.levelIn(above, d.key.over))
		return answer != nominal && answer != Undecided, nil
	}
	if corner.Cold() && !d.key.corner.Cold() {
		corner = d.oneByOne(corner)
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

// oneByOne says of each filament by itself that it is cold.
func (d *decider) oneByOne(k Corner) Corner {
	out := k.WithCold(false)
	for i, p := range d.c.params {
		if _, set := k.Value(ParamID(i)); p.Kind == Warmth && !set && d.inScope(p.Element) {
			out = out.With(ParamID(i), d.c.valueIn(k, ParamID(i)))
		}
	}
	return out
}

// foremost is the parameter that by itself moves the measure most, of those in which
// a corner departs from the given one; NoParam where it does not.
func (d *decider) foremost(corner Corner, s scene) (ParamID, error) {
	base, err := s.at(d.key.corner)
	if err != nil {
		return NoParam, err
	}
	best, most := NoParam, -1.0
	for _, set := range corner.settings() {
		if _, fixed := d.key.corner.Value(set.param); fixed {
			continue
		}
		v, err := s.at(d.key.corner.With(set.param, set.value))
		if err != nil {
			return NoParam, err
		}
		if moved := max(math.Abs(v.lo-base.lo), math.Abs(v.hi-base.hi)); moved > most {
			best, most = set.param, moved
		}
	}
	return best, nil
}

// influences lists the parameters that can act where all switches are known: sources
// that are there, and resistances that carry a current. The heaviest come first.
func (d *decider) influences(ctx context.Context, k *assignment, corner Corner) ([]ParamID, error) {
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

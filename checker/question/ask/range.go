package ask

import (
	"math"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// Span is where a measure lies over reachable states.
type Span struct {
	Low, High End
	// Empty: no reachable state is among those asked about.
	Empty bool
	// Open says why the span is not known; empty: it is.
	Open string
}

// End is the highest or lowest value of a measure, with the state in which it stands.
type End struct {
	Value float64 // V, A or At
	// Proved: no state among those asked about lies beyond it, by more than one millionth.
	Proved bool
	Why    string // why that is not proved
	// Corner says in words where it departs from nominal values; empty: nowhere.
	Corner string
	Trace  *system.Trace
}

// unreadable is why something is open that has a finding of its own.
const unreadable = "something that it depends on could not be read; `pintle check` says what"

// Range looks for the lowest and the highest value of a measure over the reachable states of a
// system in which a condition holds: with everything as in the corner of the system, and
// within all tolerances, the ranges of supplies, the bounds of loads and cold filaments among
// them.
func Range(p *rule.Pass, s *system.System, m model.Measure, also system.Condition) (here, within Span) {
	high := extremum{p: p, s: s, m: m, also: also, sense: 1}
	low := extremum{p: p, s: s, m: m, also: also, sense: -1}
	here.High, here.Empty, here.Open = high.here()
	if here.Empty || here.Open != "" {
		return here, Span{Empty: here.Empty, Open: here.Open}
	}
	here.Low, _, here.Open = low.here()
	if here.Open != "" {
		return here, Span{Open: here.Open}
	}
	within.High, within.Low = high.within(here.High), low.within(here.Low)
	here.High, here.Low = high.nearest(here.High), low.nearest(here.Low)
	within.High, within.Low = high.nearest(within.High), low.nearest(within.Low)
	return here, within
}

// rounds bounds how often a better state is looked for.
const rounds = 32

// extremum looks for the highest value, or with sense -1 for the lowest.
type extremum struct {
	p     *rule.Pass
	s     *system.System
	m     model.Measure
	also  system.Condition
	sense float64

	best *Peak // of here
}

// beyond is where the measure lies beyond a value by more than a millionth.
func (x *extremum) beyond(v float64) system.Condition {
	hair := max(1e-6*math.Abs(v), 1e-9)
	if x.sense > 0 {
		return Above(x.m, v+hair)
	}
	return Atom(Compared(x.m, model.Below, v-hair))
}

// nearest is an end with the state that the fewest moves lead to among those with its value, to a
// millionth: the state in which it was found is one of a way that switches stand, and moves may lead
// there that change nothing of the value.
func (x *extremum) nearest(e End) End {
	if e.Trace == nil {
		return e
	}
	hair := max(1e-6*math.Abs(e.Value), 1e-8) // more than the rounding of a solution
	cmp := model.Above
	if x.sense < 0 {
		cmp = model.Below
	}
	v := x.possible(e.Trace.System, Atom(Compared(x.m, cmp, e.Value-x.sense*hair)))
	if v.Outcome == system.Holds && v.Trace != nil && len(v.Trace.Steps) < len(e.Trace.Steps) {
		e.Trace = v.Trace
	}
	return e
}

// least reports whether nothing can lie beyond a value: a magnitude is nowhere below zero.
func (x *extremum) least(v float64) bool {
	return x.sense < 0 && x.m.Kind != model.Volts && v <= 1e-9
}

func (x *extremum) better(v, than float64) bool {
	return x.sense*(v-than) > max(1e-6*math.Abs(than), 1e-9)
}

// search looks among states of a system.
func (x *extremum) search(s *system.System, among system.Condition) *system.Search {
	y, err := s.Search(x.p.Ctx, x.m, among)
	x.p.StopOn(err)
	if x.m.Kind == model.Volts {
		y = y.Signed()
	}
	if x.sense < 0 {
		y = y.Lowest()
	}
	return y
}

func (x *extremum) climb(s *system.System, among system.Condition, t *system.Trace) *Peak {
	best, err := x.search(s, among).Ascend(x.p.Ctx, t)
	x.p.StopOn(err)
	return peak(best, nil)
}

// possible asks for a state at the values of a system.
func (x *extremum) possible(s *system.System, c ...system.Condition) system.Verdict {
	v, err := s.PossibleHere(x.p.Ctx, system.All(append(c, x.also)...))
	x.p.StopOn(err)
	return v
}

// here is the end in the corner of the system.
func (x *extremum) here() (e End, empty bool, open string) {
	x.best = nil
	among := x.also
	var from *system.Trace
	for range rounds {
		next := x.climb(x.s, among, from)
		if next != nil && (x.best == nil || x.better(next.Value, x.best.Value)) {
			// What time forbids is left out.
			there := x.possible(x.s, system.Literal(next.When))
			if there.Outcome != system.Holds {
				among, from = system.All(among, system.Not(system.Literal(next.When))), nil
				continue
			}
			next.Trace = there.Trace
			x.best = next
		}
		var v system.Verdict
		switch {
		case x.best != nil && x.least(x.best.Value):
			return End{Value: x.best.Value, Proved: true, Trace: x.best.Trace}, false, ""
		case x.best == nil:
			v = x.possible(x.s)
		default:
			v = x.possible(x.s, x.beyond(x.best.Value))
		}
		switch v.Outcome {
		case system.Fails:
			if x.best == nil {
				return End{}, true, ""
			}
			return End{Value: x.best.Value, Proved: true, Trace: x.best.Trace}, false, ""
		case system.Unknown:
			return End{}, false, unreadable
		case system.Undecided:
			if x.best == nil {
				return End{}, false, v.Why
			}
			return End{Value: x.best.Value, Why: v.Why, Trace: x.best.Trace}, false, ""
		}
		at, err := x.search(x.s, x.also).At(x.p.Ctx, v.Trace)
		x.p.StopOn(err)
		if at == nil {
			return End{}, false, unreadable
		}
		if x.best != nil && !x.better(at.Value, x.best.Value) {
			break // to within what two ways of solving differ by
		}
		x.best = peak(at, v.Trace)
		from = v.Trace
	}
	if x.best == nil {
		return End{}, false, "its states are told apart by time in too many ways"
	}
	return End{Value: x.best.Value, Why: "it was looked for in a bounded number of states", Trace: x.best.Trace}, false, ""
}

// within is the end within all tolerances, given that in the corner of the system.
func (x *extremum) within(here End) End {
	e := here
	e.Proved, e.Why = false, here.Why
	now := x.best
	sys := x.s
	if x.least(here.Value) {
		return here
	}
	for range rounds {
		for now != nil {
			k, value := x.worst(sys, now)
			if !x.better(value, e.Value) {
				break
			}
			there, err := x.s.At(x.p.Ctx, k)
			x.p.StopOn(err)
			v := x.possible(there, system.Literal(now.When))
			if v.Outcome != system.Holds {
				break // other states in that corner are found below
			}
			e.Value, e.Corner, e.Trace = value, x.s.Describe(k), v.Trace
			sys, now = there, x.climb(there, x.also, v.Trace)
			if now != nil && x.better(now.Value, e.Value) {
				if v := x.possible(there, system.Literal(now.When)); v.Outcome == system.Holds {
					e.Value, e.Trace = now.Value, v.Trace
				}
			}
		}
		v, err := x.s.Never(x.p.Ctx, system.All(x.beyond(e.Value), x.also))
		x.p.StopOn(err)
		switch {
		case v.Outcome == system.Holds && !v.NominalOnly:
			e.Proved, e.Why = true, ""
			return e
		case v.Outcome == system.Unknown:
			e.Why = unreadable
			return e
		case v.Outcome == system.Holds, v.Outcome == system.Undecided, v.Trace == nil:
			e.Why = v.Why
			return e
		}
		sys = v.Trace.System
		at, err := x.search(sys, x.also).At(x.p.Ctx, v.Trace)
		x.p.StopOn(err)
		now = peak(at, v.Trace)
		if now == nil || !x.better(now.Value, e.Value) {
			break
		}
		e.Value, e.Corner, e.Trace = now.Value, v.Corner, v.Trace
		if best := x.climb(sys, x.also, v.Trace); best != nil && x.better(best.Value, e.Value) {
			if w := x.possible(sys, system.Literal(best.When)); w.Outcome == system.Holds {
				now, e.Value, e.Trace = best, best.Value, w.Trace
			}
		}
	}
	e.Why = "it was looked for in a bounded number of corners"
	return e
}

// Bounds of the search for the worst corner of one state.
const (
	sweeps     = 4
	mostParams = 400
)

// worst moves one open value at a time to the end that makes the measure worse, from the
// corner of a state and from all filaments cold, while the switches stand as they do there.
// That is a corner to look at, no proof.
func (x *extremum) worst(s *system.System, at *Peak) (circuit.Corner, float64) {
	c := s.Circuit()
	inside := map[model.ElementID]bool{}
	for _, i := range c.IslandsOf(x.m) {
		for _, e := range c.Islands()[i].Elements {
			inside[e] = true
		}
	}
	solve := func(k circuit.Corner) float64 {
		sol, err := c.Solve(x.p.Ctx, at.Closed, k)
		x.p.StopOn(err)
		v, err := sol.Measure(x.p.Ctx, x.m)
		x.p.StopOn(err)
		return v
	}
	best, value := s.Corner(), at.Value
	if len(c.Params()) > mostParams {
		return best, value
	}
	for _, k := range [...]circuit.Corner{s.Corner(), s.Corner().WithCold(true)} {
		v := solve(k)
		for range sweeps {
			moved := false
			for i, info := range c.Params() {
				if !inside[info.Element] {
					continue
				}
				for _, end := range [...]float64{info.Min, info.Max} {
					other := k.With(circuit.ParamID(i), end)
					if w := solve(other); x.better(w, v) {
						k, v, moved = other, w, true
					}
				}
			}
			if !moved {
				break
			}
		}
		if x.better(v, value) {
			best, value = k, v
		}
	}
	return best, value
}

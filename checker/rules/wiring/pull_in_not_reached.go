package wiring

import (
	"fmt"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func pullInNotReached() rule.Rule {
	return rule.Rule{
		Name:     "pull-in-not-reached",
		Severity: diag.Error,
		Summary:  "a winding that pulls in at nominal volts, but does not pull in or stay in at the lowest stated volts",
		Why:      "on a cold morning or with a tired battery the relay stays out or chatters",
		Doc:      pages.Of("pull-in-not-reached"),
		Needs:    rule.States,
		Run:      findPullIn,
	}
}

// mover is what makes some iron move: a measure over one winding or several.
type mover struct {
	*model.Info
	measure  model.Measure
	memory   model.MemoryID
	pull     float64 // V or At
	drop     float64
	dim      unit.Dim
	windings []model.ElementID
	latches  bool
	verb     string
	state    int // of the memory, that it brings about
}

func (v *view) movers() []mover {
	var out []mover
	byCoil := func(k *model.Coil, memory model.MemoryID, verb string, state int, latches bool) {
		if k.Broken || !k.HasPull && memory == model.None || k.PullIn.Float64() <= 0 {
			return
		}
		out = append(out, mover{
			Info: &k.Info, measure: ask.VoltsAcross(k.A, k.B), memory: memory, pull: k.PullIn.Float64(), drop: k.DropOut.Float64(),
			dim: unit.Voltage, windings: []model.ElementID{k.Element}, latches: latches, verb: verb, state: state,
		})
	}
	for i := range v.d.Coils {
		if k := &v.d.Coils[i]; k.Memory != model.None {
			byCoil(k, k.Memory, "pull in", 1, false)
		}
	}
	for i := range v.d.Armatures {
		k := &v.d.Armatures[i]
		switch {
		case k.Broken || k.Memory == model.None:
		case k.Latching:
			byCoil(&v.d.Coils[k.Set], k.Memory, "set "+k.Path, 1, true)
			byCoil(&v.d.Coils[k.Release], k.Memory, "release "+k.Path, 0, true)
		case k.PullIn > 0:
			m := mover{
				Info: &k.Info, memory: k.Memory, pull: k.PullIn, drop: k.DropOut, dim: unit.AmpereTurns, verb: "pull in", state: 1,
				measure: model.Measure{Kind: model.AmpereTurns, A: model.None, B: model.None, Element: model.None, Load: model.None},
			}
			for _, w := range k.Moved {
				e := v.d.Coils[w.Coil].Element
				m.measure.Windings = append(m.measure.Windings, model.ElementTurns{Element: e, Turns: w.Turns})
				m.windings = append(m.windings, e)
			}
			out = append(out, m)
		}
	}
	return out
}

func findPullIn(p *rule.Pass) {
	v := look(p)
	low := v.lowest()
	for _, m := range v.movers() {
		if v.anyBroken(m.windings) {
			continue
		}
		trace, ok := v.can(v.at(circuit.Nominal), m.Info, system.All(system.InState(m.memory, m.state), ask.Above(m.measure, m.pull*(1-hair)), v.sound(v.around(m)...)))
		if ok != ask.Yes {
			continue // it is not meant to, another rule says that it never does, or a short takes its volts
		}
		s, reaches := v.at(circuit.Nominal), v.reaches(m, m.pull, low)
		switch _, ok := v.can(s, m.Info, reaches.yes); ok {
		case ask.Yes:
			if !m.latches {
				v.holds(m, low)
			}
		case ask.No:
			if _, ok := v.can(s, m.Info, reaches.doubt); ok == ask.Yes {
				v.p.Undecided(evidence.Site(v.d, m.Info), m.Path, reaches.why)
			} else if ok == ask.No {
				v.reportPullIn(m, low, trace)
			}
		}
	}
}

// around are the nodes that the windings of a mover lie between.
func (v *view) around(m mover) (out []model.NodeID) {
	for _, e := range m.windings {
		out = append(out, v.ends(e)...)
	}
	return out
}

// hair is the relative margin below which a level counts as met.
const hair = 1e-9

func (v *view) anyBroken(es []model.ElementID) bool {
	for _, e := range es {
		if e == model.None || v.d.Elements[e].Broken {
			return true
		}
	}
	return false
}

// reaching is where a measure reaches a level, and where that can't be told.
type reaching struct {
	yes, doubt system.Condition
	why        string
}

// reaches is where, with the contacts as they stand in a state at nominal volts, a
// measure would be at least a level in another corner, whatever the tolerances of
// resistances.
func (v *view) reaches(m mover, level float64, k circuit.Corner) reaching {
	never := system.On(model.False)
	q, ok := v.c.Register(ask.Compared(m.measure, model.AtLeast, level))
	if !ok {
		return reaching{yes: never, doubt: never}
	}
	d, err := v.c.WorstCase(v.p.Ctx, q, k, circuit.OverTolerance)
	v.p.StopOn(err)
	out := reaching{yes: system.On(v.where(d, circuit.Yes)), doubt: system.On(v.where(d, circuit.Undecided))}
	for _, leaf := range d.Leaves() {
		if leaf.Answer == circuit.Undecided {
			out.why = leaf.Why
		}
	}
	return out
}

// where writes a decision's answer as a condition over those of its switches.
func (v *view) where(d *circuit.Decision, answer circuit.Tri) *model.Cond {
	infos := v.c.Switches()
	done := map[*circuit.Decision]*model.Cond{}
	d.Each(func(d *circuit.Decision) { // parts come before wholes
		switch {
		case !d.IsLeaf():
			w := infos[d.Switch].Cond
			done[d] = model.Or(model.And(w, done[d.Closed]), model.And(model.Not(w), done[d.Open]))
		case d.Answer == answer:
			done[d] = model.True
		default:
			done[d] = model.False
		}
	})
	return done[d]
}

// reportPullIn reports what a winding gets in the state in which it would pull in at
// nominal volts.
func (v *view) reportPullIn(m mover, low circuit.Corner, trace *system.Trace) {
	closed := v.standing(m, trace)
	if closed == nil {
		return
	}
	at := func(k circuit.Corner) float64 { return v.measured(m, closed, k).Value }
	gets, k := at(low), low
	if gets >= m.pull { // only within the tolerance of a resistance
		if k = v.worstEnd(m, low, at); at(k) >= gets {
			return
		}
	}
	got := v.inCorner(m, trace, closed, k)
	if got.Value >= m.pull {
		return // by the time that it is to pull in there, it gets enough
	}
	f := diag.Finding{
		Place:   evidence.Site(v.d, m.Info),
		Subject: m.Path,
		Message: fmt.Sprintf("%s gets %s%s and wants %s to %s", m.Path, got, v.with(k), unit.Format(m.pull, m.dim), m.verb),
		Numbers: evidence.Numbers(got),
		Help:    "lose less in its feed: use a thicker wire, no resistor in series, or a winding that pulls in at fewer volts",
		Evidence: append([]diag.Evidence{evidence.Values("what it gets",
			evidence.Line(m.Info, "at nominal values: %s", v.measured(m, closed, circuit.Nominal)),
			evidence.Line(m.Info, "%s: %s", v.c.Describe(k), got))},
			evidence.Moves("how it comes about at nominal values", trace)...),
	}
	v.p.Report(f)
}

// measured is what a mover gets in a corner, with the switches as they stand.
func (v *view) measured(m mover, closed func(circuit.Switch) bool, k circuit.Corner) diag.Number {
	s, err := v.c.Solve(v.p.Ctx, closed, k)
	v.p.StopOn(err)
	x, err := s.Measure(v.p.Ctx, m.measure)
	v.p.StopOn(err)
	return evidence.At(v.d, nil, s).Of(m.measure, x)
}

// inCorner is what a mover gets in a corner after the moves of a trace; where these can't be
// driven, with the switches as they stand at nominal values.
func (v *view) inCorner(m mover, trace *system.Trace, closed func(circuit.Switch) bool, k circuit.Corner) diag.Number {
	s := evidence.Driven(v.p.Ctx, trace, k)
	if s == nil {
		return v.measured(m, closed, k)
	}
	x, err := s.Measure(v.p.Ctx, m.measure)
	v.p.StopOn(err)
	return s.Of(m.measure, x)
}

// worstEnd puts the tolerances of the windings, one after another, to the end at which
// less is left.
func (v *view) worstEnd(m mover, k circuit.Corner, at func(circuit.Corner) float64) circuit.Corner {
	for i, info := range v.c.Params() {
		if info.Kind != circuit.Tolerance {
			continue
		}
		for _, end := range [...]float64{info.Min, info.Max} {
			if with := k.With(circuit.ParamID(i), end); at(with) < at(k) {
				k = with
			}
		}
	}
	return k
}

// standing reports how switches stand where a trace ends; nil where that can't be told.
func (v *view) standing(m mover, trace *system.Trace) func(circuit.Switch) bool {
	got := v.peakAt(v.at(circuit.Nominal), m.measure, system.On(nil), trace)
	if got == nil {
		return nil
	}
	return got.Closed
}

// holds looks for a state in which a winding that has pulled in is held at nominal volts,
// by nothing but metal and resistors, and would drop out at the lowest ones.
func (v *view) holds(m mover, low circuit.Corner) {
	if m.drop <= 0 || len(m.windings) != 1 {
		return // windings against each other let go on purpose
	}
	held := v.reaches(m, m.drop, low)
	s := v.at(circuit.Nominal)
	k := v.d.Elements[m.windings[0]]
	fed := system.Any(system.All(ask.Live(k.A), ask.Grounded(k.B)), system.All(ask.Live(k.B), ask.Grounded(k.A)))
	// Where it is still held at nominal volts, but hangs by a resistor.
	c := system.All(system.InState(m.memory, 1), ask.Above(m.measure, m.drop*(1+hair)), system.Not(held.yes), system.Not(held.doubt),
		system.Not(fed), v.sound(v.around(m)...))
	trace, ok := v.can(s, m.Info, c)
	if ok != ask.Yes {
		return
	}
	closed := v.standing(m, trace)
	if closed == nil {
		return
	}
	nominal, err := v.c.Solve(v.p.Ctx, closed, circuit.Nominal)
	v.p.StopOn(err)
	drop, ok2 := nominal.DropOf(m.windings[0])
	if !ok2 {
		return
	}
	for _, e := range drop.Series {
		if v.d.Elements[e].Type != model.ElemResistor {
			return // it hangs by a lamp or a motor, which nobody meant
		}
	}
	was, gets := v.measured(m, closed, circuit.Nominal), v.measured(m, closed, low)
	if gets.Value >= m.drop {
		return
	}
	v.p.Report(diag.Finding{
		Place:   evidence.Site(v.d, m.Info),
		Subject: m.Path,
		Message: fmt.Sprintf("%s is held by %s%s and lets go below %s", m.Path, gets, v.with(low), unit.Format(m.drop, m.dim)),
		Numbers: evidence.Numbers(gets),
		Help:    "use a smaller resistor in its holding path, or a winding that lets go at fewer volts",
		Evidence: append([]diag.Evidence{evidence.Values("what it gets",
			evidence.Line(m.Info, "at nominal values: %s", was),
			evidence.Line(m.Info, "%s: %s", v.c.Describe(low), gets))},
			evidence.Moves("how it comes about at nominal values", trace)...),
	})
}

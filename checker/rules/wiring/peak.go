package wiring

import (
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/checker/question/evidence"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// peak is a reachable state in which a measure stands high, with its solution.
type peak struct {
	*evidence.Solved
	v     *view
	m     model.Measure
	only  []circuit.Switch
	value float64 // magnitude of the measure: V, A or At
	trace *system.Trace
	when  *logic.Expr // how the switches stand
}

// leadsTo says how the state of a peak is come to.
func (p *peak) leadsTo(t *system.Trace) {
	p.trace, p.Solved = t, evidence.At(p.v.d, t, p.Solution).Only(p.only)
}

// most is the measure of a peak.
func (p *peak) most() diag.Number { return p.Of(p.m, p.value) }

// worst looks over all reachable states of a system for one in which a measure exceeds a
// level and a condition holds. That nothing exceeds the level is always proved; the state
// that it gives is the highest that it came to. What can't be decided is said about subject.
func (v *view) worst(s *system.System, subject *model.Info, m model.Measure, level float64, also system.Condition) (*peak, answer) {
	// Where the bounds of the circuit tell, that is the cheapest of all.
	over := system.All(above(m, level), also)
	got, err := s.PossibleHere(v.p.Ctx, over)
	v.p.StopOn(err)
	if got.Outcome == system.Fails {
		return nil, no
	}
	if best := v.climb(s, m, also, nil); best != nil && best.value > level {
		if trace, ok := v.can(s, subject, system.All(system.Literal(best.when), also)); ok == yes {
			best.leadsTo(trace)
			return best, yes
		}
	}
	trace, ok := v.can(s, subject, over)
	if ok != yes {
		return nil, ok
	}
	if best := v.climb(s, m, also, trace); best != nil && best.value > level {
		if there, ok := v.can(s, subject, system.All(system.Literal(best.when), also)); ok == yes {
			best.leadsTo(there)
			return best, yes
		}
	}
	best := v.peakAt(s, m, also, trace)
	if best == nil {
		return nil, unknown
	}
	best.leadsTo(trace)
	return best, yes
}

// climb looks for a higher state than that where a trace ends, or without one for a high one.
func (v *view) climb(s *system.System, m model.Measure, also system.Condition, t *system.Trace) *peak {
	x, err := s.Search(v.p.Ctx, m, also)
	v.p.StopOn(err)
	best, err := x.Climb(v.p.Ctx, t)
	v.p.StopOn(err)
	return v.peak(m, best)
}

// peakAt is the state where a trace ends.
func (v *view) peakAt(s *system.System, m model.Measure, also system.Condition, t *system.Trace) *peak {
	x, err := s.Search(v.p.Ctx, m, also)
	v.p.StopOn(err)
	best, err := x.At(v.p.Ctx, t)
	v.p.StopOn(err)
	return v.peak(m, best)
}

func (v *view) peak(m model.Measure, p *system.Peak) *peak {
	if p == nil {
		return nil
	}
	return &peak{
		Solved: evidence.At(v.d, nil, p.Solution).Only(p.Switches), only: p.Switches, v: v,
		m: m, value: p.Value, when: p.When,
	}
}

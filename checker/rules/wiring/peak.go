package wiring

import (
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
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

// most is the measure of a peak.
func (p *peak) most() diag.Number { return p.Of(p.m, p.value) }

// worst looks over all reachable states of a system for one in which a measure exceeds a
// level and a condition holds; see [ask.Over]. What can't be decided is said about subject.
func (v *view) worst(s *system.System, subject *model.Info, m model.Measure, level float64, also system.Condition) (*peak, ask.Answer) {
	return v.worstAmong(s, subject, m, level, ask.Among{Where: also, Such: system.On(nil)})
}

// worstAmong is worst where the condition speaks of measures; see [ask.OverAmong].
func (v *view) worstAmong(s *system.System, subject *model.Info, m model.Measure, level float64, in ask.Among) (*peak, ask.Answer) {
	got, ok := ask.OverAmong(v.p, s, v.subject(subject), m, level, in)
	if ok != ask.Yes {
		return nil, ok
	}
	return v.peak(m, got), ask.Yes
}

// peakAt is the state where a trace ends.
func (v *view) peakAt(s *system.System, m model.Measure, also system.Condition, t *system.Trace) *peak {
	return v.peak(m, ask.At(v.p, s, m, also, t))
}

func (v *view) peak(m model.Measure, p *ask.Peak) *peak {
	if p == nil {
		return nil
	}
	return &peak{
		Solved: evidence.At(v.d, p.Trace, p.Solution).Only(p.Switches), only: p.Switches, v: v,
		m: m, value: p.Value, trace: p.Trace, when: p.When,
	}
}

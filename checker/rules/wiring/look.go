package wiring

import (
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// view is a design as the rules of this group look at it.
type view struct {
	p *rule.Pass
	d *model.Design
	c *circuit.Circuit
}

func look(p *rule.Pass) *view { return &view{p: p, d: p.Design, c: p.Circuit()} }

// highest is the corner in which every supply stands at the upper end of its stated
// range, lowest that with all of them at the lower.
func (v *view) highest() circuit.Corner {
	return v.supplies(func(s *model.Supply) float64 { return s.Hi.Float64() })
}

func (v *view) lowest() circuit.Corner {
	return v.supplies(func(s *model.Supply) float64 { return s.Lo.Float64() })
}

func (v *view) supplies(volts func(*model.Supply) float64) circuit.Corner {
	k := circuit.Nominal
	for i := range v.d.Supplies {
		if s := &v.d.Supplies[i]; s.HasRange && !s.Broken {
			k = v.c.WithSupply(k, model.SupplyID(i), volts(s))
		}
	}
	return k
}

// with says in words what a corner makes different: " with battery at 15 V".
func (v *view) with(k circuit.Corner) string {
	if k == circuit.Nominal {
		return ""
	}
	return " with " + v.c.Describe(k)
}

// at is the state system in a corner.
func (v *view) at(k circuit.Corner) *system.System {
	s, err := v.p.System().At(v.p.Ctx, k)
	v.p.StopOn(err)
	return s
}

// answer to whether something can be.
type answer uint8

const (
	unknown answer = iota // something could not be read, or the search met a limit
	no
	yes
)

// can asks whether a condition holds in some reachable state of a system, with its
// values as they stand, and for the way there. What can't be decided is said about
// subject.
func (v *view) can(s *system.System, subject *model.Info, c system.Condition) (*system.Trace, answer) {
	got, err := s.PossibleHere(v.p.Ctx, c)
	v.p.StopOn(err)
	switch got.Outcome {
	case system.Holds, system.HoldsNominally:
		return got.Trace, yes
	case system.Fails:
		return nil, no
	case system.Undecided:
		v.p.UndecidedBy(evidence.Site(v.d, subject), subject.Path, got)
	}
	return nil, unknown
}

// What can be asked of a state.

func atom(a model.Atom) system.Condition {
	return system.On(&model.Cond{Op: model.CondAtom, Atom: a})
}

func live(n model.NodeID) system.Condition {
	return atom(model.Atom{Kind: model.AtomLive, Index: int(n)})
}

func grounded(n model.NodeID) system.Condition {
	return atom(model.Atom{Kind: model.AtomGrounded, Index: int(n)})
}

func joined(a, b model.NodeID) system.Condition {
	if a == b {
		return system.On(model.True)
	}
	return atom(model.Atom{Kind: model.AtomJoined, Index: int(a), Other: int(b)})
}

// above is where a measure is more than a level, in V, A or At.
func above(m model.Measure, level float64) system.Condition {
	return atom(model.Atom{Kind: model.AtomMeasure, Measure: m, Cmp: model.Above, Level: model.Exactly(level)})
}

func currentOf(e model.ElementID) model.Measure {
	return model.Measure{Kind: model.Amps, A: model.None, B: model.None, Element: e, Load: model.None}
}

// voltsOf are the volts of a over b, signed.
func voltsOf(a, b model.NodeID) model.Measure {
	return model.Measure{Kind: model.Volts, A: a, B: b, Element: model.None, Load: model.None}
}

// voltsAcross are the volts between two nodes, of either sign.
func voltsAcross(a, b model.NodeID) model.Measure {
	return model.Measure{Kind: model.AbsVolts, A: a, B: b, Element: model.None, Load: model.None}
}

// settled is where all is sound and no setting is held against its spring: what lasts for
// seconds only is judged by limits of its own (sprung.go).
func (v *view) settled(at ...model.NodeID) system.Condition {
	out := []system.Condition{v.sound(at...)}
	for _, h := range v.springs() {
		out = append(out, system.Not(h.held))
	}
	return system.All(out...)
}

// sound is where no supply of the circuits that some nodes lie in is shorted or fights
// another: every limit on the way of that is exceeded, and it has a finding of its own.
func (v *view) sound(at ...model.NodeID) system.Condition { return consequence.Sound(v.p, at...) }

// ends are the two nodes of an element.
func (v *view) ends(e model.ElementID) []model.NodeID {
	return []model.NodeID{v.d.Elements[e].A, v.d.Elements[e].B}
}

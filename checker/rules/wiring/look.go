package wiring

import (
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
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
func (v *view) highest() circuit.Corner { return ask.SuppliesHigh(v.c) }
func (v *view) lowest() circuit.Corner  { return ask.SuppliesLow(v.c) }

// with says in words what a corner makes different: " with battery at 15 V".
func (v *view) with(k circuit.Corner) string { return ask.With(v.c, k) }

// at is the state system in a corner.
func (v *view) at(k circuit.Corner) *system.System { return ask.In(v.p, k) }

// can asks whether a condition holds in some reachable state of a system, with its
// values as they stand, and for the way there. What can't be decided is said about
// subject.
func (v *view) can(s *system.System, subject *model.Info, c system.Condition) (*system.Trace, ask.Answer) {
	return ask.Can(v.p, s, v.subject(subject), c)
}

func (v *view) subject(i *model.Info) ask.Subject {
	return ask.Subject{Place: evidence.Site(v.d, i), Path: i.Path}
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
func (v *view) sound(at ...model.NodeID) system.Condition { return ask.Sound(v.p, at...) }

// ends are the two nodes of an element.
func (v *view) ends(e model.ElementID) []model.NodeID {
	return []model.NodeID{v.d.Elements[e].A, v.d.Elements[e].B}
}

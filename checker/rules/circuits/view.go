package circuits

import (
	"errors"
	"math"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// view is a design as the rules of this group look at it: its consumers, and questions
// about them over all reachable states.
type view struct {
	p *rule.Pass
	d *model.Design
	c *circuit.Circuit
	s *system.System

	consumers []consumer
	byElement map[model.ElementID]int // in consumers
	isolated  []model.SupplyID        // whose minus no metal joins to ground for good
	corner    circuit.Corner          // in which s is, and in which states are solved
	until     uint64                  // nodes that the engine may have made when the rule ends; 0: no such bound
}

// What a rule that asks of every consumer about the ways of currents through others may cost:
// decision nodes, for a design and for each of its elements. A vehicle of a thousand lines
// needs a third of that at most. In a mesh of switches each question is as large as the
// design allows, and there are as many as switches times loads.
const (
	workAtLeast = 300_000
	workEach    = 10_000
)

// errWork ends a rule whose work is spent.
var errWork = errors.New("the switches and loads of this design are joined in so many ways that following the currents through them takes more work than is allowed; check its circuits one at a time")

// bound gives the rule that runs no more than its share of work, in decision nodes of the
// state engine. A rule that needs more ends there, and says once that it is undecided.
func (v *view) bound() {
	v.until = v.s.Engine().Made() + workAtLeast + workEach*uint64(len(v.d.Elements))
}

// within asks the engine something within what the rule may cost.
func (v *view) within(look func()) {
	if v.until == 0 {
		look()
		return
	}
	engine := v.s.Engine()
	v.spent()
	defer engine.Allow(v.until - engine.Made())()
	look()
	v.spent()
}

// spent ends the rule if its work is spent.
func (v *view) spent() {
	if v.until > 0 && v.s.Engine().Made() >= v.until {
		v.p.StopOn(errWork)
	}
}

func look(p *rule.Pass) *view {
	v := &view{p: p, d: p.Design, c: p.Circuit(), s: p.System()}
	v.findConsumers()
	for i := range v.d.Supplies {
		if v.d.Ground == model.None || !v.heldTo(v.d.Supplies[i].Minus, v.d.Ground) {
			v.isolated = append(v.isolated, model.SupplyID(i))
		}
	}
	return v
}

// heldTo reports whether metal that always conducts joins two nodes.
func (v *view) heldTo(a, b model.NodeID) bool {
	seen := make([]bool, len(v.d.Nodes))
	seen[a] = true
	for changed := true; changed && !seen[b]; {
		changed = false
		for i := range v.d.Elements {
			e := &v.d.Elements[i]
			if e.Metal && e.Closed == nil && !e.Broken && seen[e.A] != seen[e.B] {
				seen[e.A], seen[e.B], changed = true, true, true
			}
		}
	}
	return seen[b]
}

// in is the same view in a corner of the tolerances.
func (v *view) in(k circuit.Corner) *view {
	s, err := v.s.At(v.p.Ctx, k)
	v.p.StopOn(err)
	out := *v
	out.s, out.corner = s, k
	return &out
}

// returns is where a node leads back to the minus of a supply by metal: to ground, or
// to the minus of one that is kept off ground.
func (v *view) returns(n model.NodeID) system.Condition {
	var any []system.Condition
	if v.d.Ground != model.None {
		any = append(any, ask.Grounded(n))
	}
	for _, s := range v.isolated {
		any = append(any, ask.Joined(n, v.d.Supplies[s].Minus))
	}
	return ask.AnyOf(any)
}

// sound is where no supply of the circuits that some nodes lie in is shorted or fights
// another. What runs or has no volts otherwise follows from that, and it has a finding of
// its own.
func (v *view) sound(at ...model.NodeID) system.Condition { return ask.Sound(v.p, at...) }

// closed is where an element conducts as far as its own condition goes.
func (v *view) closed(e model.ElementID) system.Condition { return system.On(v.d.Elements[e].Closed) }

// can asks whether a condition holds in some reachable state at nominal values, and for
// the way there. What can't be decided is said about subject.
func (v *view) can(subject *model.Info, c system.Condition) (*system.Trace, ask.Answer) {
	var got system.Verdict
	v.within(func() {
		var err error
		got, err = v.s.PossibleHere(v.p.Ctx, c)
		v.spent()
		v.p.StopOn(err)
	})
	return ask.Reached(v.p, ask.Subject{Place: subject.Place, Path: subject.Path}, got)
}

// never asks whether a condition holds in no reachable state, whatever the tolerances.
func (v *view) never(subject *model.Info, c system.Condition) ask.Answer {
	return ask.Never(v.p, v.s, ask.Subject{Place: subject.Place, Path: subject.Path}, c)
}

// highest is the most volts of any supply.
func (v *view) highest() float64 {
	most := 0.0
	for i := range v.d.Supplies {
		most = math.Max(most, v.d.Elements[v.d.Supplies[i].Element].Volts.Nominal)
	}
	return most
}

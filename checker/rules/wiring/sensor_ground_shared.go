package wiring

import (
	"fmt"
	"math"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/unit"
)

func sensorGroundShared() rule.Rule {
	return rule.Rule{
		Name:     "sensor-ground-shared",
		Severity: diag.Warning,
		Summary:  "the return wire of a sensor or input also carries the current of a load",
		Why:      "while the load runs, the reading is wrong by the volts lost in that wire",
		Doc:      pages.Of("sensor-ground-shared"),
		Source:   "common practice, no source: less than 0.1 V at a ground connection",
		Needs:    rule.States,
		Run:      findSharedGrounds,
	}
}

func findSharedGrounds(p *rule.Pass) {
	v := look(p)
	told := map[string]bool{}
	for i := range v.d.Readings {
		r := &v.d.Readings[i]
		if !r.Broken && !r.Sender && !v.d.Nodes[r.Pin].Broken {
			v.sharedByInput(r, told)
		}
	}
	for i := range v.d.Senders {
		s := &v.d.Senders[i]
		if !s.Broken && s.Info.Fit != model.None && !v.d.Elsewhere(&s.Info) {
			v.sharedBySender(s, told)
		}
	}
}

// sharedByInput looks at an input that reads volts while its pin is joined to ground:
// what it then reads is what others lose in its return, or in the box's own.
func (v *view) sharedByInput(r *model.Reading, told map[string]bool) {
	k := &v.d.Controllers[r.Controller]
	if k.Broken || v.d.Ground == model.None {
		return
	}
	m := ask.VoltsAcross(r.Pin, k.Minus)
	also := system.All(v.sound(r.Pin, k.Minus), ask.Joined(r.Pin, v.d.Ground), ask.Joined(k.Minus, v.d.Ground))
	v.sharedByResistors(r, told)
	got, ok := v.worst(v.at(circuit.Nominal), &r.Info, m, v.p.Limits.SensorGround, also)
	if ok != ask.Yes {
		return
	}
	lines := []diag.Line{
		evidence.Line(&r.Info, "%s reads %s where it would read next to nothing", r.Path, got.most()),
		evidence.Line(&r.Info, "it reads low below %s and high above %s", r.LowBelow, r.HighAbove),
	}
	if left := r.LowBelow.Float64() - got.value; left > 0 {
		lines = append(lines, evidence.Line(&r.Info, "%s are left", evidence.Volts(left)))
	}
	for _, from := range []model.NodeID{r.Pin, k.Minus} {
		v.sharedWire(got, from, v.inside(got, from), r.Path, "the return of "+r.Path, lines, told)
	}
}

// sharedByResistors looks at the far ends of resistors that an input reads, as those of a
// sender that is a resistance: while such an end is joined to ground it should stand where the
// box has its own.
func (v *view) sharedByResistors(r *model.Reading, told map[string]bool) {
	k := &v.d.Controllers[r.Controller]
	net := netsOf(v.d, v.canConduct)
	for i := range v.d.Elements {
		e := &v.d.Elements[i]
		if e.Type != model.ElemResistor || e.Broken || (net(e.A) == net(r.Pin)) == (net(e.B) == net(r.Pin)) {
			continue
		}
		n := e.B
		if net(e.B) == net(r.Pin) {
			n = e.A
		}
		// What leads to a feed, or is a ground itself, is no return.
		if n == v.d.Ground || n == k.Minus || n == k.Plus {
			continue
		}
		also := system.All(v.sound(n, k.Minus), ask.Joined(n, v.d.Ground), ask.Joined(k.Minus, v.d.Ground))
		got, ok := v.worst(v.at(circuit.Nominal), &r.Info, ask.VoltsAcross(n, k.Minus), v.p.Limits.SensorGround, also)
		if ok != ask.Yes {
			continue
		}
		lines := []diag.Line{evidence.Line(&e.Info, "%s, which %s reads, ends %s away from %s", e.Path, r.Path, got.most(), v.d.Nodes[k.Minus].Path)}
		v.sharedWire(got, n, math.Abs(got.Amps(model.ElementID(i))), e.Path, "the return of "+e.Path, lines, told)
		v.sharedWire(got, k.Minus, v.inside(got, k.Minus), r.Path, "the earth of "+k.Path, lines, told)
	}
}

// inside is the current that a body itself sends through one of its pins, in A: what other
// wires bring to that pin is none of it.
func (v *view) inside(at *peak, n model.NodeID) float64 {
	sum := 0.0
	for _, id := range bounds.Of(v.p).at[n] {
		e := &v.d.Elements[id]
		if e.Type == model.ElemWire || e.Info.Fit != v.d.Nodes[n].Info.Fit || e.Info.Fit == model.None {
			continue
		}
		if amps := at.Amps(id); e.B == n {
			sum += amps
		} else {
			sum -= amps
		}
	}
	return math.Abs(sum)
}

// sharedBySender looks at the pins of a sender's body that do nothing but lead to ground. Where
// it has none, and one pin only that leads there, through which a load of the same body has its
// earth, that is the return of the sender too.
func (v *view) sharedBySender(s *model.Sender, told map[string]bool) {
	if v.d.Ground == model.None {
		return
	}
	var own, used []model.NodeID
	held := heldTogether(v.d)
	for i := range v.d.Nodes {
		n := model.NodeID(i)
		if v.d.Nodes[i].Info.Fit != s.Info.Fit || !v.d.Nodes[i].IsPin || n == s.Pin {
			continue
		}
		if !v.usedInside(n) {
			own = append(own, n)
		} else if held(n) == held(v.d.Ground) {
			used = append(used, n)
		}
	}
	returns := func(n model.NodeID, itself func(*peak) float64) {
		m := ask.VoltsAcross(n, v.d.Ground)
		got, ok := v.worst(v.at(circuit.Nominal), &s.Info, m, v.p.Limits.SensorGround, system.All(v.sound(n), ask.Joined(n, v.d.Ground)))
		if ok == ask.Yes {
			v.sharedWire(got, n, itself(got), s.Path, "the return of "+s.Path,
				[]diag.Line{evidence.Line(&s.Info, "%s stands %s above ground", v.d.Nodes[n].Path, got.most())}, told)
		}
	}
	for _, n := range own {
		returns(n, func(got *peak) float64 { return v.inside(got, n) })
	}
	if len(own) == 0 && len(used) == 1 {
		returns(used[0], func(*peak) float64 { return 0 }) // a sender takes next to nothing
	}
}

// usedInside reports whether something of its own body ends at a pin, other than a resistor: that
// of a sender is a part of it.
func (v *view) usedInside(n model.NodeID) bool {
	for _, id := range bounds.Of(v.p).at[n] {
		if e := &v.d.Elements[id]; e.Type != model.ElemWire && e.Type != model.ElemResistor && e.Info.Fit == v.d.Nodes[n].Info.Fit {
			return true
		}
	}
	return false
}

// joins is the share of a wire's current that has to have come in on the way for the
// wire to count as shared.
const joins = 0.1

// sharedWire reports the wire of the way from a node to ground in which currents that
// came in on the way, other than its own in A, lose the most.
func (v *view) sharedWire(got *peak, from model.NodeID, own float64, subject, what string, lines []diag.Line, told map[string]bool) {
	way, ok := got.MetalPath(from, v.d.Ground)
	if !ok || len(way) == 0 {
		return
	}
	worst, most := model.ElementID(model.None), 0.0
	for _, id := range way {
		e := &v.d.Elements[id]
		foreign := math.Abs(got.Amps(id)) - own
		if e.Type != model.ElemWire || foreign < joins*math.Abs(got.Amps(id)) {
			continue
		}
		if lost := foreign * e.Ohm.Nominal; lost > most {
			worst, most = id, lost
		}
	}
	if worst == model.None || most < v.p.Limits.SensorGround/2 {
		return
	}
	w := &v.d.Elements[worst]
	if told[w.Path] {
		return
	}
	told[w.Path] = true
	if math.Abs(math.Abs(got.Amps(way[0]))-own) <= hair*own { // nothing has come in yet
		lines = append(lines, evidence.Line(&v.d.Elements[way[0]].Info, "%s carries %s, what is its own", v.d.Elements[way[0]].Path, got.Through(way[0])))
	}
	lines = append(lines, evidence.Line(&w.Info, "of these, %s loses %s with %s", w.Path, got.Across(worst), got.Through(worst)))
	v.p.Report(diag.Finding{
		Place:   evidence.Site(v.d, &w.Info),
		Subject: w.Path,
		Message: fmt.Sprintf("%s carries %s in %s, %s of it for other things: the reading is off by %s",
			w.Path, got.Through(worst), what, unit.Format(math.Abs(got.Amps(worst))-own, unit.Current), got.most()),
		Numbers: evidence.Numbers(got.Through(worst), got.most()),
		Help:    fmt.Sprintf("give %s a wire of its own to the ground pin of the box", subject),
		Evidence: append([]diag.Evidence{evidence.Values("what that makes of the reading", lines...)},
			evidence.Moves("how it comes about", got.trace)...),
	})
}

package wiring

import (
	"fmt"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func driverUnpowered() rule.Rule {
	return rule.Rule{
		Name:       "driver-unpowered",
		Severity:   diag.Error,
		Summary:    "a driver that should act only while its controller has no power, or a controller that never has the volts it needs",
		Why:        "the output never does what its condition says, and everything behind it stays dead",
		Doc:        pages.Of("driver-unpowered"),
		Needs:      rule.States,
		Everywhere: true,
		Run:        findUnpowered,
	}
}

func findUnpowered(p *rule.Pass) {
	v := look(p)
	s := v.at(circuit.Nominal)
	powered := map[model.ControllerID]ask.Answer{}
	for i := range v.d.Controllers {
		k := &v.d.Controllers[i]
		id := model.ControllerID(i)
		if k.Broken || consequence.Restless(p, system.InState(k.Powered, 1)) {
			continue // of a box that never settles nothing is known for good
		}
		_, powered[id] = v.can(s, &k.Info, system.InState(k.Powered, 1))
		switch powered[id] {
		case ask.Yes:
			p.Clear(k.Path)
		case ask.No:
			v.neverPowered(s, k)
		}
	}
	for i := range v.d.Drivers {
		k := &v.d.Drivers[i]
		if k.Broken || powered[k.Controller] != ask.Yes || !k.When.Known() || consequence.Restless(p, system.On(k.When)) {
			continue
		}
		on := system.InState(v.d.Controllers[k.Controller].Powered, 1)
		trace, ok := v.can(s, &k.Info, system.On(k.When))
		if ok != ask.Yes {
			p.Clear(k.Path) // whether it can be meant to act at all is another matter
			continue
		}
		if _, both := v.can(s, &k.Info, system.All(system.On(k.When), on)); both != ask.No {
			p.Clear(k.Path)
			continue
		}
		if consequence.Deaf(p, k.When, k.Controller) {
			continue // of the input that never reads what it waits for it is said
		}
		// What watches something acts when that fails: a bulb open, a fuse, a contact that stays
		// open, a sender silent. Where that is too much to try it is not said.
		if with, sure := consequence.WithFault(p, system.All(system.On(k.When), on), consequence.Faults(p, model.None, false, false)); with || !sure {
			p.Clear(k.Path)
			continue
		}
		box := &v.d.Controllers[k.Controller]
		p.Report(diag.Finding{
			Place:    evidence.Site(v.d, &k.Info),
			Subject:  k.Path,
			Message:  fmt.Sprintf("%s should act only while %s has no power", k.Path, box.Path),
			Help:     fmt.Sprintf("feed %s from where it is live at that time too, or let the driver act at another", box.Path),
			Related:  []diag.Related{{Place: box.Place, Note: "its power"}},
			Evidence: evidence.Moves("how its condition comes true", trace),
		})
	}
}

// neverPowered reports a box that has feed and return at the same time, but never the
// volts. That it has none of them at once is said by others.
func (v *view) neverPowered(s *system.System, k *model.Controller) {
	if _, ok := v.can(s, &k.Info, system.All(ask.Live(k.Plus), ask.Grounded(k.Minus))); ok != ask.Yes {
		return
	}
	got, ok := v.worst(s, &k.Info, ask.Volts(k.Plus, k.Minus), 0, system.On(nil))
	if ok != ask.Yes {
		return
	}
	reached, err := v.p.System().Never(v.p.Ctx, system.InState(k.Powered, 1))
	v.p.StopOn(err)
	most, told := got.most(), any(got.most())
	gets := "never gets more than " + most.Text
	if wants := evidence.Volts(k.WorksFrom.Float64()); most.Text == wants { // as far as it is written out
		short := evidence.Volts(k.WorksFrom.Float64() - got.value)
		told, gets = wants+" less "+short, fmt.Sprintf("is always at least %s short of that", short)
	}
	f := diag.Finding{
		Place:   evidence.Site(v.d, &k.Info),
		Subject: k.Path,
		Message: fmt.Sprintf("%s works from %s and %s", k.Path, k.WorksFrom, gets),
		Numbers: evidence.Numbers(told),
		Help:    "feed it from a supply with enough volts, with no load or resistor in series",
		Evidence: append([]diag.Evidence{evidence.Values("what it gets",
			evidence.Line(&k.Info, "%s over %s: %s", v.d.Nodes[k.Plus].Path, v.d.Nodes[k.Minus].Path, told))},
			evidence.Moves("how it comes about", got.trace)...),
	}
	f.Related = evidence.Feeding(v.d, v.c, k.Plus, k.Minus)
	f.Related = append([]diag.Related{{Place: k.Place, Note: "its power"}}, f.Related...)
	if reached.Outcome == system.HoldsNominally {
		f.Message += fmt.Sprintf(" at nominal values; it has enough with %s", reached.Corner)
		f.Evidence = append(f.Evidence, evidence.Moves("how it comes about with "+reached.Corner, reached.Trace)...)
	}
	v.p.Report(f)
}

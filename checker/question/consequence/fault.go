package consequence

import (
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// mostFaults bounds how many single faults are tried for all of a design together; each
// makes its states anew.
const mostFaults = 300

var tried = rule.Share(func(*rule.Pass) *int { return new(int) })

// WithFault reports whether a condition comes true with one of some single faults: a
// tell-tale that shows a blown lamp is dark while nothing is wrong. It is not sure where
// that would be too much work.
func WithFault(p *rule.Pass, c system.Condition, faults []model.FaultAction) (comes, sure bool) {
	return withFault(p, faults, func(s *system.System) (system.Verdict, error) { return s.PossibleHere(p.Ctx, c) })
}

// AtStepWithFault asks that of the states that the machines read at their step.
func AtStepWithFault(p *rule.Pass, c system.Condition, faults []model.FaultAction) (comes, sure bool) {
	return withFault(p, faults, func(s *system.System) (system.Verdict, error) { return s.PossibleAtStep(p.Ctx, c) })
}

func withFault(p *rule.Pass, faults []model.FaultAction, ask func(*system.System) (system.Verdict, error)) (comes, sure bool) {
	for _, f := range faults {
		if *tried.Of(p)++; *tried.Of(p) > mostFaults {
			return false, false
		}
		other, err := system.Build(p.Ctx, p.Design, system.Options{
			Faults: circuit.Overlay{f}, MaxNodes: p.Limits.Nodes, MaxZones: p.Limits.Zones, Memo: p.Memo,
		})
		p.StopOn(err)
		got, err := ask(other)
		p.StopOn(err)
		p.LimitMet(other.LimitMet())
		// What only flutters, as with a box that the fault takes the power from again and
		// again, is not what something is there for.
		if got.Outcome != system.Fails && got.Unsettled == nil && got.Round == nil {
			return true, true
		}
	}
	return false, true
}

// Faults are the single faults that something may be there to tell of, other than those of
// one element itself: what consumes or protects opens, contacts stay open, senders fall
// silent, where something may have to trip a load is shorted, and where it may watch a
// contact that welds. A wire that opens does what the load or winding behind it does.
func Faults(p *rule.Pass, but model.ElementID, trips, watches bool) []model.FaultAction {
	d := p.Design
	var out []model.FaultAction
	add := func(id model.ElementID, mode model.FaultMode) {
		i := &d.Elements[id]
		out = append(out, model.FaultAction{
			Thing: model.Thing{Kind: model.ThingElement, Index: int(id), Path: i.Path}, Mode: mode, Place: i.Place,
		})
	}
	for i := range d.Elements {
		e, id := &d.Elements[i], model.ElementID(i)
		switch {
		case e.Broken, id == but:
		case e.Type == model.ElemLoad, e.Type == model.ElemCoil, e.Type == model.ElemFuse, e.Type == model.ElemResistor && watches:
			add(id, model.FaultOpen)
			if e.Type == model.ElemLoad && trips {
				add(id, model.FaultShorted)
			}
		case e.Type == model.ElemContact:
			if _, switched, _ := p.Circuit().SwitchOf(id); switched {
				add(id, model.FaultStuckOpen)
				if watches {
					add(id, model.FaultStuckMade)
				}
			}
		}
	}
	for i := range d.Senders {
		k := &d.Senders[i]
		out = append(out, model.FaultAction{
			Thing: model.Thing{Kind: model.ThingSender, Index: i, Path: k.Path}, Mode: model.FaultSilent, Place: k.Place,
		})
	}
	return out
}

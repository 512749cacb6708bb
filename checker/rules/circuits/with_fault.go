package circuits

import (
	"pintle/checker/circuit"
	"pintle/checker/system"
	"pintle/lang/model"
)

// mostFaults bounds how many single faults are tried for all consumers of a design
// together; each makes the states of the design anew.
const mostFaults = 300

// unlessFaulty takes a lack of switching back where a single fault would make the
// consumer act: a tell-tale that shows a blown lamp is dark while nothing is wrong.
func (s *starvation) unlessFaulty(c *consumer, l lack) starved {
	if l != neverOn && l != apartInTime {
		return starved{consumer: c, lack: l}
	}
	for _, f := range s.faults(c) {
		if s.tried++; s.tried > mostFaults {
			return starved{consumer: c} // not sure, and not worth more work
		}
		other, err := system.Build(s.p.Ctx, s.d, system.Options{Faults: circuit.Overlay{f}, MaxNodes: s.p.Limits.Nodes, MaxZones: s.p.Limits.Zones})
		s.p.StopOn(err)
		got, err := other.PossibleHere(s.p.Ctx, s.works(c))
		s.p.StopOn(err)
		if got.Outcome != system.Fails {
			return starved{consumer: c, lack: nothing}
		}
	}
	return starved{consumer: c, lack: l}
}

// faults are the single faults that are tried for a consumer: what else consumes or
// protects opens, contacts stay open, senders fall silent, and for a winding, which may be
// there to trip, a load is shorted. A wire that opens does what the load or winding behind
// it does, and a contact that welds makes anything run that it switches.
func (s *starvation) faults(c *consumer) []model.FaultAction {
	var out []model.FaultAction
	for i := range s.d.Elements {
		e := &s.d.Elements[i]
		switch {
		case e.Broken, model.ElementID(i) == c.element:
		case e.Type == model.ElemLoad, e.Type == model.ElemCoil, e.Type == model.ElemFuse:
			out = append(out, s.broken(model.ElementID(i)))
			if e.Type == model.ElemLoad && c.part != helps {
				out = append(out, s.bridged(model.ElementID(i)))
			}
		case e.Type == model.ElemContact && s.switched(model.ElementID(i)):
			out = append(out, s.fault(model.ElementID(i), model.FaultStuckBroken))
		}
	}
	for i := range s.d.Senders {
		k := &s.d.Senders[i]
		out = append(out, model.FaultAction{
			Thing: model.Thing{Kind: model.ThingSender, Index: i, Path: k.Path}, Mode: model.FaultSilent, Place: k.Place,
		})
	}
	return out
}

package scenario

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// protect lets the fuse open that opens first in a state, if one does, and reports whether
// one did: a fuse is quicker than whatever else would follow the fall of the volts. From
// then on it is as if it had been made to fail: it stays open until it is mended. Where
// several may be the first, the one with the highest multiple of its rating is. Of what is
// not known in all ways in which unknown switches may stand nothing opens.
func (p *plant) protect(m *moment, s *State, note func(Event)) (bool, error) {
	if !p.fused {
		return false, nil
	}
	all, ok := m.solutions()
	if !ok {
		return false, m.err
	}
	fuse := -1
	for i, sol := range all {
		first := circuit.FirstToOpen(sol.FuseLoads())
		if len(first) == 0 || i > 0 && first[0].Fuse != fuse {
			return false, nil
		}
		fuse = first[0].Fuse
	}
	f := &p.design.Fuses[fuse]
	if p.isUnread(f.Element) {
		return false, nil
	}
	tell(note, Event{At: s.At, Kind: EventFuse, Index: fuse, To: 1, Text: f.Path + " blows"})
	blown := model.FaultAction{
		Thing: model.Thing{Kind: model.ThingElement, Index: int(f.Element), Path: f.Path}, Mode: model.FaultBlown, Place: f.Place,
	}
	return true, p.fail(append(slices.Clone(p.faults), blown), s)
}

// isFused reports whether a design has a fuse of which it is known when it opens.
func isFused(d *model.Design) bool {
	return slices.ContainsFunc(d.Fuses, func(f model.Fuse) bool { return !f.Broken && f.Element != model.None && f.Rating > 0 })
}

// isUnread reports whether something that could not be read may belong to the circuit of an
// element.
func (p *plant) isUnread(id model.ElementID) bool {
	e := p.circuit.Element(id)
	for _, n := range [...]model.NodeID{e.A, e.B} {
		if i, ok := p.circuit.IslandOf(n); ok && p.unread.In([]circuit.IslandID{i}) {
			return true
		}
	}
	return false
}

package scenario

import (
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/lang/model"
)

// protect lets the fuse open that opens first in a state at rest, if one does, and reports
// whether one did; with short, in any state, but only for a short that a fault makes: what
// the fall of the volts would lead to in that moment is left out. From then on the fuse is as
// if it had been made to fail: it stays open until it is mended. Where several may be the
// first, the one with the highest multiple of its rating is. Of what is not known in all ways
// in which unknown switches may stand nothing opens.
func (p *plant) protect(m *moment, s *State, short bool, note func(Event)) (bool, error) {
	if !p.fused || short && p.joined == nil {
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
	if short {
		for _, sol := range all {
			if !sol.ShortedBy(p.joined) {
				return false, nil
			}
		}
	}
	tell(note, Event{At: s.At, Kind: EventFuse, Index: fuse, To: 1, Text: f.Path + " blows"})
	blown := model.FaultAction{
		Thing: model.Thing{Kind: model.ThingElement, Index: int(f.Element), Path: f.Path}, Mode: model.FaultBlown, Place: f.Place,
	}
	return true, p.fail(append(slices.Clone(p.faults), blown), s)
}

// joinedBy lists the elements of a circuit that conduct where they would not without its
// faults: what a fault adds, shorts, holds closed or ties elsewhere.
func joinedBy(d *model.Design, c *circuit.Circuit, faults circuit.Overlay) []model.ElementID {
	var out []model.ElementID
	shorted := map[model.ElementID]bool{}
	for _, a := range faults.Standing() {
		if a.Thing.Kind == model.ThingElement && a.Mode == model.FaultShorted {
			shorted[model.ElementID(a.Thing.Index)] = true
		}
	}
	for i := range c.Elements() {
		id := model.ElementID(i)
		if i >= len(d.Elements) || shorted[id] {
			out = append(out, id)
			continue
		}
		was, is := &d.Elements[i], c.Element(id)
		_, _, always := c.SwitchOf(id)
		if was.A != is.A || was.B != is.B || was.Closed != nil && always {
			out = append(out, id)
		}
	}
	return out
}

// rests reports whether no mode would go on in a state at rest, but for transitions on the begin or
// end of something: those are over in a moment.
func (m *moment) rests() bool {
	for i := range m.design.Machines {
		level := withoutEdges(&m.design.Machines[i])
		if m.transition(&level, m.s.Machines[i]) != m.s.Machines[i] {
			return false
		}
	}
	return true
}

// withoutEdges is a machine without its transitions on the begin or end of something.
func withoutEdges(mc *model.Machine) model.Machine {
	level := *mc
	level.Transitions = slices.DeleteFunc(slices.Clone(mc.Transitions), func(t model.Transition) bool {
		edge := false
		t.When.Atoms(func(c *model.Cond) { edge = edge || c.Atom.Kind == model.AtomEdge })
		return edge
	})
	return level
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

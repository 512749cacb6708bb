package scenario

import (
	"slices"

	"pintle/lang/diag"
)

// ordered makes that of the excited parts change which comes first in the order that is asked
// for, or, with before, in that part of it that comes before a fuse opens; false where none of
// them is in it.
func (p *plant) ordered(m *moment, before bool) (Event, bool) {
	order := p.order
	if before {
		fuse := slices.IndexFunc(order, func(v diag.Event) bool { return v.Kind == diag.OfFuse })
		order = order[:max(fuse, 0)]
	}
	for _, v := range order {
		k := m.s.part(v)
		if k < 0 {
			continue
		}
		next := m.s.Clone()
		there := p.moment(m.ctx, &next)
		event, changed := there.turn(k)
		if there.err != nil {
			m.err = there.err
			return Event{}, false
		}
		if changed && event.To == v.To {
			*m.s = next
			return event, true
		}
	}
	return Event{}, false
}

// fuseIsNext reports whether, of what is asked for, a fuse opens before any mode changes: one that
// has nothing to do with the fuse.
func (p *plant) fuseIsNext() bool {
	i := slices.IndexFunc(p.order, func(v diag.Event) bool { return v.Kind == diag.OfFuse || v.Kind == diag.OfMachine })
	return i >= 0 && p.order[i].Kind == diag.OfFuse
}

// part is the number that follow gives to what an event tells of; -1: none.
func (s *State) part(v diag.Event) int {
	switch {
	case v.Kind == diag.OfMemory && v.Index < len(s.Memories):
		return v.Index
	case v.Kind == diag.OfMachine && v.Index < len(s.Machines):
		return len(s.Memories) + v.Index
	case v.Kind == diag.OfTimer && v.Index < len(s.Clocks):
		return len(s.Memories) + len(s.Machines) + v.Index
	}
	return -1
}

// happened takes what has happened out of the order that is asked for.
func (p *plant) happened(e Event) {
	kind, ok := map[EventKind]diag.ThingKind{EventMemory: diag.OfMemory, EventMachine: diag.OfMachine, EventTimer: diag.OfTimer, EventFuse: diag.OfFuse}[e.Kind]
	if !ok {
		return
	}
	if i := slices.Index(p.order, diag.Event{Kind: kind, Index: e.Index, To: e.To}); i >= 0 {
		p.order = slices.Delete(p.order, i, i+1)
	}
}

package circuits

import (
	"slices"

	"pintle/checker/question/consequence"
	"pintle/lang/model"
)

// unlessFaulty takes a lack of switching back where a single fault would make the
// consumer act, and the design shows that it is there for that; or where that is too much
// work to tell.
func (s *starvation) unlessFaulty(c *consumer, l lack) starved {
	if l != neverOn && l != apartInTime {
		return starved{consumer: c, lack: l}
	}
	if !s.meant(c) {
		return starved{consumer: c, lack: l}
	}
	// A contact that welds makes anything run that it switches: one on the consumer's own way
	// shows nothing.
	faults := slices.DeleteFunc(consequence.Faults(s.p, c.element, c.part != helps, true), func(f model.FaultAction) bool {
		return f.Mode == model.FaultStuckMade && c.element != model.None && slices.Contains(consequence.OwnWays(s.p, c.element), model.ElementID(f.Thing.Index))
	})
	switch acts, sure := consequence.WithFault(s.p, s.works(c), faults); {
	case !sure:
		return starved{consumer: c}
	case acts:
		return starved{consumer: c, lack: nothing}
	}
	return starved{consumer: c, lack: l}
}

// meant reports whether the design shows that a consumer that never acts is there for a fault.
// Of what lies inside a part, or is known from the outside only, the rest of it may.
func (s *starvation) meant(c *consumer) bool {
	switch {
	case s.d.Elsewhere(c.Info):
		return true
	case c.memory != model.None && consequence.MemoryMeant(s.p, c.memory):
		// One in series with others senses their current.
		return c.element == model.None || consequence.OwnWays(s.p, c.element) != nil || s.sometimes(s.feelsAny(c))
	case c.element == model.None:
		return false
	}
	return consequence.ElementMeant(s.p, c.element)
}

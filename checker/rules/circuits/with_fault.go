package circuits

import "pintle/checker/cause"

// unlessFaulty takes a lack of switching back where a single fault would make the
// consumer act, or where that is too much work to tell.
func (s *starvation) unlessFaulty(c *consumer, l lack) starved {
	if l != neverOn && l != apartInTime {
		return starved{consumer: c, lack: l}
	}
	// A contact that welds makes anything run that it switches.
	switch acts, sure := cause.WithFault(s.p, s.works(c), cause.Faults(s.p, c.element, c.part != helps, false)); {
	case !sure:
		return starved{consumer: c}
	case acts:
		return starved{consumer: c, lack: nothing}
	}
	return starved{consumer: c, lack: l}
}

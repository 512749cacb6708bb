package ask

import (
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// Peak is a reachable state in which a measure stands high, with the moves that lead to it
// where these are known.
type Peak struct {
	*system.Peak
	Trace *system.Trace
}

// Climb looks for a state in which a measure stands high, among the reachable states of a
// system in which a condition holds: from the state where a trace ends, or without one from
// those in which as much is closed as can be. It is nil where there is no such state, or where
// something that decides could not be read. That nothing stands higher is not proved; see
// [Over].
func Climb(p *rule.Pass, s *system.System, m model.Measure, also system.Condition, t *system.Trace) *Peak {
	x, err := s.Search(p.Ctx, m, also)
	p.StopOn(err)
	best, err := x.Climb(p.Ctx, t)
	p.StopOn(err)
	return peak(best, nil)
}

// At is the state where a trace ends, with what a measure is there.
func At(p *rule.Pass, s *system.System, m model.Measure, also system.Condition, t *system.Trace) *Peak {
	x, err := s.Search(p.Ctx, m, also)
	p.StopOn(err)
	best, err := x.At(p.Ctx, t)
	p.StopOn(err)
	return peak(best, t)
}

func peak(p *system.Peak, t *system.Trace) *Peak {
	if p == nil {
		return nil
	}
	return &Peak{p, t}
}

// Over looks over all reachable states of a system for one in which a measure exceeds a level
// and a condition holds. That nothing exceeds the level is always proved; the state that it
// gives is the highest that it came to. What can't be decided is said of the subject.
func Over(p *rule.Pass, s *system.System, of Subject, m model.Measure, level float64, also system.Condition) (*Peak, Answer) {
	// Where the bounds of the circuit tell, that is the cheapest of all.
	over := system.All(Above(m, level), also)
	got, err := s.PossibleHere(p.Ctx, over)
	p.StopOn(err)
	if got.Outcome == system.Fails {
		return nil, No
	}
	higher := func(from *system.Trace) *Peak {
		best := Climb(p, s, m, also, from)
		if best == nil || best.Value <= level {
			return nil
		}
		t, ok := Can(p, s, of, system.All(system.Literal(best.When), also))
		if ok != Yes {
			return nil
		}
		best.Trace = t
		return best
	}
	if best := higher(nil); best != nil {
		return best, Yes
	}
	t, ok := Can(p, s, of, over)
	if ok != Yes {
		return nil, ok
	}
	if best := higher(t); best != nil {
		return best, Yes
	}
	if best := At(p, s, m, also, t); best != nil {
		return best, Yes
	}
	return nil, Unknown
}

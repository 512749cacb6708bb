package ask

import (
	"pintle/checker/engine/circuit"
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
	best, err := x.Ascend(p.Ctx, t)
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
	return OverAmong(p, s, of, m, level, Among{Where: also, Such: system.On(nil)})
}

// Among says in which states a peak is looked for: where both conditions hold. Such asks the
// circuit for measures, and Reads tells from one solution whether it holds there, which costs
// next to nothing; nil stands for always.
type Among struct {
	Where, Such system.Condition
	Reads       func(*circuit.Solution) bool
}

// OverAmong is Over where the condition speaks of measures.
func OverAmong(p *rule.Pass, s *system.System, of Subject, m model.Measure, level float64, in Among) (*Peak, Answer) {
	// Where the bounds of the circuit tell, that is the cheapest of all. Where they don't, one
	// state that shows it is found by a few solutions; to decide where in all states the level is
	// exceeded costs hundreds, so that comes last.
	quick, err := s.Quick(p.Ctx, Compared(m, model.Above, level))
	p.StopOn(err)
	if !quick {
		if best := higher(p, s, of, m, level, in, nil); best != nil {
			return best, Yes
		}
	}
	t, ok := Can(p, s, of, system.All(Above(m, level), in.Where, in.Such))
	if ok != Yes {
		return nil, ok
	}
	if quick {
		if best := higher(p, s, of, m, level, in, nil); best != nil {
			return best, Yes
		}
	}
	if best := higher(p, s, of, m, level, in, t); best != nil {
		return best, Yes
	}
	if best := At(p, s, m, in.Where, t); best != nil {
		return best, Yes
	}
	return nil, Unknown
}

// higher climbs to a state above a level, with the moves that lead there; nil where it finds
// none.
func higher(p *rule.Pass, s *system.System, of Subject, m model.Measure, level float64, in Among, from *system.Trace) *Peak {
	x, err := s.Search(p.Ctx, m, in.Where)
	p.StopOn(err)
	x = x.Such(in.Reads)
	best, err := x.Ascend(p.Ctx, from)
	p.StopOn(err)
	if best == nil || best.Value <= level {
		return nil
	}
	if plain := plainer(p, s, m, in, x, best); plain != nil {
		return plain
	}
	t, ok := Can(p, s, of, system.All(system.Literal(best.When), in.Where))
	if ok != Yes {
		return nil
	}
	return peak(best, t)
}

// plainer is a state in which a measure stands as high as at a peak, reached without moves that
// have no say in it; nil where none is found.
func plainer(p *rule.Pass, s *system.System, m model.Measure, in Among, x *system.Search, top *system.Peak) *Peak {
	matters, err := x.Matters(p.Ctx, top)
	p.StopOn(err)
	got, err := s.PossibleHere(p.Ctx, system.All(system.Literal(matters), in.Where))
	p.StopOn(err)
	if got.Outcome != system.Holds || got.Trace == nil {
		return nil
	}
	if x, err = s.Search(p.Ctx, m, in.Where); err == nil {
		top, err = x.Such(in.Reads).NoLower(p.Ctx, got.Trace, top)
	}
	p.StopOn(err)
	return peak(top, got.Trace)
}

package ask

import (
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/diag"
)

// Answer to a question that may stay open.
type Answer uint8

// The answers.
const (
	Unknown Answer = iota // something could not be read, or the search met a limit
	No
	Yes
)

// Subject is what an answer that is not found is said about.
type Subject struct {
	Place diag.Place
	Path  string
}

// Can asks whether a condition holds in some reachable state of a system, with every open
// value as in its corner, and for the shortest way there. What can't be decided is said of the
// subject.
func Can(p *rule.Pass, s *system.System, of Subject, c system.Condition) (*system.Trace, Answer) {
	got, err := s.PossibleHere(p.Ctx, c)
	p.StopOn(err)
	return Reached(p, of, got)
}

// Reached is a verdict on what is possible as an answer, with the way there.
func Reached(p *rule.Pass, of Subject, v system.Verdict) (*system.Trace, Answer) {
	is := whether(p, of, v)
	if is != Yes {
		return nil, is
	}
	return v.Trace, is
}

// Never asks whether a condition holds in no reachable state, whatever the tolerances.
func Never(p *rule.Pass, s *system.System, of Subject, c system.Condition) Answer {
	got, err := s.Never(p.Ctx, c)
	p.StopOn(err)
	if got.Outcome == system.HoldsNominally {
		return No
	}
	return whether(p, of, got)
}

// whether is a verdict as an answer.
func whether(p *rule.Pass, of Subject, v system.Verdict) Answer {
	switch v.Outcome {
	case system.Holds, system.HoldsNominally:
		return Yes
	case system.Fails:
		return No
	case system.Undecided:
		p.UndecidedBy(of.Place, of.Path, v)
	}
	return Unknown
}

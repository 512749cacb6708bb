package ask

import (
	"pintle/checker/engine/system"
	"pintle/checker/rule"
)

// Circumstances are the condition under which something is so, over all reachable states.
type Circumstances struct {
	// Text is the simplest condition in the design's words, at nominal values: "key is run and
	// fast"; "never" and "always". It is empty where none is short enough to be worth reading,
	// where something could not be read, or where something that it depends on never settles.
	Text string
	// Proved is set of "never" and "always" that hold whatever the tolerances.
	Proved bool
	// Corner is where "never" or "always" does not hold, in words; empty: none is known.
	Corner string
}

// Simplify gives the condition under which c holds, among the reachable states in which
// another condition does.
func Simplify(p *rule.Pass, s *system.System, c, among system.Condition) Circumstances {
	text, err := s.WhenAmong(p.Ctx, c, among)
	p.StopOn(err)
	out := Circumstances{Text: text}
	var v system.Verdict
	switch text {
	default:
		return out
	case "never":
		v, err = s.Never(p.Ctx, system.All(c, among))
	case "always":
		v, err = s.Whenever(p.Ctx, c, among)
	}
	p.StopOn(err)
	switch v.Outcome {
	case system.HoldsNominally:
		out.Corner = v.Corner
	case system.Holds:
		out.Proved = !v.NominalOnly
	}
	return out
}

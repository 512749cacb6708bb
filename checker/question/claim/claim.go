// Package claim says what is true of what a design claims: of its requirements and of the
// claims of its bands. It is the one answer that findings, the summary of a check and the
// editor give.
package claim

import (
	"pintle/checker/engine/fault"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// Standing is how a claim stands.
type Standing uint8

// The standings.
const (
	// Unread: it, or something that it depends on, could not be read; that has its finding.
	Unread Standing = iota
	// Undecided: Why says what stood in the way.
	Undecided
	// Proved: it holds in every reachable state, whatever the tolerances.
	Proved
	// Vacuous: it holds only because what it speaks of never occurs.
	Vacuous
	// Nominal: it holds at nominal values, not in the corner of Verdict.
	Nominal
	// Failed: it does not hold at nominal values, or not with some single fault.
	Failed
)

// Answer is what is true of one claim.
type Answer struct {
	Standing Standing
	Verdict  system.Verdict
	Why      string // of Undecided
}

var answers = rule.Share(func(*rule.Pass) map[int]Answer { return map[int]Answer{} })

// Requirement is the answer to a requirement, by its index, as long as nothing fails.
func Requirement(p *rule.Pass, i int) Answer {
	known := answers.Of(p)
	a, ok := known[i]
	if !ok {
		a = requirement(p, &p.Design.Requirements[i], i)
		known[i] = a
	}
	return a
}

func requirement(p *rule.Pass, r *model.Requirement, i int) Answer {
	if r.Broken || !r.A.Known() || !r.B.Known() {
		return Answer{}
	}
	v := p.Verdict(i)
	if v.Outcome == system.HoldsNominally {
		v = whereSound(p, i, v)
	}
	a := of(v)
	// `within` is trivially kept, too, where what is wanted comes at once.
	if a.Standing == Proved && v.Vacuous && r.B != nil {
		switch ever, err := p.Protected().PossibleHere(p.Ctx, system.On(p.Protected().Design().Requirements[i].B)); {
		case err != nil:
			p.StopOn(err)
		case ever.Outcome == system.Fails:
			a.Standing = Vacuous
		}
	}
	return a
}

// of is what a verdict means for a claim.
func of(v system.Verdict) Answer {
	a := Answer{Verdict: v}
	switch v.Outcome {
	case system.Fails:
		a.Standing = Failed
	case system.HoldsNominally:
		a.Standing = Nominal
	case system.Undecided:
		a.Standing, a.Why = Undecided, v.Why
	case system.Holds:
		a.Standing = Proved
		if v.NominalOnly {
			a.Standing, a.Why = Undecided, "it holds for nominal values; "+v.Why
		}
	}
	return a
}

// Band is the answer to the claim of a band, by the index of its partition and its own. It is
// Unread where there is none, or where it could not be read.
func Band(p *rule.Pass, partition, i int) Answer {
	s := p.Protected()
	b := &s.Design().Bands[partition]
	band := &b.Bands[i]
	if b.Broken || band.Broken || band.Claim == nil || !band.Claim.Known() || !b.While.Known() {
		return Answer{}
	}
	v, err := s.Whenever(p.Ctx, system.On(band.Claim), system.On(model.And(b.While, band.In)))
	p.StopOn(err)
	a := of(v)
	if a.Standing == Proved && v.Vacuous {
		a.Standing = Vacuous
	}
	return a
}

// whereSound is the verdict on a requirement held against nothing but the states in which no
// supply is shorted, given the one over all states.
func whereSound(p *rule.Pass, i int, all system.Verdict) system.Verdict {
	var ends []model.NodeID
	for i := range p.Design.Supplies {
		ends = append(ends, p.Design.Supplies[i].Plus, p.Design.Supplies[i].Minus)
	}
	s, sound := p.Protected(), ask.Sound(p, ends...)
	is, err := sound.Of(p.Ctx, s)
	p.StopOn(err)
	if is == s.Engine().System().Space.True() {
		return all
	}
	got, err := s.DecideWhere(p.Ctx, &s.Design().Requirements[i], sound)
	p.StopOn(err)
	return got
}

var faulty = rule.Share(func(*rule.Pass) map[*model.Requirement]bool { return map[*model.Requirement]bool{} })

// ForAFault reports whether a vacuous requirement is a claim about what a fault brings about:
// it is to hold despite any one fault, and what it speaks of comes with some.
func ForAFault(p *rule.Pass, r *model.Requirement) bool {
	if !r.Despite || r.B == nil {
		return false
	}
	known := faulty.Of(p)
	is, ok := known[r]
	if !ok {
		got, err := p.Faults().Explain(p.Ctx, []*model.Cond{r.B})
		p.StopOn(err)
		is = got[0].Outcome != fault.Fails
		known[r] = is
	}
	return is
}

// Despite is how a requirement stands that is to hold despite any one fault, given how it
// stands without one and what came of trying all faults; tried is false where they were not.
func Despite(a Answer, r fault.Result, tried bool) Answer {
	switch {
	case a.Standing != Proved && a.Standing != Vacuous:
	case !tried:
		a.Standing, a.Why = Undecided, "the single faults were not tried"
	case r.Outcome == fault.Fails:
		a.Standing = Failed
	case r.Outcome == fault.Undecided:
		a.Standing, a.Why = Undecided, r.Why
	case r.Outcome == fault.Unknown:
		a.Standing = Unread
	}
	return a
}

// Package consequence reports whether what one rule sees is only the effect of something that
// another rule reports: one cause on the vehicle is to be one finding.
package consequence

import (
	"slices"

	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

// deepest bounds how far Told follows what a condition waits for.
const deepest = 8

// Unpowered reports whether a controller has power in no reachable state. That, or what it
// lacks, is a finding about the controller; nothing that it does or decides needs one of
// its own. None is no controller, and not dead.
func Unpowered(p *rule.Pass, box model.ControllerID) bool {
	if box == model.None {
		return false
	}
	k := &p.Design.Controllers[box]
	return !k.Broken && impossible(p, system.InState(k.Powered, 1))
}

// Unread reports whether an input that a sender is to tell has none at all.
func Unread(p *rule.Pass, id model.ReadingID) bool {
	return id != model.None && p.Design.Readings[id].Sender && len(p.Design.Readings[id].Senders) == 0
}

// Reported tells of a condition that holds in no reachable state whether that is so because of
// something with a finding of its own: a controller without power, an input that nothing
// is wired to, a threshold that never moves, a mode that is never entered, a winding that
// never moves its iron.
func Reported(p *rule.Pass, c *model.Cond) bool { return reported(p, c, deepest) }

func reported(p *rule.Pass, c *model.Cond, deep int) bool {
	if c == nil || !c.Known() || deep == 0 || !impossible(p, system.On(c)) {
		return false
	}
	switch c.Op {
	case model.CondAnd:
		return slices.ContainsFunc(c.Kids, func(k *model.Cond) bool { return reported(p, k, deep-1) }) || deafDriver(p, c.Kids)
	case model.CondOr:
		return !slices.ContainsFunc(c.Kids, func(k *model.Cond) bool { return !reported(p, k, deep-1) })
	case model.CondAtom:
		return atom(p, &c.Atom, deep)
	}
	return false
}

func atom(p *rule.Pass, a *model.Atom, deep int) bool {
	d := p.Design
	switch a.Kind {
	case model.AtomCondition:
		return reported(p, d.Conditions[a.Index].Cond, deep-1)
	case model.AtomResult:
		return !slices.ContainsFunc(a.In, func(row int) bool { return !reported(p, d.Results[a.Index].Rows[row].When, deep-1) })
	case model.AtomMachine:
		return !p.Design.Bench
	case model.AtomTimer:
		return !slices.Contains(a.In, model.TimerIdle) && NeverRuns(p, a.Index) || reported(p, d.Timers[a.Index].Run, deep-1)
	case model.AtomReading:
		return Unread(p, model.ReadingID(a.Index))
	case model.AtomMemory:
		return memory(p, a, deep)
	case model.AtomMeasure:
		return stands(p, a)
	}
	return false
}

// memory tells of a memory that is never in one of some states.
func memory(p *rule.Pass, a *model.Atom, deep int) bool {
	m := &p.Design.Memories[a.Index]
	switch m.MemKind {
	case model.MemThreshold, model.MemPowered:
		return !p.Design.Bench
	case model.MemLevel:
		return loose(p, &p.Design.Readings[m.Of]) || waitsForLevel(p, a.Index, a.In[0])
	case model.MemCoil, model.MemArmature:
		return true // of its windings it is said what they lack, or what takes their volts
	case model.MemFollow:
		for _, r := range m.Rules {
			if slices.Contains(a.In, r.To) && !slices.Contains(r.From, r.To) && reported(p, r.When, deep-1) {
				return true
			}
		}
	}
	return false
}

// stands tells of a level of a load that is never reached whether that is so of its lowest
// one too: then it is said of the load that it never runs.
func stands(p *rule.Pass, a *model.Atom) bool {
	if a.Measure.Load == model.None || a.Cmp != model.AtLeast || p.Design.Bench {
		return false
	}
	lowest := *a
	for _, level := range p.Design.Loads[a.Measure.Load].Levels {
		if at := model.Exactly(level.Percent / 100 * p.Design.Loads[a.Measure.Load].Rated); at.Nominal < lowest.Level.Nominal {
			lowest.Level = at
		}
	}
	return impossible(p, system.On(&model.Cond{Op: model.CondAtom, Atom: lowest}))
}

// loose reports whether nothing but its own pull leads from the pin of an input anywhere.
func loose(p *rule.Pass, r *model.Reading) bool {
	c := p.Circuit()
	_, fed := c.FeedWay(r.Pin, r.Pull)
	_, earthed := c.GroundWay(r.Pin, r.Pull)
	return !fed && !earthed
}

// impossible reports whether a condition is known to hold in no reachable state.
func impossible(p *rule.Pass, c system.Condition) bool {
	got, err := p.System().PossibleHere(p.Ctx, c)
	p.StopOn(err)
	return got.Outcome == system.Fails
}

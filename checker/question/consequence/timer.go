package consequence

import (
	"pintle/checker/engine/system"
	"pintle/checker/rule"
	"pintle/lang/model"
)

var idleTimers = rule.Share(func(p *rule.Pass) map[int]bool { return map[int]bool{} })

// NeverRuns tells of a timer whether it never begins to run, whatever is done, nor with
// any single fault: a time that is there for a fault runs in that.
func NeverRuns(p *rule.Pass, i int) bool {
	known := idleTimers.Of(p)
	never, ok := known[i]
	if !ok {
		t := &p.Design.Timers[i]
		never = !p.Design.Bench && !t.Broken && !t.Lowered && !t.InLast && t.Run.Known() && t.Run.Op != model.CondFalse &&
			neverComes(p, system.On(&model.Cond{Op: model.CondAtom, Atom: model.Atom{
				Kind: model.AtomTimer, Index: i, In: []int{model.TimerRunning, model.TimerDone},
			}}))
		known[i] = never
	}
	return never
}

// BeatNeverRuns tells the same of a beat.
func BeatNeverRuns(p *rule.Pass, i int) bool {
	b := &p.Design.Beats[i]
	if p.Design.Bench || b.Broken || b.While == nil || !b.While.Known() || b.While.Op == model.CondFalse {
		return false
	}
	while := system.On(b.While)
	if b.Controller != model.None {
		while = system.All(while, system.InState(p.Design.Controllers[b.Controller].Powered, 1))
	}
	return neverComes(p, while)
}

// neverComes reports whether a condition holds in no state, whatever the tolerances, and
// with no single fault.
func neverComes(p *rule.Pass, c system.Condition) bool {
	if !impossible(p, c) || Restless(p, c) || len(p.Design.Incomplete) > 0 {
		return false
	}
	if there, never := OnlyThere(p, c); !never || there.Trace != nil {
		return false // with other volts it does: what it depends on has a finding
	}
	with, sure := WithFault(p, c, Faults(p, model.None, true, true))
	return sure && !with
}

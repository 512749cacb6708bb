package states

import (
	"fmt"

	"pintle/checker/engine/system"
	"pintle/checker/question/consequence"
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

func timerNeverRuns() rule.Rule {
	return rule.Rule{
		Name:       "timer-never-runs",
		Severity:   diag.Warning,
		Summary:    "a timer that never begins to run, or a beat that never beats",
		Why:        "whatever waits for its time or its rhythm never happens",
		Doc:        pages.Of("timer-never-runs"),
		Needs:      rule.States,
		Everywhere: true,
		Run: func(p *rule.Pass) {
			for i := range p.Design.Timers {
				t := &p.Design.Timers[i]
				if t.Lowered || t.Broken {
					continue // a duration in a condition has no name
				}
				if consequence.NeverRuns(p, i) {
					reportIdle(p, &t.Info, t.Controller, t.Run, "runs")
				} else {
					p.Clear(t.Path)
				}
			}
			for i := range p.Design.Beats {
				b := &p.Design.Beats[i]
				if b.Broken {
					continue
				}
				if consequence.BeatNeverRuns(p, i) {
					reportIdle(p, &b.Info, b.Controller, b.While, "beats")
				} else {
					p.Clear(b.Path)
				}
			}
		},
	}
}

// reportIdle tells of a timer or beat that stands still what it waits for, unless that has
// a finding of its own.
func reportIdle(p *rule.Pass, i *model.Info, box model.ControllerID, c *model.Cond, does string) {
	if consequence.Unpowered(p, box) || consequence.Reported(p, c) || box != model.None && consequence.Deaf(p, c, box) {
		return
	}
	words := p.Design.Words(c)
	f := diag.Finding{Place: i.NamePlace, Subject: i.Path,
		Message: fmt.Sprintf("%s never %s: no reachable state has: %s", i.Path, does, words),
		Help:    "check what it waits for, or leave it out"}
	v, comes, known := possible(p, i.NamePlace, i.Path, system.On(c), atRest(p))
	switch {
	case !known:
		return
	case comes && box != model.None && impossible(p, system.All(system.On(c), system.InState(p.Design.Controllers[box].Powered, 1))):
		k := &p.Design.Controllers[box]
		f.Message = fmt.Sprintf("%s never %s: where %s, %s has no power", i.Path, does, words, k.Path)
		f.Help = fmt.Sprintf("feed %s from what stays live at that time, and let an input tell it what is off", k.Path)
		f.Related = []diag.Related{{Place: k.Place, Note: "its power"}}
		f.Evidence = evidence.Moves("to where it would", v.Trace)
	case comes:
		f.Message = fmt.Sprintf("%s never %s: wherever %s, it is stopped", i.Path, does, words)
		f.Help = "let what stops it leave it a chance"
		f.Evidence = evidence.Moves("to where it would", v.Trace)
	default:
		f.Evidence = whyNever(p, c)
	}
	p.Report(f)
}

// impossible reports whether a condition is known to hold in no reachable state.
func impossible(p *rule.Pass, c system.Condition) bool {
	got, err := p.System().PossibleHere(p.Ctx, c)
	p.StopOn(err)
	return got.Outcome == system.Fails
}

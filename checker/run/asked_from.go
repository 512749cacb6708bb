package run

import (
	"fmt"
	"slices"

	"pintle/checker/engine/fault"
	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/rule"
	"pintle/lang/model"
	"pintle/lang/unit"
)

// fromDrive is the index of the drive that a request begins with, or of none that is meant for the
// design.
func (req *AskRequest) fromDrive(d *model.Design) int {
	return slices.IndexFunc(d.Drives, func(v model.Drive) bool { return v.Fit == model.None && v.Name == req.From && rule.MeantFor(&v, d) })
}

// checkFrom refuses a drive, or a step of it, that no design has.
func (req *AskRequest) checkFrom(o *Opened) error {
	switch {
	case req.From == "" && req.AfterStep == 0:
		return nil
	case req.From == "":
		return fmt.Errorf("--after-step is for --from")
	case req.Fault != "":
		return fmt.Errorf("--from and --fault are not asked together; let the fault come in the question's states, or drive it")
	}
	var have []string
	for _, d := range o.Designs {
		for i := range d.Drives {
			have = append(have, d.Drives[i].Name)
		}
		if i := req.fromDrive(d); i >= 0 {
			if n := len(d.Drives[i].Steps); req.AfterStep < 0 || req.AfterStep > n {
				return fmt.Errorf("%s has %d steps; there is no step %d", req.From, n, req.AfterStep)
			}
			return nil
		}
	}
	return NoSuch("drive of "+o.File, req.From, have)
}

// started is the system of a design that starts where a drive has come to. The reply is not nil
// where there can be no answer.
func (req *AskRequest) started(p *rule.Pass) (*system.System, *ask.Reply) {
	d := p.Design
	i := req.fromDrive(d)
	if i < 0 {
		return nil, &ask.Reply{Outcome: ask.NotThere}
	}
	undecided := func(format string, args ...any) (*system.System, *ask.Reply) {
		return nil, &ask.Reply{Why: fmt.Sprintf(format, args...)}
	}
	var at *scenario.State
	for _, pace := range rule.Paces(d) {
		s, why := req.state(p, i, pace)
		if why != "" {
			return undecided("%s", why)
		}
		s.At = 0
		for k := range s.Clocks { // since when it is done is over
			s.Clocks[k] = scenario.Clock{Phase: s.Clocks[k].Phase}
		}
		if at != nil && fmt.Sprint(*s) != fmt.Sprint(*at) {
			return undecided("%s comes to another state with %s", req.From, pace)
		}
		at = s
	}
	there := *d
	there.Settings, there.Quantities, there.Memories = slices.Clone(d.Settings), slices.Clone(d.Quantities), slices.Clone(d.Memories)
	for k := range there.Settings {
		there.Settings[k].Start = at.Settings[k]
	}
	for k := range there.Quantities {
		q := &there.Quantities[k]
		q.Start, q.StartSet = unit.FromBase(at.Quantities[k].N, q.Start.Unit), true
	}
	from := &system.From{Modes: at.Machines}
	for k := range there.Memories {
		if there.Memories[k].Start = at.Memories[k]; at.Memories[k] == scenario.UnknownState {
			return undecided("where %s stands is not known where %s has come to", d.Memories[k].Path, req.From)
		}
	}
	for k := range d.Machines {
		if at.Machines[k] == scenario.UnknownState {
			return undecided("where %s stands is not known where %s has come to", d.Machines[k].Path, req.From)
		}
	}
	for k := range d.Timers {
		phase := at.Clocks[k].Phase
		if phase != model.TimerIdle && phase != model.TimerDone {
			return undecided("%s runs where %s has come to: let it run out, or begin before it", timerName(d, k), req.From)
		}
		from.Timers = append(from.Timers, phase)
	}
	for k := range d.Beats {
		if at.Rhythms[k].Running || at.Rhythms[k].Unknown {
			return undecided("%s beats where %s has come to: begin where it does not", d.Beats[k].Path, req.From)
		}
	}
	protected, err := fault.Protect(p.Ctx, &there)
	p.StopOn(err)
	s, err := system.Build(p.Ctx, protected, system.Options{MaxNodes: p.Limits.Nodes, MaxZones: p.Limits.Zones, Memo: p.Memo, From: from})
	p.StopOn(err)
	return s, nil
}

func timerName(d *model.Design, i int) string {
	if t := &d.Timers[i]; !t.Lowered {
		return t.Path
	} else {
		return "the time of (" + d.Words(t.Run) + ")"
	}
}

// state is where a drive has come to, at a pace, or why that is no state to ask from.
func (req *AskRequest) state(p *rule.Pass, i int, pace scenario.Pace) (*scenario.State, string) {
	d := p.Design
	v := &d.Drives[i]
	for at, left := i, len(d.Drives); at != model.None && left > 0; at, left = d.Drives[at].After, left-1 {
		for _, st := range d.Drives[at].Steps {
			if slices.ContainsFunc(st.Sets, func(a model.SetAction) bool { return a.Supply != model.None }) {
				return nil, d.Drives[at].Name + " sets the volts of a supply, and the states are asked about at those of the design"
			}
		}
	}
	s, err := scenario.Begin(p.Ctx, d, v, scenario.Options{Pace: pace})
	steps := len(v.Steps)
	if req.AfterStep > 0 {
		steps = req.AfterStep
	}
	for k := 0; k < steps && err == nil; k++ {
		_, err = s.Step(p.Ctx, v, k)
	}
	p.StopOn(p.Ctx.Err())
	if err != nil {
		return nil, err.Error()
	}
	now := s.Now(p.Ctx)
	if failed := now.Faults(); len(failed) > 0 {
		return nil, fmt.Sprintf("a fault stands where %s has come to: %s", req.From, scenario.FaultWords(&failed[0]))
	}
	state := now.State.Clone()
	for _, l := range state.Quantities {
		if l.Nudge != 0 {
			return nil, "a quantity is on its way where " + req.From + " has come to"
		}
	}
	return &state, ""
}

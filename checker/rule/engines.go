package rule

import (
	"context"
	"errors"
	"slices"

	"pintle/checker/engine/budget"
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/fault"
	"pintle/checker/engine/fluid"
	"pintle/checker/engine/scenario"
	"pintle/checker/engine/system"
	"pintle/lang/model"
)

// made is what an engine came to, or why it did not.
type made[T any] struct {
	it  T
	err error
}

func build[T any](it T, err error) made[T] { return made[T]{it, err} }

// need ends the rule that runs if an engine could not be made.
func need[T any](p *Pass, s *Shared[made[T]]) T {
	m := s.Of(p)
	p.StopOn(m.err)
	return m.it
}

var (
	circuits = Share(func(p *Pass) made[*circuit.Circuit] {
		c, err := circuit.New(p.Design, nil)
		if err == nil {
			c.Share(p.Memo)
			c.Limit(p.Limits.Steps, p.Limits.Steps)
		}
		return build(c, err)
	})
	fluids = Share(func(p *Pass) made[*fluid.Fluid] {
		return build(fluid.New(p.Design, nil))
	})
	systems = Share(func(p *Pass) made[*system.System] {
		c := circuits.Of(p)
		if c.err != nil {
			return made[*system.System]{err: c.err}
		}
		return build(system.Build(p.Ctx, p.Design, system.Options{
			Circuit:  c.it,
			MaxNodes: p.Limits.Nodes,
			MaxZones: p.Limits.Zones,
		}))
	})
	// fusedSystems are the systems in which fuses open, which verdicts are told of. Where none
	// can it is the plain one.
	fusedSystems = Share(func(p *Pass) made[*system.System] {
		d, err := fault.Protect(p.Ctx, p.Design)
		if err != nil || d == p.Design {
			return systems.Of(p)
		}
		return build(system.Build(p.Ctx, d, system.Options{MaxNodes: p.Limits.Nodes, MaxZones: p.Limits.Zones, Memo: p.Memo}))
	})
	verdicts = Share(func(p *Pass) map[int]made[system.Verdict] { return map[int]made[system.Verdict]{} })
	drives   = Share(runDrives)
)

// Circuit is the electrical side of the design, without faults.
func (p *Pass) Circuit() *circuit.Circuit { return need(p, circuits) }

// Fluid is the graph of ports and passages of the design, without faults.
func (p *Pass) Fluid() *fluid.Fluid { return need(p, fluids) }

// System is the state system of the design, with everything nominal.
func (p *Pass) System() *system.System { return need(p, systems) }

// Protected is the state system of the design in which fuses open: that by which claims are
// decided. Its design has what Design has, at the same places in its tables.
func (p *Pass) Protected() *system.System { return need(p, fusedSystems) }

// Verdict is the answer to a requirement, by its index in Design.Requirements, not
// regarding faults; but a fuse opens that what the design itself draws makes open.
func (p *Pass) Verdict(i int) system.Verdict {
	known := verdicts.Of(p)
	v, ok := known[i]
	if !ok {
		s := need(p, fusedSystems)
		v = build(s.Decide(p.Ctx, &s.Design().Requirements[i]))
		known[i] = v
	}
	p.StopOn(v.err)
	return v.it
}

// DriveRun is one drive of the design, run at one pace.
type DriveRun struct {
	Drive int // index in Design.Drives
	Pace  scenario.Pace
	*scenario.Result
	// Err tells why the run could not be finished; drive.ErrHunts among others.
	Err error
}

// Drives are the runs of all drives that are meant for the options of the design, at all
// paces.
func (p *Pass) Drives() []DriveRun { return need(p, drives) }

// Paces are those at which a drive of a design runs: the middle one and, where some duration is
// an interval, with all of them at their shortest and at their longest.
func Paces(d *model.Design) []scenario.Pace {
	if slices.ContainsFunc(d.Timers, func(t model.Timer) bool {
		return slices.ContainsFunc(t.Cases, func(c model.TimerCase) bool { return c.Min != c.Max })
	}) {
		return []scenario.Pace{scenario.Middle, scenario.Shortest, scenario.Longest}
	}
	return []scenario.Pace{scenario.Middle}
}

// RunDrive runs one drive at one pace. each, if it is not nil, is told of each settled moment.
func (p *Pass) RunDrive(i int, pace scenario.Pace, each func(*scenario.Rest)) DriveRun {
	r, err := scenario.Run(p.Ctx, p.Design, &p.Design.Drives[i], scenario.Options{Pace: pace, Each: each})
	p.StopOn(p.Ctx.Err())
	return DriveRun{Drive: i, Pace: pace, Result: r, Err: err}
}

func runDrives(p *Pass) made[[]DriveRun] {
	var out []DriveRun
	for i := range p.Design.Drives {
		d := &p.Design.Drives[i]
		if d.Broken || !MeantFor(d, p.Design) {
			continue
		}
		for _, pace := range Paces(p.Design) {
			out = append(out, p.RunDrive(i, pace, nil))
		}
	}
	return made[[]DriveRun]{it: out}
}

// MeantFor reports whether a drive is to be run with the options of a design.
func MeantFor(d *model.Drive, design *model.Design) bool {
	for _, want := range d.Choices {
		if slices.ContainsFunc(design.Choices, func(c model.Choice) bool {
			return c.Option == want.Option && c.Position != want.Position
		}) {
			return false
		}
	}
	return true
}

// stopped ends a rule; Run takes it.
type stopped struct{ err error }

// StopOn ends the rule that runs if err is not nil, as an engine returned it. What the
// rule reported so far stands. Unless nobody waits for an answer any more, it is said
// once that the design could not be decided, and why.
func (p *Pass) StopOn(err error) {
	if err != nil {
		panic(stopped{err})
	}
}

// resume takes a panic of StopOn and passes on any other.
func (p *Pass) resume(r any) {
	s, ok := r.(stopped)
	switch {
	case r == nil:
	case !ok:
		panic(r)
	case budget.Stopped(p.Ctx) != nil:
		if p.asking { // of rules, whoever runs them says it once for all
			p.Undecided(p.about(), "", budget.Stopped(p.Ctx).Error())
		}
	case p.Ctx.Err() != nil, errors.Is(s.err, context.Canceled):
	default:
		p.Undecided(p.about(), "", s.err.Error())
	}
}

// Tally is what the engines were asked about one design.
type Tally struct {
	// System is nil if no rule looked at the states.
	System *system.System
	// Verdicts by the index of the requirement, of those that were decided.
	Verdicts map[int]system.Verdict
	// Despite holds those of the requirements that were tried with all single faults.
	Despite map[int]fault.Result
	// Noticed holds the claims that faults are noticed, of those that were decided.
	Noticed map[int]fault.Noticing
	Drives  []DriveRun
	// Drove is set once the drives were run.
	Drove bool
}

// Tally reports what the engines were asked so far. It runs none of them.
func (p *Pass) Tally() Tally {
	t := Tally{Verdicts: map[int]system.Verdict{}}
	if s, ok := systems.known(p); ok {
		t.System = s.it
	}
	if vs, ok := verdicts.known(p); ok {
		for i, v := range vs {
			if v.err == nil {
				t.Verdicts[i] = v.it
			}
		}
	}
	if f, ok := despites.known(p); ok && f.err == nil {
		t.Despite = f.it
	}
	if n, ok := noticings.known(p); ok {
		t.Noticed = n
	}
	if d, ok := drives.known(p); ok {
		t.Drives, t.Drove = d.it, true
	}
	return t
}

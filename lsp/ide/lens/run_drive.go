package lens

import (
	"context"
	"slices"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/drives"
	"pintle/checker/rule"
	"pintle/checker/run/report"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lsp/ide"
)

// DriveOutcome is what came of a drive, in all combinations of options that it is for and
// at all paces that make a difference: the runs that a check looks at.
type DriveOutcome struct {
	Drive string     `json:"drive"`
	Runs  []DriveRun `json:"runs"`
	// Unread says why it was not run although it is meant for some design.
	Unread string `json:"unread,omitempty"`
	// Text tells it all to people.
	Text string `json:"text"`

	outcomes []drives.Outcome
}

// DriveRun is one run of a drive.
type DriveRun struct {
	Where    string         `json:"where,omitempty"` // options or bench, as in findings
	Pace     string         `json:"pace"`
	Steps    []DriveStep    `json:"steps"`
	Events   []DriveEvent   `json:"events"`
	Failures []DriveFailure `json:"failures"`
	// Unfinished tells why the run could not be driven to its end.
	Unfinished string `json:"unfinished,omitempty"`
	// Open is what could not be read or judged: with any of it the run did not pass.
	Open []DriveOpen `json:"open,omitempty"`
	// Seen counts the expectations that could be judged.
	Seen int `json:"seen"`
}

// DriveOpen is something of a drive that is neither met nor missed.
type DriveOpen struct {
	Step int    `json:"step"` // from 0; -1: before the first
	Why  string `json:"why"`
	Line int    `json:"line"` // from 1
}

// DriveStep is a step with the time at which it ended, in seconds from the start.
type DriveStep struct {
	Name  string  `json:"name"`
	Ended float64 `json:"ended"`
}

// DriveEvent is something that happened.
type DriveEvent struct {
	At   float64 `json:"at"`
	Step int     `json:"step"` // from 0
	Text string  `json:"text"`
}

// DriveFailure is an expectation that was not met.
type DriveFailure struct {
	At       float64  `json:"at"`
	Step     int      `json:"step"`
	Expected string   `json:"expected"`
	Seen     string   `json:"seen"`
	Because  []string `json:"because"`
	Line     int      `json:"line"` // from 1
}

// Passed reports whether all runs came to their end and saw what they expected, and all of
// it could be read.
func (o *DriveOutcome) Passed() bool {
	return len(o.Runs) > 0 && !slices.ContainsFunc(o.outcomes, func(x drives.Outcome) bool { s, _ := x.Standing(); return s != drives.Met })
}

// Summary tells the outcome in one line.
func (o *DriveOutcome) Summary() string { return drives.Summary(o.Drive, o.outcomes) }

// RunDrive runs the drive of a document that stands around a byte offset, or, where name
// is not empty, the drive of that name. It is nil where there is none.
func RunDrive(ctx context.Context, v *ide.View, named string, off int) (*DriveOutcome, error) {
	d, err := driveAt(ctx, v, named, off)
	if d == nil || err != nil {
		return nil, err
	}
	out := &DriveOutcome{Drive: d.Name, Runs: []DriveRun{}}
	// A drive on a bench is run where the document is a root of its own, one of a design
	// in the root that it is best understood in.
	for _, root := range append([]*ide.Root{v.Root}, v.Roots...) {
		if err := out.run(ctx, root, d); err != nil {
			return nil, err
		}
		if len(out.Runs) > 0 {
			break
		}
	}
	out.Text = report.DriveText(out.Drive, out.outcomes)
	return out, nil
}

// run adds the runs of a drive in the designs of a root.
func (o *DriveOutcome) run(ctx context.Context, root *ide.Root, d *name.Def) error {
	read, err := root.Read(ctx)
	if err != nil {
		return err
	}
	for _, design := range read.Designs {
		at := slices.IndexFunc(design.Drives, func(x model.Drive) bool { return ide.SamePlace(x.NamePlace, d.NamePlace) })
		if at < 0 || !rule.MeantFor(&design.Drives[at], design) {
			continue
		}
		var got drives.Outcome
		if err := root.Ask(ctx, design, func(p *rule.Pass) { got, _ = drives.Of(p, at, drives.Recorder{}) }); err != nil {
			return err
		}
		if got.Drive == nil { // nobody waits for the answer any more
			continue
		}
		if o.outcomes = append(o.outcomes, got); got.Unread != "" {
			o.Unread = got.Unread
		}
		for i := range got.Runs {
			for _, pace := range got.Runs[i].Paces {
				o.Runs = append(o.Runs, driven(design.Name, pace, &got.Runs[i]))
			}
		}
	}
	return nil
}

// driveAt finds a drive of the document.
func driveAt(ctx context.Context, v *ide.View, named string, off int) (*name.Def, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	for _, d := range x.Definitions(v.Src()) {
		if d.Sort != name.Thing || d.Kind != schema.Drive || d.Stmt == nil {
			continue
		}
		if named != "" && (d.Name == named || d.Path() == named) || named == "" && d.Stmt.Span.Contains(off) {
			return d, nil
		}
	}
	return nil, nil
}

func driven(where string, pace scenario.Pace, r *drives.Run) DriveRun {
	out := DriveRun{Where: where, Pace: pace.String(), Steps: []DriveStep{}, Events: []DriveEvent{}, Failures: []DriveFailure{}, Seen: r.Sees}
	if r.Err != nil {
		out.Unfinished = r.Err.Error()
	}
	line := func(p diag.Place) int {
		if p.File == nil {
			return 0
		}
		return p.File.Position(p.Start).Line
	}
	for _, x := range r.Open {
		out.Open = append(out.Open, DriveOpen{Step: x.Step, Why: x.Why, Line: line(x.Place)})
	}
	for i, end := range r.Ends {
		out.Steps = append(out.Steps, DriveStep{Name: r.StepName(i), Ended: scenario.Seconds(end)})
	}
	for _, e := range r.Events {
		out.Events = append(out.Events, DriveEvent{At: scenario.Seconds(e.At), Step: e.Step, Text: e.Text})
	}
	for _, f := range r.Failures {
		x := DriveFailure{At: scenario.Seconds(f.At), Step: f.Step, Expected: f.Expected, Seen: f.Seen, Because: []string{}, Line: line(f.Place)}
		for _, l := range f.Chain {
			x.Because = append(x.Because, l.Text)
		}
		out.Failures = append(out.Failures, x)
	}
	return out
}

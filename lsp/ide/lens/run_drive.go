package lens

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pintle/checker/engine/scenario"
	"pintle/checker/rule"
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
	if o.Unread != "" {
		return false
	}
	for _, r := range o.Runs {
		if len(r.Failures) > 0 || r.Unfinished != "" || len(r.Open) > 0 {
			return false
		}
	}
	return len(o.Runs) > 0
}

// Summary tells the outcome in one line.
func (o *DriveOutcome) Summary() string {
	seen := 0
	for _, r := range o.Runs {
		seen += r.Seen
		where := ""
		if r.Where != "" {
			where = " (" + r.Where + ")"
		}
		switch {
		case r.Unfinished != "":
			return fmt.Sprintf("%s could not be driven to its end%s: %s", o.Drive, where, r.Unfinished)
		case len(r.Failures) > 0:
			f := r.Failures[0]
			return fmt.Sprintf("%s fails in %s at %s%s: expected %s, %s", o.Drive, r.step(f.Step), scenario.Clocktime(int64(f.At*1e9)), where, f.Expected, f.Seen)
		}
	}
	for _, r := range o.Runs {
		if len(r.Open) > 0 {
			return fmt.Sprintf("%s is undecided: %s (line %d)", o.Drive, r.Open[0].Why, r.Open[0].Line)
		}
	}
	switch {
	case o.Unread != "":
		return o.Drive + " is undecided: " + o.Unread
	case len(o.Runs) == 0:
		return o.Drive + " was not run: nothing of it could be read, or no combination of options is meant for it"
	case seen == 0:
		return o.Drive + " runs to its end; it expects nothing"
	}
	return fmt.Sprintf("%s passes: %s met in %s", o.Drive, count(seen, "expectation"), count(len(o.Runs), "run"))
}

// step names a step, be it one that was not driven to its end.
func (r *DriveRun) step(i int) string {
	if i < len(r.Steps) {
		return r.Steps[i].Name
	}
	return "step " + strconv.Itoa(i+1)
}

// count writes a number of things.
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

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
	out.Text = out.tell()
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
		if at < 0 {
			continue
		}
		if x := &design.Drives[at]; x.Broken && rule.MeantFor(x, design) {
			o.Unread = unreadOf(d)
			continue
		}
		err := root.Ask(ctx, design, func(p *rule.Pass) {
			for _, r := range p.Drives() {
				if r.Drive == at {
					o.Runs = append(o.Runs, driven(design, r))
				}
			}
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// unreadOf says what of a drive could not be read.
func unreadOf(d *name.Def) string {
	for i, st := range d.Stmt.Body {
		if st.Kind == nil {
			return fmt.Sprintf("what should be step %d could not be read (line %d)", i+1, d.NamePlace.File.Position(st.Span.Start).Line)
		}
	}
	return fmt.Sprintf("it could not be read in full (line %d)", d.NamePlace.File.Position(d.NamePlace.Start).Line)
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

func seconds(ns int64) float64 { return float64(ns) / 1e9 }

func driven(d *model.Design, r rule.DriveRun) DriveRun {
	out := DriveRun{Where: d.Name, Pace: r.Pace.String(), Steps: []DriveStep{}, Events: []DriveEvent{}, Failures: []DriveFailure{}}
	if r.Err != nil {
		out.Unfinished = r.Err.Error()
	}
	if r.Result == nil {
		return out
	}
	out.Seen = r.Sees
	for _, x := range r.Open {
		y := DriveOpen{Step: x.Step, Why: x.Why}
		if x.Place.File != nil {
			y.Line = x.Place.File.Position(x.Place.Start).Line
		}
		out.Open = append(out.Open, y)
	}
	for i, end := range r.Ends {
		out.Steps = append(out.Steps, DriveStep{Name: scenario.StepName(&d.Drives[r.Drive], i), Ended: seconds(end)})
	}
	for _, e := range r.Events {
		out.Events = append(out.Events, DriveEvent{At: seconds(e.At), Step: e.Step, Text: e.Text})
	}
	for _, f := range r.Failures {
		x := DriveFailure{At: seconds(f.At), Step: f.Step, Expected: f.Expected, Seen: f.Seen, Because: []string{}}
		for _, l := range f.Chain {
			x.Because = append(x.Because, l.Text)
		}
		if f.Place.File != nil {
			x.Line = f.Place.File.Position(f.Place.Start).Line
		}
		out.Failures = append(out.Failures, x)
	}
	return out
}

// tell writes the outcome for people: each run with its events below their steps.
func (o *DriveOutcome) tell() string {
	var b strings.Builder
	b.WriteString(o.Summary() + "\n")
	for _, r := range o.Runs {
		head := r.Pace
		if r.Where != "" {
			head = r.Where + ", " + head
		}
		fmt.Fprintf(&b, "\n%s\n", head)
		for i, s := range r.Steps {
			fmt.Fprintf(&b, "  %s, until %s\n", s.Name, scenario.Clocktime(int64(s.Ended*1e9)))
			for _, e := range r.Events {
				if e.Step == i && e.Text != "" {
					fmt.Fprintf(&b, "    %s  %s\n", scenario.Clocktime(int64(e.At*1e9)), e.Text)
				}
			}
			for _, f := range r.Failures {
				if f.Step != i {
					continue
				}
				fmt.Fprintf(&b, "    %s  NOT AS EXPECTED: %s; %s (line %d)\n", scenario.Clocktime(int64(f.At*1e9)), f.Expected, f.Seen, f.Line)
				for _, line := range f.Because {
					fmt.Fprintf(&b, "      %s\n", line)
				}
			}
		}
		for _, x := range r.Open {
			fmt.Fprintf(&b, "  UNDECIDED: %s (line %d)\n", x.Why, x.Line)
		}
		if r.Unfinished != "" {
			fmt.Fprintf(&b, "  not driven to its end: %s\n", r.Unfinished)
		}
	}
	return b.String()
}

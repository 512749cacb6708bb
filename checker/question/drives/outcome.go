package drives

import (
	"errors"
	"fmt"
	"slices"

	"pintle/checker/engine/scenario"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/syntax"
)

// Standing is what came of a drive, or of one expectation.
type Standing uint8

// The standings.
const (
	Met        Standing = iota // it came to its end, and everything was as expected
	Missed                     // something was not, or hardware never settles
	Undecided                  // something could not be read, or could not be worked out
	NotReached                 // of an expectation: the run ended before it
)

func (s Standing) String() string {
	return [...]string{Met: "met", Missed: "not met", Undecided: "undecided", NotReached: "not reached"}[s]
}

// Outcome is what came of one drive in one design.
type Outcome struct {
	Design *model.Design
	Drive  *model.Drive
	// Runs are those that differ; none if the drive could not be read.
	Runs []Run
	// Unread says why it was not run.
	Unread string
}

// Run is one run of a drive, and all like it.
type Run struct {
	// Paces at which it goes so; the first is that of the run.
	Paces []scenario.Pace
	*scenario.Result
	// Err tells why it could not be finished; nil: it was.
	Err error
	// Steps are all of the drive.
	Steps []Step
	// Events are what happened, with what loads and results did if the run was recorded.
	Events []Event
	// Recording is nil if nothing was recorded.
	Recording *Recording
}

// Step is a step of a run.
type Step struct {
	Name  string
	Moves []string // what it moves, in the words of the language
	Sees  []See
	// Ended is when, in ns from the start; it counts only if Done is set.
	Ended int64
	Done  bool
}

// See is one expectation.
type See struct {
	Standing
	Text  string
	Place diag.Place
	At    int64 // ns from the start: when it was missed, or judged
	// Seen is what was seen in its place, and Because the chain of causes: each line because of
	// the next, deeper ones indented. Of one that is undecided, Seen says why.
	Seen    string
	Because []diag.Line
}

// Event is something that happened.
type Event struct {
	At   int64 // ns from the start
	Step int   // from 0
	Kind string
	Text string
}

// Of runs a drive of the design of a pass, by its index, at all paces, and records it. The error
// is one of Recorder.Every.
func Of(p *rule.Pass, i int, how Recorder) (Outcome, error) {
	d := p.Design
	if d.Drives[i].Broken {
		o := Judge(d, i, nil)
		o.Unread = unread(p.Root, o.Drive)
		return o, nil
	}
	o := Outcome{Design: d, Drive: &d.Drives[i]}
	paces := how.Paces
	if paces == nil {
		paces = rule.Paces(d)
	}
	for _, pace := range paces {
		rec := newRecording(d, how.Show)
		from := p.RunDrive(i, pace, rec.take)
		r := newRun(d, from, rec)
		if err := rec.fill(how.Every); err != nil {
			return o, err
		}
		o.add(r)
	}
	return o, nil
}

// unread says what of a drive could not be read.
func unread(root *syntax.File, d *model.Drive) string {
	line := func(at int) int { return d.NamePlace.File.Position(at).Line }
	if d.NamePlace.File == nil {
		return "it could not be read in full"
	}
	for _, st := range root.All() {
		if st.Kind == nil || root.Src != d.NamePlace.File || st.Name().Start != d.NamePlace.Start {
			continue
		}
		for i, step := range st.Body {
			if step.Kind == nil {
				return fmt.Sprintf("what should be step %d could not be read (line %d)", i+1, line(step.Span.Start))
			}
		}
	}
	return fmt.Sprintf("it could not be read in full (line %d)", line(d.NamePlace.Start))
}

// Judge is what came of a drive, by its index, in runs that were not recorded.
func Judge(d *model.Design, i int, runs []rule.DriveRun) Outcome {
	o := Outcome{Design: d, Drive: &d.Drives[i]}
	if o.Drive.Broken {
		o.Unread = "it could not be read in full"
	}
	for _, r := range runs {
		if r.Drive == i {
			o.add(newRun(d, r, nil))
		}
	}
	return o
}

// add adds a run, or its pace to one that went the same.
func (o *Outcome) add(r Run) {
	for k := range o.Runs {
		if o.Runs[k].same(&r) {
			o.Runs[k].Paces = append(o.Runs[k].Paces, r.Paces...)
			return
		}
	}
	o.Runs = append(o.Runs, r)
}

// Same reports whether a drive came to the same in two designs.
func (o *Outcome) Same(q *Outcome) bool {
	return o.Unread == q.Unread && slices.EqualFunc(o.Runs, q.Runs, func(a, b Run) bool {
		return slices.Equal(a.Paces, b.Paces) && a.AtFirst() == b.AtFirst() && a.same(&b)
	})
}

// same reports whether two runs went the same, so far as anybody can tell.
func (r *Run) same(q *Run) bool {
	return slices.Equal(r.Events, q.Events) && slices.EqualFunc(r.Steps, q.Steps, func(a, b Step) bool {
		return a.Ended == b.Ended && a.Done == b.Done && slices.EqualFunc(a.Sees, b.Sees, func(x, y See) bool {
			return x.Standing == y.Standing && x.At == y.At && x.Seen == y.Seen && slices.EqualFunc(x.Because, y.Because, func(l, m diag.Line) bool { return l.Text == m.Text })
		})
	}) && fmt.Sprint(r.Err) == fmt.Sprint(q.Err)
}

func newRun(d *model.Design, from rule.DriveRun, rec *Recording) Run {
	drive := &d.Drives[from.Drive]
	r := Run{Paces: []scenario.Pace{from.Pace}, Result: from.Result, Err: from.Err, Recording: rec}
	if r.Result == nil {
		r.Result = &scenario.Result{}
	}
	for i := range drive.Steps {
		st := r.stepOf(d, drive, i)
		if st.Done = i < len(r.Ends); st.Done {
			st.Ended = r.Ends[i]
		}
		r.Steps = append(r.Steps, st)
	}
	r.Events = events(r.Result.Events, rec)
	return r
}

// stepOf is a step of the run, from 0, as far as it is known before it has ended.
func (r *Run) stepOf(d *model.Design, drive *model.Drive, i int) Step {
	st := Step{Name: scenario.StepName(drive, i), Moves: Moves(d, &drive.Steps[i])}
	for k := range drive.Steps[i].Sees {
		st.Sees = append(st.Sees, r.see(d, i, k, &drive.Steps[i].Sees[k]))
	}
	return st
}

// see is what came of an expectation.
func (r *Run) see(d *model.Design, step, i int, see *model.See) See {
	out := See{Standing: NotReached, Text: see.Text, Place: see.Place}
	if out.Text == "" {
		out.Text = d.Words(see.Cond)
	}
	for _, f := range r.Failures {
		if f.Step == step && f.See == i {
			out.Standing, out.At, out.Seen, out.Because = Missed, f.At, f.Seen, f.Chain
			return out
		}
	}
	for _, s := range r.Seen {
		if s.Step == step && s.See == i {
			out.At = s.At
			if out.Standing = Met; s.Met == scenario.Unknown {
				out.Standing, out.Seen = Undecided, "it depends on something that could not be read"
			}
		}
	}
	return out
}

// Standing is that of a run, with the reason where it is not met.
func (r *Run) Standing() (Standing, string) {
	switch {
	case len(r.Failures) > 0:
		f := &r.Failures[0]
		return Missed, fmt.Sprintf("%s at %s: expected %s, %s", r.StepName(f.Step), f.When(), f.Expected, f.Seen)
	case errors.Is(r.Err, scenario.ErrHunts):
		return Missed, r.Err.Error()
	case r.Err != nil:
		return Undecided, r.Err.Error()
	case len(r.Open) > 0:
		return Undecided, r.Open[0].Why
	}
	return Met, ""
}

// StepName names a step of the run, from 0.
func (r *Run) StepName(i int) string {
	if i >= 0 && i < len(r.Steps) {
		return r.Steps[i].Name
	}
	return fmt.Sprintf("step %d", i+1)
}

// Standing is that of a drive: missed if it is in any run, else undecided if it is in any.
func (o *Outcome) Standing() (out Standing, why string) {
	if o.Unread != "" {
		out, why = Undecided, o.Unread
	}
	for i := range o.Runs {
		if s, because := o.Runs[i].Standing(); s == Missed || s != Met && out == Met {
			if out, why = s, because; s == Missed {
				return out, why
			}
		}
	}
	return out, why
}

// Expected counts the expectations of all runs by what came of them.
func (o *Outcome) Expected() (n [NotReached + 1]int) {
	for i := range o.Runs {
		for _, st := range o.Runs[i].Steps {
			for _, s := range st.Sees {
				n[s.Standing] += len(o.Runs[i].Paces)
			}
		}
	}
	return n
}

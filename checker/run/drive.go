package run

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/ask"
	"pintle/checker/question/drives"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// DriveRequest asks to run drives of one file.
type DriveRequest struct {
	OpenRequest
	Names []string // of the drives; none: all
	// One run of one drive is asked for: that with the first of Paces.
	One  bool
	Show []string // measures to be recorded: "volts at K1.86"
	// Every adds a sample to recordings each so many ns; 0: none.
	Every int64
	// Paces are those that are run; none: all that make a difference.
	Paces []scenario.Pace
	// Step, if set, is told how many of all drives were run.
	Step func(done, all int)
}

// DriveResult is the outcome of a DriveRequest.
type DriveResult struct {
	File   string
	Title  string
	Drives []Driven
	// Failures are what of the design could not be read.
	Failures []Failure
	Notices  []Failure
}

// Driven is one drive, in all designs that it is meant for.
type Driven struct {
	Name     string
	Text     string // what its `##` lines say
	Place    diag.Place
	Outcomes []drives.Outcome
}

const showFlag = "--show"

// Drive runs drives of one file, those on benches of parts too. The errors are those of the
// context, of the search for the file, and *QuestionError; anything else is a sentence for the
// person who asks.
func Drive(ctx context.Context, req DriveRequest) (*DriveResult, error) {
	req.Benches = true
	var list []asked
	o, err := Open(ctx, req.OpenRequest, func(text string) (behind string, err error) {
		var pieces []said
		for _, s := range req.Show {
			pieces = append(pieces, said{showFlag, ask.ReadMeasure(s)})
		}
		list, behind, err = statements(text, pieces)
		return behind, err
	})
	if err != nil {
		return nil, err
	}
	if err := o.misasked(list); err != nil {
		return nil, err
	}
	out := &DriveResult{File: o.File, Title: o.Designs[0].Title, Failures: o.Failures, Notices: o.Notices}
	jobs, err := out.plan(o, req.Names)
	if err == nil && req.One {
		jobs, err = out.one(jobs)
	}
	if err != nil {
		return nil, err
	}
	for i, j := range jobs {
		p := o.Pass(ctx, j.design)
		how := drives.Recorder{Show: shown(j.design, list), Every: req.Every, Paces: req.Paces}
		var got drives.Outcome
		var refused error
		stopped := p.Ask(func(p *rule.Pass) { got, refused = drives.Of(p, j.drive, how) })
		if err := cmp.Or(ctx.Err(), refused); err != nil {
			return nil, err
		}
		if stopped != nil {
			got = drives.Judge(j.design, j.drive, nil)
			got.Unread = stopped.Error()
		}
		d := &out.Drives[j.at]
		d.Outcomes = append(d.Outcomes, got)
		if req.Step != nil {
			req.Step(i+1, len(jobs))
		}
	}
	return out, nil
}

// job is a drive to run in a design.
type job struct {
	design    *model.Design
	drive, at int
}

// plan lists the drives that are asked for, and where each is to be run.
func (r *DriveResult) plan(o *Opened, names []string) (jobs []job, err error) {
	var have []string
	found := map[string]bool{}
	for _, d := range o.Designs {
		for i := range d.Drives {
			v := &d.Drives[i]
			have = append(have, v.Path)
			if len(names) > 0 && !slices.Contains(names, v.Path) && !slices.Contains(names, v.Name) {
				continue
			}
			found[v.Path], found[v.Name] = true, true
			if !rule.MeantFor(v, d) {
				continue
			}
			at := slices.IndexFunc(r.Drives, func(x Driven) bool { return x.Place == v.NamePlace })
			if at < 0 {
				at = len(r.Drives)
				r.Drives = append(r.Drives, Driven{Name: v.Path, Text: v.Doc, Place: v.NamePlace})
			}
			jobs = append(jobs, job{d, i, at})
		}
	}
	for _, n := range names {
		if !found[n] {
			return nil, NoSuch("drive of "+o.File, n, have)
		}
	}
	switch {
	case len(have) == 0:
		return nil, fmt.Errorf("%s has no drive; write one, or move things by hand with --live", o.File)
	case len(jobs) == 0:
		return nil, fmt.Errorf("what is asked for of %s is not meant for these options", o.File)
	}
	return jobs, nil
}

// one is the only run that is asked for.
func (r *DriveResult) one(jobs []job) ([]job, error) {
	if len(r.Drives) > 1 {
		var names []string
		for i := range r.Drives {
			names = append(names, r.Drives[i].Name)
		}
		return nil, fmt.Errorf("this form holds one run; name one drive: %s", strings.Join(names, ", "))
	}
	if len(jobs) > 1 {
		var names []string
		for _, j := range jobs {
			names = append(names, j.design.Name)
		}
		return nil, fmt.Errorf("this form holds one run, and %s runs in %d designs; choose one with --option: %s", r.Drives[0].Name, len(jobs), strings.Join(names, "; "))
	}
	return jobs, nil
}

// EachRun calls a function with each run that was recorded, in order.
func (r *DriveResult) EachRun(f func(*Driven, *drives.Outcome, *drives.Run)) {
	for i := range r.Drives {
		for k := range r.Drives[i].Outcomes {
			o := &r.Drives[i].Outcomes[k]
			for n := range o.Runs {
				if x := &o.Runs[n]; x.Recording != nil && len(x.Recording.Samples) > 0 {
					f(&r.Drives[i], o, x)
				}
			}
		}
	}
}

// shown are the signals of the measures that are asked for, of those that a design has.
func shown(d *model.Design, list []asked) (out []drives.Signal) {
	for i := range list {
		if c := ask.Asked(d, list[i].name); c != nil && c.Op == model.CondAtom {
			out = append(out, drives.MeasureSignal(list[i].Text, c.Atom.Measure))
		}
	}
	return out
}

// Standing is that of a drive in all designs: missed if it is in any, else undecided if it is in
// any.
func (d *Driven) Standing() (out drives.Standing, why string, in *drives.Outcome) {
	for i := range d.Outcomes {
		if s, because := d.Outcomes[i].Standing(); s == drives.Missed || s != drives.Met && out == drives.Met {
			if out, why, in = s, because, &d.Outcomes[i]; s == drives.Missed {
				break
			}
		}
	}
	return out, why, in
}

// Met reports whether every drive was met.
func (r *DriveResult) Met() bool {
	return !slices.ContainsFunc(r.Drives, func(d Driven) bool { s, _, _ := d.Standing(); return s != drives.Met })
}

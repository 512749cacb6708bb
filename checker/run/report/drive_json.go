package report

import (
	"io"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/drives"
	"pintle/checker/run"
	"pintle/lang/diag"
)

// driveVersion is that of the JSON output, whose schema is drive.schema.json.
const driveVersion = 1

// The layout of the JSON output. Times are in seconds from the start of the run.
type (
	driveDocument struct {
		Version  int           `json:"version"`
		File     string        `json:"file"`
		Design   string        `json:"design"`
		Drives   []driveEntry  `json:"drives"`
		Failures []failureJSON `json:"failures"`
	}
	driveEntry struct {
		Name     string         `json:"name"`
		Text     string         `json:"text,omitempty"`
		Line     int            `json:"line"`
		Standing string         `json:"standing"`
		Why      string         `json:"why,omitempty"`
		Designs  []driveOutcome `json:"designs"`
	}
	driveOutcome struct {
		Design   string     `json:"design,omitempty"`
		Standing string     `json:"standing"`
		Why      string     `json:"why,omitempty"`
		Runs     []driveRun `json:"runs"`
	}
	driveRun struct {
		Paces      []string    `json:"paces"`
		Standing   string      `json:"standing"`
		Why        string      `json:"why,omitempty"`
		AtFirst    string      `json:"at_first,omitempty"`
		Steps      []driveStep `json:"steps"`
		Open       []driveOpen `json:"open"`
		Unfinished string      `json:"unfinished,omitempty"`
	}
	driveStep struct {
		Name     string       `json:"name"`
		Moves    []string     `json:"moves"`
		Ended    *float64     `json:"ended,omitempty"`
		Events   []driveEvent `json:"events"`
		Expected []driveSee   `json:"expected"`
	}
	driveEvent struct {
		At   float64 `json:"at"`
		Kind string  `json:"kind"`
		Text string  `json:"text"`
	}
	driveSee struct {
		Text     string   `json:"text"`
		Standing string   `json:"standing"`
		Line     int      `json:"line"`
		At       *float64 `json:"at,omitempty"`
		Seen     string   `json:"seen,omitempty"`
		Because  []string `json:"because,omitempty"`
	}
	driveOpen struct {
		Step int    `json:"step"`
		Why  string `json:"why"`
		Line int    `json:"line"`
	}
)

func driveJSON(w io.Writer, r *run.DriveResult) error {
	out := driveDocument{Version: driveVersion, File: r.File, Design: r.Title, Drives: []driveEntry{}, Failures: []failureJSON{}}
	for _, f := range r.Failures {
		out.Failures = append(out.Failures, failureJSON{f.File, f.What})
	}
	for i := range r.Drives {
		d := &r.Drives[i]
		s, why, _ := d.Standing()
		x := driveEntry{Name: d.Name, Text: d.Text, Line: lineNumber(d.Place), Standing: s.String(), Why: why, Designs: []driveOutcome{}}
		for k := range d.Outcomes {
			x.Designs = append(x.Designs, driveOutcomeJSON(&d.Outcomes[k]))
		}
		out.Drives = append(out.Drives, x)
	}
	return encodeJSON(w, out, "  ")
}

func driveOutcomeJSON(o *drives.Outcome) driveOutcome {
	s, why := o.Standing()
	out := driveOutcome{Design: o.Design.Name, Standing: s.String(), Why: why, Runs: []driveRun{}}
	for i := range o.Runs {
		r := &o.Runs[i]
		s, why := r.Standing()
		x := driveRun{Standing: s.String(), Why: why, AtFirst: r.AtFirst(), Steps: []driveStep{}, Open: []driveOpen{}}
		for _, p := range r.Paces {
			x.Paces = append(x.Paces, p.String())
		}
		for k := range r.Steps {
			x.Steps = append(x.Steps, stepJSON(r, k))
		}
		for _, open := range r.Open {
			x.Open = append(x.Open, driveOpen{open.Step + 1, open.Why, lineNumber(open.Place)})
		}
		if r.Err != nil {
			x.Unfinished = r.Err.Error()
		}
		out.Runs = append(out.Runs, x)
	}
	return out
}

func stepJSON(r *drives.Run, i int) driveStep {
	st := &r.Steps[i]
	out := driveStep{Name: st.Name, Moves: append([]string{}, st.Moves...), Events: []driveEvent{}, Expected: []driveSee{}}
	if st.Done {
		out.Ended = seconds(st.Ended)
	}
	for _, e := range r.Events {
		if e.Step == i {
			out.Events = append(out.Events, driveEvent{*seconds(e.At), e.Kind, e.Text})
		}
	}
	for _, s := range st.Sees {
		x := driveSee{Text: s.Text, Standing: s.Standing.String(), Line: lineNumber(s.Place), Seen: s.Seen}
		if s.Standing != drives.NotReached {
			x.At = seconds(s.At)
		}
		for _, l := range s.Because {
			x.Because = append(x.Because, l.Text)
		}
		out.Expected = append(out.Expected, x)
	}
	return out
}

func seconds(ns int64) *float64 {
	s := scenario.Seconds(ns)
	return &s
}

// lineNumber is that of a place, from 1; 0 if it has none.
func lineNumber(p diag.Place) int {
	if p.File == nil {
		return 0
	}
	return p.File.Position(p.Start).Line
}

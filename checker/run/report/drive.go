package report

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/drives"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/escape"
)

// WriteDrive writes what came of drives as text, json or csv, or one run as vcd or svg: the first
// that there is.
func WriteDrive(w io.Writer, as string, r *run.DriveResult) error {
	switch as {
	case "json":
		return driveJSON(w, r)
	case "csv":
		return driveCSV(w, r)
	case "vcd", "svg":
		err := errors.New("nothing was run: see --as text")
		done := false
		r.EachRun(func(d *run.Driven, o *drives.Outcome, x *drives.Run) {
			switch {
			case done:
			case as == "svg":
				err = driveSVG(w, r.Title, d, x)
			default:
				err = writeVCD(w, r.Title+": drive "+d.Name+", with "+x.Paces[0].String(), x.Recording)
			}
			done = true
		})
		return err
	}
	out := bufio.NewWriter(w)
	if r.Title != "" {
		fmt.Fprintf(out, "%s\n\n", escape.Line(r.Title))
	}
	for i := range r.Drives {
		if i > 0 {
			fmt.Fprintln(out)
		}
		fmt.Fprint(out, DriveText(r.Drives[i].Name, r.Drives[i].Outcomes))
	}
	return out.Flush()
}

// timeWidth is that of the column of times.
const timeWidth = 9

// DriveText tells what came of one drive, as a time line for people.
func DriveText(name string, all []drives.Outcome) string {
	var b strings.Builder
	t := driveText{&b}
	t.line(0, "%s", drives.Summary(name, all))
	if len(all) > 0 {
		for text := range strings.Lines(all[0].Drive.Doc) {
			t.line(2, "%s", strings.TrimRight(text, "\r\n"))
		}
	}
	told := make([]bool, len(all))
	for i := range all {
		if told[i] {
			continue
		}
		o := &all[i]
		where := []string{o.Design.Name}
		for k := i + 1; k < len(all); k++ {
			if !told[k] && o.Same(&all[k]) {
				told[k], where = true, append(where, all[k].Design.Name)
			}
		}
		name := strings.Join(where, "; ")
		if o.Unread != "" {
			if name != "" {
				name += ": "
			}
			t.line(2, "UNDECIDED: %s%s", name, o.Unread)
			continue
		}
		for k := range o.Runs {
			t.run(name, o, &o.Runs[k])
		}
	}
	return b.String()
}

type driveText struct{ io.Writer }

func (t driveText) line(indent int, format string, args ...any) {
	fmt.Fprintf(t, "%*s%s\n", indent, "", escape.Line(fmt.Sprintf(format, args...)))
}

// at is a line with a time, in ns.
func (t driveText) at(at int64, format string, args ...any) {
	t.line(4, "%*s  %s", timeWidth, scenario.Clocktime(at), fmt.Sprintf(format, args...))
}

// below is a line below one with a time.
func (t driveText) below(indent int, format string, args ...any) {
	t.line(4+timeWidth+2+indent, format, args...)
}

func (t driveText) run(name string, o *drives.Outcome, r *drives.Run) {
	fmt.Fprintln(t)
	head := []string{}
	if name != "" {
		head = append(head, name)
	}
	switch {
	case len(o.Runs) > 1:
		head = append(head, "with "+paces(r.Paces))
	case len(r.Paces) > 1:
		head = append(head, "the same with every duration in the middle of its interval, at its shortest and at its longest")
	}
	if len(head) > 0 {
		t.line(2, "%s", strings.Join(head, ", "))
	}
	if first := r.AtFirst(); first != "" {
		t.line(2, "at first: %s", first)
	}
	from := int64(0)
	if r.Recording != nil && len(r.Recording.Samples) > 0 {
		from = r.Recording.Samples[0].At
	}
	told := map[diag.Place]bool{}
	for i := range r.Steps {
		if i == 0 || r.Steps[i-1].Done {
			t.step(r, i, from)
		} else {
			t.line(2, "%s: not reached", r.Steps[i].Name)
		}
		from = r.Steps[i].Ended
		for _, s := range r.Steps[i].Sees {
			told[s.Place] = s.Standing == drives.Undecided
		}
	}
	for _, x := range r.Open {
		if !told[x.Place] {
			t.line(2, "UNDECIDED: %s%s", x.Why, lineOf(x.Place))
		}
	}
	if r.Err != nil {
		t.line(2, "not driven to its end: %s", r.Err)
	}
}

// StepText tells of one step of a run, from 0, that began at a time, in ns.
func StepText(r *drives.Run, i int, from int64) string {
	var b strings.Builder
	driveText{&b}.step(r, i, from)
	return b.String()
}

func (t driveText) step(r *drives.Run, i int, from int64) {
	st := &r.Steps[i]
	head := st.Name
	if st.Done && st.Ended != from {
		head += fmt.Sprintf(", from %s to %s", scenario.Clocktime(from), scenario.Clocktime(st.Ended))
	}
	if len(st.Moves) > 0 {
		head += ": " + strings.Join(st.Moves, ", ")
	}
	t.line(2, "%s", head)
	sees := st.Sees
	missed := func(before int64) {
		for _, s := range sees {
			if s.Standing == drives.Missed && s.At < before {
				t.miss(&s)
			}
		}
		kept := sees[:0:0]
		for _, s := range sees {
			if s.Standing != drives.Missed || s.At >= before {
				kept = append(kept, s)
			}
		}
		sees = kept
	}
	for _, e := range r.Events {
		if e.Step == i && e.Kind != "fault" { // a fault stands among the moves
			missed(e.At)
			t.at(e.At, "%s", e.Text)
		}
	}
	for k := range sees {
		switch s := &sees[k]; s.Standing {
		case drives.Met:
			t.at(s.At, "as expected: %s", s.Text)
		case drives.Missed:
			t.miss(s)
		case drives.Undecided:
			t.at(s.At, "UNDECIDED: %s%s: %s", s.Text, lineOf(s.Place), s.Seen)
		default:
			t.below(0, "not reached: %s%s", s.Text, lineOf(s.Place))
		}
	}
}

func (t driveText) miss(s *drives.See) {
	t.at(s.At, "NOT AS EXPECTED: %s%s", s.Text, lineOf(s.Place))
	t.below(2, "seen: %s", s.Seen)
	if len(s.Because) > 0 {
		t.below(2, "because:")
	}
	for _, l := range s.Because {
		t.below(4, "%s", l.Text)
	}
}

// lineOf says in which line a place is.
func lineOf(p diag.Place) string {
	if n := lineNumber(p); n > 0 {
		return fmt.Sprintf(" (line %d)", n)
	}
	return ""
}

func paces(all []scenario.Pace) string {
	out := make([]string, len(all))
	for i, p := range all {
		out[i] = p.String()
	}
	return strings.Join(out, ", and with ")
}

package live

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/ask"
	"pintle/checker/question/drives"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Session is a design that is moved by hand. Its methods are for one caller at a time.
type Session struct {
	req   run.OpenRequest
	pace  scenario.Pace
	from  string           // the drive from whose end it begins; empty: at rest
	with  []string         // what the drive is for: "trim is rich"
	base  string           // begins names that the design does not have
	lines []string         // what was done
	done  [][]drives.Event // what each line brought about
	ends  []int64          // when each line had been done, ns
	begin int64            // when the first began, ns
	hand  *drives.Hand
	moved bool // something was done that is not written yet
}

// Begin opens the one design that a request is about. from names a drive from whose end it goes
// on; empty: the battery has just been connected.
func Begin(ctx context.Context, req run.OpenRequest, from string, pace scenario.Pace) (*Session, error) {
	o, err := run.Open(ctx, req, nil)
	if err != nil {
		return nil, err
	}
	if len(o.Failures) > 0 {
		return nil, errors.New(o.Failures[0].String())
	}
	if len(o.Designs) > 1 {
		var names []string
		for _, d := range o.Designs {
			names = append(names, d.Name)
		}
		return nil, fmt.Errorf("%s holds %d designs; choose one with --option: %s", o.File, len(names), strings.Join(names, "; "))
	}
	s := &Session{req: req, pace: pace, from: from, base: "by_hand"}
	for strings.Contains(o.Source.Tree.Src.Text, s.base) {
		s.base += "_"
	}
	s.req.Source = o.Source
	d := o.Designs[0]
	for _, c := range d.Choices {
		s.with = append(s.with, c.Option+" is "+c.Position)
	}
	if from != "" {
		names := []string{}
		for i := range d.Drives {
			names = append(names, d.Drives[i].Name)
		}
		if !slices.Contains(names, from) {
			return nil, run.NoSuch("drive of "+o.File, from, names)
		}
	}
	r, err := s.read(ctx, nil)
	if err != nil {
		return nil, err
	}
	if s.hand, err = drives.Take(ctx, r.design, r.drive, pace); err != nil {
		return nil, err
	}
	s.begin = s.hand.Now(ctx).State.At
	return s, nil
}

// read is what a design is with some lines.
type read struct {
	design *model.Design
	drive  *model.Drive
	asked  *model.Cond // of a condition that was read beside them
}

// text is the drive of some lines.
func (s *Session) text(name string, lines []string) string {
	clauses := []string{}
	if len(s.with) > 0 {
		clauses = append(clauses, "with "+strings.Join(s.with, ", with "))
	}
	if s.from != "" {
		clauses = append(clauses, "from the state of "+s.from)
	}
	head := "drive " + name
	if len(clauses) > 0 {
		head += ": " + strings.Join(clauses, ", ")
	}
	return head + " {\n" + step + strings.Join(lines, "\n"+step) + "\n}\n"
}

const step = "    step: "

// lineError is a line that could not be read.
type lineError struct{ found []diag.Finding }

func (e *lineError) Error() string { return e.found[0].Message }

// read reads some lines, and a question beside them, behind the design. Without lines there is
// one step, which does nothing. An error about the last line or the question is a *lineError or
// *run.QuestionError.
func (s *Session) read(ctx context.Context, lines []string, questions ...ask.Question) (*read, error) {
	if len(lines) == 0 {
		lines = []string{"wait 0 s"}
	}
	name, question := s.base+"_drive", s.base+"_question"
	text := s.text(name, lines)
	var q *ask.Question
	if len(questions) > 0 {
		q = &questions[0]
		text += q.Statement(question)
	}
	o, err := run.Open(ctx, s.req, func(string) (string, error) { return text, nil })
	if err != nil {
		return nil, err
	}
	all := slices.Concat(o.Tree.Findings, o.Read.Findings)
	if q != nil {
		if found := q.Own(all, question, o.End+strings.Index(text, "require "+question)); len(found) > 0 {
			return nil, &lineError{found}
		}
	}
	var found []diag.Finding
	last := o.End + strings.LastIndex(text[:strings.LastIndex(text, "\n}\n")], step) + len(step)
	for _, f := range all {
		if f.Severity == diag.Error && !f.IsZero() && f.File.Name == o.File && f.Start >= o.End {
			f.Start, f.End = max(0, f.Start-last), max(0, f.End-last)
			found = append(found, f)
		}
	}
	if len(found) > 0 {
		return nil, &lineError{found}
	}
	d := o.Designs[0]
	at := slices.IndexFunc(d.Drives, func(v model.Drive) bool { return v.Name == name && v.Fit == model.None })
	if at < 0 {
		return nil, errors.New("the line could not be read")
	}
	out := &read{design: d, drive: &d.Drives[at]}
	if q != nil {
		out.asked = ask.Asked(d, question)
	}
	return out, nil
}

// hold is the design with what was read in hand, at the end of the lines that were done: as it
// stands, or driven anew where what was read changes what the design remembers.
func (s *Session) hold(ctx context.Context, r *read) (*drives.Hand, error) {
	if s.hand.Fits(r.design) {
		return s.hand, nil
	}
	h, err := drives.Take(ctx, r.design, r.drive, s.pace)
	for i := range s.lines {
		if err == nil {
			_, err = h.Step(ctx, r.drive, i)
		}
	}
	return h, err
}

// do does a line and records it.
func (s *Session) do(ctx context.Context, line string) (*drives.Run, error) {
	lines := append(slices.Clone(s.lines), line)
	r, err := s.read(ctx, lines)
	if err != nil {
		return nil, err
	}
	h, err := s.hold(ctx, r)
	if err != nil {
		return nil, err
	}
	got, err := h.Step(ctx, r.drive, len(s.lines))
	if err != nil {
		return nil, err
	}
	s.hand, s.lines, s.moved = h, lines, true
	s.ends, s.done = append(s.ends, got.Ends[0]), append(s.done, got.Events)
	return got, nil
}

// undo takes the last line back; it is empty if there is none. The design in hand is then again
// the one of the lines before it.
func (s *Session) undo(ctx context.Context) (string, error) {
	n := len(s.lines)
	if n == 0 {
		return "", nil
	}
	line := s.lines[n-1]
	r, err := s.read(ctx, s.lines[:n-1])
	if err != nil {
		return "", err
	}
	was := s.lines
	s.lines = s.lines[:n-1]
	h, err := s.hold(ctx, r)
	if err != nil {
		s.lines = was
		return "", err
	}
	if h == s.hand {
		h.Undo()
	}
	s.hand, s.ends, s.done, s.moved = h, s.ends[:n-1], s.done[:n-1], n > 1
	return line, nil
}

// now is when the last line had been done, ns from the start.
func (s *Session) now() int64 {
	if n := len(s.ends); n > 0 {
		return s.ends[n-1]
	}
	return s.begin
}

package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/escape"
	"pintle/lang/source"
)

// gutter is the width of what stands left of messages and excerpts: a severity or a
// line number, and three blanks.
const gutter = 10

// Colours by what is drawn in them (ANSI).
const (
	red    = "\x1b[1;31m"
	yellow = "\x1b[1;33m"
	blue   = "\x1b[1;34m"
	green  = "\x1b[1;32m"
	faint  = "\x1b[2m"
	plain  = "\x1b[0m"
)

// text writes findings for people.
type text struct {
	*bufio.Writer
	colour, whole bool
}

// mostTraces bounds the ways to what is wrong that are shown of one finding, unless all is
// asked for; the first are the shortest.
const mostTraces = 3

func writeText(w io.Writer, r *run.Result, o Options) error {
	t := text{bufio.NewWriter(w), o.Colour, o.Whole}
	for _, s := range stories(r.Findings) {
		t.finding(&r.Findings[s.root])
		if !o.Whole {
			t.following(r, s)
		}
		fmt.Fprintln(t)
		for _, i := range s.follows {
			if o.Whole {
				t.finding(&r.Findings[i])
				fmt.Fprintln(t)
			}
		}
	}
	if o.Verdicts {
		t.verdicts(r)
	}
	t.summary(r, o)
	return t.Flush()
}

func (t text) in(colour, s string) string {
	if !t.colour || s == "" {
		return s
	}
	return colour + s + plain
}

func severityColour(s diag.Severity) string {
	switch s {
	case diag.Error:
		return red
	case diag.Warning:
		return yellow
	}
	return blue
}

// row writes one line with something in the gutter.
func (t text) row(left, rest string) {
	if rest == "" {
		fmt.Fprintf(t, "%s\n", strings.TrimRight(left, " "))
		return
	}
	fmt.Fprintf(t, "%s%s%s\n", left, strings.Repeat(" ", max(1, gutter-len(left))), rest)
}

func (t text) finding(f *diag.Finding) {
	word := strings.ToUpper(f.Severity.String())
	fmt.Fprintf(t, "%s%s%s\n", t.in(severityColour(f.Severity), word), strings.Repeat(" ", gutter-len(word)), escape.Line(f.Message))
	under := position(f.Place) + "   " + f.Rule
	if f.Where != "" {
		under += "   " + f.Where
	}
	t.row("", t.in(faint, escape.Line(under)))
	if f.Follows != nil {
		t.row("", t.in(faint, escape.Line(follows(f))))
	}
	fmt.Fprintln(t)
	t.place(f.Place, severityColour(f.Severity), "", nil)
	for _, r := range f.Related {
		t.place(r.Place, blue, r.Note, f.Place.File)
	}
	traces := 0
	for _, e := range f.Evidence {
		if e.Kind == diag.Trace && !t.whole {
			if traces++; traces > mostTraces {
				continue
			}
		}
		t.evidence(e, f.Place)
	}
	if n := traces - mostTraces; n > 0 {
		t.row("", fmt.Sprintf("and %s (--whole shows all)", count(n, "other way")))
	}
	if f.Why != "" {
		t.row("", "why: "+escape.Line(f.Why))
	}
	if help := f.Help; help != "" {
		t.row("", t.in(green, "do:")+"  "+escape.Line(help))
	}
	for _, fix := range f.Fixes {
		t.row("", t.in(green, "fix:")+" "+escape.Line(fix.Title))
	}
}

// place writes the line that a place begins on, with the place marked below it. A
// place in another file than the one before names it.
func (t text) place(p diag.Place, colour, note string, before *source.File) {
	if p.IsZero() {
		if note != "" {
			t.row("", escape.Line(note))
		}
		return
	}
	if before != nil && before.Name != p.File.Name {
		t.row("", t.in(faint, escape.Line("in "+position(p))))
	}
	n := p.File.LineOf(p.Start)
	at := p.File.LineStart(n)
	e := newExcerpt(p.File.Line(n), p.Start-at, p.End-at)
	number := fmt.Sprintf("%*d", gutter-4, n+1)
	t.row(number, e.text)
	marker := strings.Repeat(" ", e.start) + t.in(colour, e.marker())
	if note != "" {
		marker += " " + escape.Line(note)
	}
	t.row("", marker)
}

var evidenceTitles = map[diag.EvidenceKind]string{
	diag.Path:     "current path",
	diag.Interval: "where",
	diag.Trace:    "what to do to see it",
	diag.Values:   "numbers",
	diag.Chain:    "how it comes about",
}

func (t text) evidence(e diag.Evidence, about diag.Place) {
	title := e.Title
	if title == "" {
		title = evidenceTitles[e.Kind]
	}
	t.row("", escape.Line(title)+":")
	for i, line := range e.Lines {
		// Traces and chains carry numbers and indentation of their own.
		s := "  " + escape.Line(line.Text)
		switch e.Kind {
		case diag.Path:
			s = fmt.Sprintf("  %-3s %s", fmt.Sprintf("%d.", i+1), escape.Line(line.Text))
		case diag.Interval, diag.Values:
			s = "  - " + escape.Line(line.Text)
		}
		if !line.Place.IsZero() {
			at := fmt.Sprintf("line %d", line.File.LineOf(line.Start)+1)
			if line.File.Name != nameOf(about) {
				at = fmt.Sprintf("%s:%d", line.File.Name, line.File.LineOf(line.Start)+1)
			}
			s += t.in(faint, escape.Line("   ("+at+")"))
		}
		t.row("", s)
	}
}

func nameOf(p diag.Place) string {
	if p.IsZero() {
		return ""
	}
	return p.File.Name
}

// position is path:line:column; the file alone for a finding about no place in it.
func position(p diag.Place) string {
	if p.IsZero() {
		return "(no file)"
	}
	at := p.File.Position(p.Start)
	return fmt.Sprintf("%s:%d:%d", p.File.Name, at.Line, at.Column)
}

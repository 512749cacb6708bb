package report

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"pintle/checker/question/replay"
	"pintle/checker/run"
	"pintle/lang/escape"
	"pintle/lang/unit"
)

// ReplayForms are the forms in which WriteReplay writes.
var ReplayForms = []string{"text", "json", "csv", "svg"}

// WriteReplay writes what a recording shows. The trace is that of the request; only svg needs
// it.
func WriteReplay(w io.Writer, as string, r *run.ReplayResult, trace *ReplayTrace) error {
	switch as {
	case "json":
		return replayJSON(w, r)
	case "csv":
		return replayCSV(w, r)
	case "svg":
		c := trace.chart(r)
		return c.WriteSVG(w)
	}
	out := bufio.NewWriter(w)
	t := replayText{askText{out}, r}
	t.all()
	return out.Flush()
}

// seconds writes a time in ns from the first row.
func since(ns int64) string { return unit.Format(float64(ns)/1e9, unit.Time) }

type replayText struct {
	askText
	r *run.ReplayResult
}

func (t replayText) all() {
	r := t.r
	t.line(0, "%s: %s", r.Title, r.Log)
	t.line(2, "%d rows over %s", r.Rows, since(r.Length))
	for _, c := range r.Columns {
		what := "compared"
		if c.Input {
			what = "moves the design"
		}
		if c.Missing > 0 {
			what += fmt.Sprintf("; %d rows have no value", c.Missing)
		}
		t.line(2, "column %q is %s: %s", c.Column, c.Thing, what)
	}
	list := func(what string, of []string) {
		if len(of) > 0 {
			t.line(2, "%s: %s", what, strings.Join(of, ", "))
		}
	}
	list("columns that are mapped to nothing", r.Unmapped)
	list("without a column, so taken anywhere", r.Unrecorded)
	list("held", r.Held)
	for _, n := range r.Notes {
		t.line(2, "%s", n)
	}
	fmt.Fprintln(t)
	switch {
	case r.Lost != "":
		t.line(0, "%s", r.Lost)
		t.line(0, "Before that the recording %s.", map[bool]string{true: "agrees with the design", false: "departs from the design"}[len(r.Stories) == 0])
	case len(r.Stories) == 0:
		t.line(0, "The recording agrees with the design.")
	default:
		t.line(0, "The recording departs from the design.")
	}
	if r.Short > 0 {
		t.line(0, "%d departures did not last long enough to count.", r.Short)
	}
	for i := range r.Stories {
		t.story(&r.Stories[i])
	}
	if len(r.Points) > 0 {
		fmt.Fprintln(t)
		t.line(0, "Switching points, as described and as recorded:")
		for i := range r.Points {
			t.point(&r.Points[i])
		}
	}
	if r.Unattributed > 0 {
		t.line(2, "%d changes are no pass: no quantity, or more than one, explains them", r.Unattributed)
	}
	if !r.Agrees() {
		fmt.Fprintf(t, "\n%s\n", cautions)
	}
}

func (t replayText) story(s *replay.Story) {
	fmt.Fprintln(t)
	recorded := s.Recorded
	times := "once"
	if s.Count > 1 {
		times = fmt.Sprintf("%d times", s.Count)
	}
	t.line(0, "%s: described %s, recorded %s: %s, %s in all", s.Thing, s.Expected, recorded, times, since(s.Total))
	at := func(d *replay.Departure) string {
		return fmt.Sprintf("at %s (line %d), for %s", since(d.From), d.Line, since(d.To-d.From))
	}
	t.line(2, "first %s", at(&s.First))
	if s.Count > 1 && s.Longest.Line != s.First.Line {
		t.line(2, "longest %s", at(&s.Longest))
	}
	e := s.Explained
	if e == nil {
		return
	}
	where := fmt.Sprintf("of %d single faults that were tried on the recording from %s to %s", e.Tried, since(e.From), since(e.To))
	if len(e.Groups) == 0 {
		t.line(2, "%s, none explains it", where)
	} else {
		t.line(2, "%s, these would explain it:", where)
		for _, g := range e.Groups {
			t.line(4, "- %s", strings.Join(g, ", or "))
		}
	}
	if n := e.Of - e.Tried; n > 0 {
		t.line(2, "%d faults could not be tried: %s", n, strings.Join(e.Open[:min(3, len(e.Open))], "; "))
	}
}

func (t replayText) point(p *replay.Point) {
	way := "falls"
	if p.Rising {
		way = "rises"
	}
	by := ""
	if p.By != "" {
		by = " (" + p.By + ")"
	}
	t.line(2, "%s goes from %s to %s as %s %s", p.Thing, p.From, p.To, p.Quantity, way)
	t.line(4, "described %s%s", p.Value(p.Described), by)
	passes := "1 pass"
	if p.Passes != 1 {
		passes = fmt.Sprintf("%d passes", p.Passes)
	}
	if p.Verdict == replay.TooFew {
		t.line(4, "recorded  %s to %s, from %s: too few for a verdict, which needs %d", p.Value(p.Low), p.Value(p.High), passes, replay.FewestPasses)
		return
	}
	t.line(4, "recorded  %s to %s, with %s confidence from %s", p.Value(p.Low), p.Value(p.High), percent(p.Confidence), passes)
	switch p.Verdict {
	case replay.Covered:
		t.line(4, "covers the described value")
	default:
		low, high := p.ByHowMuch()
		word := "higher"
		if high < 0 {
			low, high, word = -high, -low, "lower"
		}
		t.line(4, "shifted: %s to %s %s than described", p.Difference(low), p.Difference(high), word)
	}
}

func percent(p float64) string { return strconv.FormatFloat(100*p, 'f', 1, 64) + " %" }

// replayCSV writes the departures, one in a row (RFC 4180).
func replayCSV(w io.Writer, r *run.ReplayResult) error {
	out := csv.NewWriter(w)
	out.UseCRLF = false
	rows := [][]string{{"column", "thing", "line", "from_s", "last_s", "to_s", "described", "recorded"}}
	number := func(ns int64) string { return strconv.FormatFloat(float64(ns)/1e9, 'f', -1, 64) }
	for _, d := range r.Departures {
		rows = append(rows, []string{
			escape.Line(d.Column), escape.Line(d.Thing), strconv.Itoa(d.Line), number(d.From), number(d.Last), number(d.To),
			escape.Line(d.Expected), escape.Line(d.Recorded),
		})
	}
	return out.WriteAll(rows)
}

package report

import (
	"errors"
	"io"

	"pintle/checker/engine/scenario"
	"pintle/checker/question/drives"
	"pintle/checker/run"
	"pintle/checker/run/report/plot"
)

// driveSVG draws one run: what is expected, quantities and measures as lines, and what else
// changes as bars.
func driveSVG(w io.Writer, title string, d *run.Driven, x *drives.Run) error {
	c := x.Recording
	first, last := c.Samples[0].At, c.Samples[len(c.Samples)-1].At
	if first == last {
		return errors.New("all of " + d.Name + " happens at one moment: there is no time to draw it over; see the time line, --as text")
	}
	_, why := x.Standing()
	if why == "" {
		why = "everything is as expected"
	}
	chart := plot.Chart{
		Title: title + ": " + d.Name, About: d.Name + ", with " + x.Paces[0].String() + ": " + why,
		From: scenario.Seconds(first), To: scenario.Seconds(last),
	}
	from := first
	expected := []plot.Span{}
	for i := range x.Steps {
		st := &x.Steps[i]
		chart.Marks = append(chart.Marks, plot.Mark{At: scenario.Seconds(from), Label: st.Name})
		if !st.Done {
			break
		}
		if s := worst(st); s != "" && st.Ended > from {
			expected = append(expected, plot.Span{From: scenario.Seconds(from), To: scenario.Seconds(st.Ended), State: s, Odd: s != drives.Met.String()})
		}
		from = st.Ended
	}
	if len(expected) > 0 {
		chart.Lanes = append(chart.Lanes, plot.Lane{Name: "expectations", Bars: []plot.Bar{{Spans: expected}}})
	}
	for i := range c.Signals {
		switch s := &c.Signals[i]; {
		case !c.Changes(i) && s.Kind > drives.OfQuantity && s.Kind != drives.OfMeasure:
		case s.Number():
			chart.Lanes = append(chart.Lanes, plot.Lane{Name: s.Path, Unit: s.Unit.Symbol, Step: s.Kind != drives.OfQuantity, Points: points(c, i)})
		default:
			chart.Lanes = append(chart.Lanes, plot.Lane{Name: s.Path, Bars: []plot.Bar{{Spans: spans(c, i)}}})
		}
	}
	return chart.WriteSVG(w)
}

// worst is what came of the expectations of a step; empty if it has none.
func worst(st *drives.Step) (out string) {
	for _, want := range [...]drives.Standing{drives.Met, drives.Undecided, drives.Missed} {
		for _, s := range st.Sees {
			if s.Standing == want {
				out = want.String()
			}
		}
	}
	return out
}

func points(c *drives.Recording, i int) (out []plot.Point) {
	gap := false
	for _, s := range c.Samples {
		if v := s.Values[i]; v.Known {
			out = append(out, plot.Point{At: scenario.Seconds(s.At), Value: v.Number, Gap: gap})
			gap = false
		} else {
			gap = true
		}
	}
	return out
}

// spans are the states of a signal; those that take no time are left out.
func spans(c *drives.Recording, i int) (out []plot.Span) {
	all := c.Last()
	for k := range all[:len(all)-1] {
		from, to, state := scenario.Seconds(all[k].At), scenario.Seconds(all[k+1].At), c.Signals[i].Text(all[k].Values[i])
		if n := len(out); n > 0 && out[n-1].State == state {
			out[n-1].To = to
		} else {
			out = append(out, plot.Span{From: from, To: to, State: state})
		}
	}
	return out
}

package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"pintle/checker/question/diagnose"
	"pintle/lang/escape"
	"pintle/lang/unit"
)

// suspects names the faults of some groups.
func suspects(p *diagnose.Plan, among []int) string {
	return strings.Join(named(p, among), ", ")
}

func named(p *diagnose.Plan, among []int) []string {
	out := make([]string, len(among))
	for k, i := range among {
		out[k] = p.Suspects[i].Words
	}
	return out
}

// planText says where to put the meter, in which order, with the cautions first.
func planText(out io.Writer, t *Faults) {
	p := t.Plan
	line := func(indent int, format string, args ...any) {
		fmt.Fprintf(out, "%*s%s\n", indent, "", escape.Line(fmt.Sprintf(format, args...)))
	}
	fmt.Fprintf(out, "\n%s\n", cautions)
	for _, c := range diagnose.Cautions(t.Design) {
		line(0, "%s", c)
	}
	fmt.Fprintln(out)
	if p.First == nil {
		line(0, "no measurement of volts against ground tells the faults below apart")
		unknown(line, p)
		return
	}
	line(0, "Where to put the meter (volts against ground; %.1f measurements on the average):", p.Steps)
	var tell func(x *diagnose.Test, indent int)
	tell = func(x *diagnose.Test, indent int) {
		m := p.Measurements[x.Measurement]
		sound := ""
		if !math.IsNaN(m.Sound) {
			sound = fmt.Sprintf(" (in order: %s)", unit.Format(round(m.Sound), unit.Voltage))
		}
		line(indent, "measure %s with %s%s", m.Place, m.State, sound)
		for i := range x.Outcomes {
			o := &x.Outcomes[i]
			if o.Next == nil {
				line(indent+4, "%s: %s", o.Reading(), suspects(p, o.Suspects))
				continue
			}
			line(indent+4, "%s:", o.Reading())
			tell(o.Next, indent+8)
		}
	}
	tell(p.First, 2)
	for _, a := range p.Alike {
		line(2, "not distinguished by volts: %s", suspects(p, a))
	}
	unknown(line, p)
}

// unknown names the faults of which the plan says nothing.
func unknown(line func(int, string, ...any), p *diagnose.Plan) {
	if len(p.Unknown) > 0 {
		line(2, "not known what a meter shows with: %s", suspects(p, p.Unknown))
	}
	if p.Left > 0 {
		line(2, "%d more faults that cause it are not distinguished here", p.Left)
	}
}

// round takes a few millivolts for none.
func round(v float64) float64 {
	if math.Abs(v) < 0.005 {
		return 0
	}
	return v
}

// planJSON is the form of a plan.
type planJSON struct {
	Cautions     []string    `json:"cautions"`
	Measurements []meterJSON `json:"measurements"`
	Expected     float64     `json:"expected_measurements"`
	First        *testJSON   `json:"first,omitempty"`
	Alike        [][]string  `json:"not_told_apart,omitempty"`
	Unknown      []string    `json:"not_known,omitempty"`
}

type meterJSON struct {
	Place  string       `json:"place"`
	State  string       `json:"state"`
	Sound  *float64     `json:"in_order_volts,omitempty"`
	Expect []expectJSON `json:"expect"`
}

type expectJSON struct {
	Fault string   `json:"fault"`
	Volts *float64 `json:"volts,omitempty"`
}

type testJSON struct {
	Measurement int           `json:"measurement"`
	Outcomes    []outcomeJSON `json:"outcomes"`
}

type outcomeJSON struct {
	Lo     float64   `json:"from_volts"`
	Hi     float64   `json:"to_volts"`
	Faults []string  `json:"faults"`
	Next   *testJSON `json:"next,omitempty"`
}

func planOf(t *Faults) *planJSON {
	p := t.Plan
	if p == nil {
		return nil
	}
	volts := func(v float64) *float64 {
		if math.IsNaN(v) {
			return nil
		}
		v = math.Round(round(v)*1000) / 1000
		return &v
	}
	j := &planJSON{Cautions: append([]string{strings.Join(strings.Fields(cautions), " ")}, diagnose.Cautions(t.Design)...), Expected: math.Round(p.Steps*100) / 100, Measurements: []meterJSON{}}
	for _, m := range p.Measurements {
		x := meterJSON{Place: m.Place, State: m.State, Sound: volts(m.Sound)}
		for i, v := range m.Volts {
			x.Expect = append(x.Expect, expectJSON{p.Suspects[i].Words, volts(v)})
		}
		j.Measurements = append(j.Measurements, x)
	}
	var test func(x *diagnose.Test) *testJSON
	test = func(x *diagnose.Test) *testJSON {
		if x == nil {
			return nil
		}
		out := &testJSON{Measurement: x.Measurement}
		for _, o := range x.Outcomes {
			out.Outcomes = append(out.Outcomes, outcomeJSON{*volts(o.Lo), *volts(o.Hi), named(p, o.Suspects), test(o.Next)})
		}
		return out
	}
	j.First = test(p.First)
	for _, a := range p.Alike {
		j.Alike = append(j.Alike, named(p, a))
	}
	j.Unknown = named(p, p.Unknown)
	return j
}

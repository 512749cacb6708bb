package report

import (
	"fmt"
	"math/big"
	"strings"

	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/escape"
)

// verdicts writes how everything stands that the designs say of themselves, and the register of
// what is accepted.
func (t text) verdicts(r *run.Result) {
	file := ""
	for i := range r.Verdicts {
		v := &r.Verdicts[i]
		if name := nameOf(v.Place); name != file {
			file = name
			fmt.Fprintf(t, "%s\n", escape.Line(name))
		}
		head := v.Kind + " " + v.Name
		if v.Design != "" {
			head += ", " + v.Design
		}
		if v.Text != "" {
			head += " (" + v.Text + ")"
		}
		fmt.Fprintf(t, "  %-18s %s\n", v.Said(), escape.Line(head))
		for _, l := range about(v) {
			fmt.Fprintf(t, "  %-18s   %s\n", "", escape.Line(l))
		}
	}
	if len(r.Verdicts) > 0 {
		fmt.Fprintln(t)
	}
	if len(r.Accepted) == 0 {
		return
	}
	fmt.Fprintln(t, "accepted")
	for i := range r.Accepted {
		a := &r.Accepted[i]
		fmt.Fprintf(t, "  %s\n", escape.Line(accepts(a)))
		fmt.Fprintf(t, "    %s\n", escape.Line(position(a.Place)+"   "+daysLeft(a)))
		for _, m := range a.Takes {
			fmt.Fprintf(t, "    takes: %s\n", escape.Line(m))
		}
		if len(a.Takes) == 0 {
			fmt.Fprintln(t, "    takes nothing")
		}
	}
	fmt.Fprintln(t)
}

// shownAssumed is how many assumed values people are shown of one verdict; JSON has all.
const shownAssumed = 3

// about reports what there is to a verdict besides its outcome.
func about(v *run.Verdict) (out []string) {
	if v.Corner != "" {
		out = append(out, "not with "+v.Corner)
	}
	if v.Why != "" {
		out = append(out, v.Why)
	}
	if v.States != nil {
		if v.States.IsInt64() && v.States.Int64() == 1 {
			out = append(out, "1 state looked at")
		} else {
			out = append(out, v.States.String()+" states looked at")
		}
	}
	if len(v.Assumptions) > 0 {
		out = append(out, "depends on the assumption "+strings.Join(v.Assumptions, ", "))
	}
	if n := len(v.Assumed); n > 0 {
		text := strings.Join(v.Assumed[:min(n, shownAssumed)], ", ")
		if n > shownAssumed {
			text += fmt.Sprintf(", and %d more", n-shownAssumed)
		}
		out = append(out, "computed from values that the text does not give: "+text)
	}
	return out
}

func accepts(a *run.Accepted) string {
	on := a.On
	if on == "" {
		on = "the design"
	}
	return a.Rule + " on " + on + ": " + a.Reason
}

func daysLeft(a *run.Accepted) string {
	switch {
	case a.Until == "":
		return "without an end"
	case a.DaysLeft == nil:
		return "until " + a.Until
	case a.Lapsed:
		return "ended on " + a.Until
	case *a.DaysLeft == 1:
		return "until " + a.Until + ", 1 day left"
	}
	return fmt.Sprintf("until %s, %d days left", a.Until, *a.DaysLeft)
}

// verdict adds the case of a verdict. One that does not stand fails as the findings about it do:
// it is skipped where all of them are accepted, and passes where none is severe enough.
func (s *junitSuite) verdict(v *run.Verdict, found []diag.Finding, failOn diag.Severity) {
	name := v.Kind + " " + v.Name
	if v.Design != "" {
		name += " (" + v.Design + ")"
	}
	said := v.Said()
	if more := about(v); len(more) > 0 {
		said += "\n" + strings.Join(more, "\n")
	}
	said = escape.Lines(said)
	worst, accepted := v.Severity(), ""
	for i := range found {
		f := &found[i]
		switch {
		case f.Subject != v.Name:
		case f.Waived != nil:
			accepted = f.Waived.Reason
		default:
			worst = max(worst, f.Severity)
			accepted = ""
		}
	}
	c := junitCase{Class: s.Name, Name: escape.Line(name)}
	switch {
	case v.Outcome == run.Proved, v.Outcome == run.Vacuous:
		c.Output = said
	case v.Outcome == run.Unread, accepted != "":
		s.Skipped++
		if accepted != "" {
			said += "\naccepted: " + escape.Lines(accepted)
		}
		c.Skipped = &junitMessage{Message: said}
	case worst >= failOn:
		s.Failures++
		c.Failure = &junitMessage{Message: said, Type: v.Said(), Text: position(v.Place)}
	default:
		c.Output = said
	}
	s.Cases = append(s.Cases, c)
}

// verdictsVersion is that of what stands below "verdicts" in the JSON output, whose schema is
// verdicts.schema.json.
const verdictsVersion = 1

type (
	verdictsDoc struct {
		Version  int             `json:"version"`
		Claims   []verdictDoc    `json:"claims"`
		Accepted []acceptanceDoc `json:"accepted"`
	}
	verdictDoc struct {
		Kind        string   `json:"kind"`
		Name        string   `json:"name"`
		Text        string   `json:"text,omitempty"`
		Design      string   `json:"design,omitempty"`
		File        string   `json:"file"`
		Line        int      `json:"line"`
		Outcome     string   `json:"outcome"`
		Corner      string   `json:"corner,omitempty"`
		Why         string   `json:"why,omitempty"`
		States      *big.Int `json:"states,omitempty"`
		Assumptions []string `json:"assumptions"`
		Assumed     []string `json:"assumed_values"`
	}
	acceptanceDoc struct {
		Rule     string   `json:"rule"`
		On       string   `json:"on,omitempty"`
		Reason   string   `json:"reason"`
		Until    string   `json:"until,omitempty"`
		DaysLeft *int     `json:"days_left,omitempty"`
		Lapsed   bool     `json:"lapsed"`
		File     string   `json:"file"`
		Line     int      `json:"line"`
		Takes    []string `json:"takes"`
	}
)

func newVerdicts(r *run.Result) *verdictsDoc {
	out := &verdictsDoc{Version: verdictsVersion, Claims: []verdictDoc{}, Accepted: []acceptanceDoc{}}
	for i := range r.Verdicts {
		v := &r.Verdicts[i]
		at := newPlace(v.Place)
		out.Claims = append(out.Claims, verdictDoc{
			Kind: v.Kind, Name: v.Name, Text: v.Text, Design: v.Design, File: at.File, Line: at.Range.Start.Line,
			Outcome: v.Outcome.String(), Corner: v.Corner, Why: v.Why, States: v.States,
			Assumptions: listed(v.Assumptions), Assumed: listed(v.Assumed),
		})
	}
	for i := range r.Accepted {
		a := &r.Accepted[i]
		at := newPlace(a.Place)
		out.Accepted = append(out.Accepted, acceptanceDoc{
			Rule: a.Rule, On: a.On, Reason: a.Reason, Until: a.Until, DaysLeft: a.DaysLeft, Lapsed: a.Lapsed,
			File: at.File, Line: at.Range.Start.Line, Takes: listed(a.Takes),
		})
	}
	return out
}

// listed is a list that is never null.
func listed(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

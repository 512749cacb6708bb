package report

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"strings"

	"pintle/checker/question/ask"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/escape"
)

// askVersion is that of the JSON output, whose schema is ask.schema.json.
const askVersion = 1

// WriteAsk writes answers as text or json.
func WriteAsk(w io.Writer, as string, r *run.AskResult) error {
	if as == "json" {
		return askJSON(w, r)
	}
	out := bufio.NewWriter(w)
	t := askText{out}
	head := r.Title
	if r.Fault != "" {
		head += ", with " + r.Fault
	}
	if r.From != "" {
		head += ", from " + r.From
	}
	if r.Given != "" {
		head += ", given " + r.Given
	}
	t.line(0, "%s", head)
	for i := range r.Answers {
		q := &r.Answers[i]
		fmt.Fprintln(out)
		t.line(0, "%s", q.Text)
		for k := range q.Replies {
			indent := 2
			if len(q.Replies) > 1 {
				t.line(2, "%s", q.Replies[k].Design)
				indent = 4
			}
			t.reply(indent, r, q.Text, &q.Replies[k].Reply)
		}
	}
	return out.Flush()
}

type askText struct{ io.Writer }

func (t askText) line(indent int, format string, args ...any) {
	fmt.Fprintf(t, "%*s%s\n", indent, "", escape.Line(fmt.Sprintf(format, args...)))
}

func (t askText) reply(in int, r *run.AskResult, question string, a *ask.Reply) {
	switch a.Outcome {
	case ask.Found:
		t.line(in, "yes")
	case ask.FoundHere:
		t.line(in, "yes at nominal values, but not with %s", a.Corner)
	case ask.FoundThere:
		t.line(in, "not at nominal values, but with %s", a.Corner)
	case ask.NotFound:
		t.line(in, "no reachable state has: %s", strings.TrimSpace(question))
	case ask.NoState:
		given := r.Given
		if given == "" {
			given = cmp.Or(r.Fault, r.From)
		}
		t.line(in, "no reachable state is as given: %s", given)
	case ask.NotThere:
		t.line(in, "with these options the design has nothing of that name")
	case ask.Simplified:
		t.condition(in, a)
	case ask.Ranged:
		t.span(in, a)
	default:
		t.line(in, "undecided: %s", a.Why)
		return
	}
	if a.Why != "" {
		t.line(in, "%s", a.Why)
	}
	t.way(in+2, a.Moves, a.State)
	if a.Note != "" {
		t.line(in, "%s", a.Note)
	}
	if len(a.Assumptions) > 0 {
		t.line(in, "depends on what is assumed: %s", strings.Join(a.Assumptions, ", "))
	}
}

func (t askText) condition(in int, a *ask.Reply) {
	said := "always"
	if a.Condition == "never" {
		said = "never"
	}
	switch {
	case a.Condition != said:
		t.line(in, "when %s", a.Condition)
	case a.Corner != "":
		t.line(in, "%s at nominal values, but otherwise with %s", said, a.Corner)
	case a.Proved:
		t.line(in, "%s: in %s", said, map[string]string{"always": "every reachable state", "never": "no reachable state"}[said])
	default:
		t.line(in, "%s at nominal values", said)
	}
}

// span tells a range, then the state of each of its ends.
func (t askText) span(in int, a *ask.Reply) {
	both := [...]struct {
		name string
		*ask.Ends
	}{{"at nominal values", a.Nominal}, {"within tolerances", a.Within}}
	for _, e := range both {
		text := a.Value(e.Low.Value)
		if high := a.Value(e.High.Value); high != text {
			text += " to " + high
		}
		t.line(in, "%s: %s", e.name, text)
		for _, end := range [...]struct {
			what string
			ask.EndState
		}{{"lower", e.Low}, {"higher", e.High}} {
			if !end.Proved {
				t.line(in+2, "that none is %s is undecided: %s", end.what, end.Why)
			}
		}
	}
	for k, e := range both {
		for _, end := range [...]struct{ here, before *ask.EndState }{{&e.Low, &a.Nominal.Low}, {&e.High, &a.Nominal.High}} {
			if k > 0 && end.here.Corner == "" && a.Value(end.here.Value) == a.Value(end.before.Value) {
				continue // told above
			}
			with := ""
			if end.here.Corner != "" {
				with = " with " + end.here.Corner
			}
			t.line(in, "%s%s:", a.Value(end.here.Value), with)
			t.way(in+2, end.here.Moves, end.here.State)
		}
	}
}

func (t askText) way(in int, moves, state []diag.Line) {
	for _, l := range moves {
		t.line(in, "%s", l.Text)
	}
	if len(state) > 0 {
		t.line(in, "then: %s", strings.Join(texts(state), ", "))
	}
}

func texts(ls []diag.Line) []string {
	out := make([]string, len(ls))
	for i := range ls {
		out[i] = strings.TrimRight(ls[i].Text, " ")
	}
	return out
}

// The layout of the JSON output.
type (
	askDocument struct {
		Version  int           `json:"version"`
		File     string        `json:"file"`
		Design   string        `json:"design"`
		Given    string        `json:"given,omitempty"`
		Fault    string        `json:"fault,omitempty"`
		From     string        `json:"from,omitempty"`
		Answers  []askAnswer   `json:"answers"`
		Failures []failureJSON `json:"failures"`
	}
	failureJSON struct {
		File string `json:"file"`
		What string `json:"what"`
	}
	askAnswer struct {
		Question string     `json:"question"`
		Kind     string     `json:"kind"`
		Replies  []askReply `json:"replies"`
	}
	askReply struct {
		Design      string   `json:"design,omitempty"`
		Outcome     string   `json:"outcome"`
		Why         string   `json:"why,omitempty"`
		Note        string   `json:"note,omitempty"`
		Corner      string   `json:"corner,omitempty"`
		Condition   string   `json:"condition,omitempty"`
		Proved      *bool    `json:"proved,omitempty"`
		Assumptions []string `json:"assumptions,omitempty"`
		Moves       []string `json:"moves,omitempty"`
		State       []string `json:"state,omitempty"`
		Unit        string   `json:"unit,omitempty"`
		Nominal     *askSpan `json:"nominal,omitempty"`
		Within      *askSpan `json:"within_tolerances,omitempty"`
	}
	askSpan struct {
		Low  askEnd `json:"low"`
		High askEnd `json:"high"`
	}
	askEnd struct {
		Value  float64  `json:"value"`
		Text   string   `json:"text"`
		Proved bool     `json:"proved"`
		Why    string   `json:"why,omitempty"`
		Corner string   `json:"corner,omitempty"`
		Moves  []string `json:"moves"`
		State  []string `json:"state"`
	}
)

func askJSON(w io.Writer, r *run.AskResult) error {
	out := askDocument{Version: askVersion, File: r.File, Design: r.Title, Given: r.Given, Fault: r.Fault, From: r.From, Answers: []askAnswer{}, Failures: []failureJSON{}}
	for _, f := range r.Failures {
		out.Failures = append(out.Failures, failureJSON{f.File, f.What})
	}
	for i := range r.Answers {
		q := &r.Answers[i]
		x := askAnswer{Question: q.Text, Kind: q.Kind.String(), Replies: []askReply{}}
		for k := range q.Replies {
			x.Replies = append(x.Replies, replyJSON(&q.Replies[k]))
		}
		out.Answers = append(out.Answers, x)
	}
	return encodeJSON(w, out, "  ")
}

func replyJSON(d *run.DesignReply) askReply {
	a := &d.Reply
	out := askReply{
		Design: d.Design, Outcome: a.Outcome.String(), Why: a.Why, Note: a.Note, Corner: a.Corner, Condition: a.Condition,
		Assumptions: a.Assumptions, Moves: texts(a.Moves), State: texts(a.State),
	}
	if a.Condition == "always" || a.Condition == "never" {
		out.Proved = &a.Proved
	}
	if a.Outcome != ask.Ranged {
		return out
	}
	end := func(e *ask.EndState) askEnd {
		return askEnd{
			Value: e.Value, Text: a.Value(e.Value), Proved: e.Proved, Why: e.Why, Corner: e.Corner,
			Moves: texts(e.Moves), State: texts(e.State),
		}
	}
	out.Unit = a.Dim.Base().Symbol
	out.Nominal = &askSpan{end(&a.Nominal.Low), end(&a.Nominal.High)}
	out.Within = &askSpan{end(&a.Within.Low), end(&a.Within.High)}
	return out
}

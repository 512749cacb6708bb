package ask

import (
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Kind is what is asked.
type Kind uint8

// The kinds of questions.
const (
	State   Kind = iota // whether something can be, and how
	When                // the condition under which something is so
	Measure             // from where to where a measure ranges
)

func (k Kind) String() string { return [...]string{State: "state", When: "when", Measure: "range"}[k] }

// Question is one question as it is written.
type Question struct {
	Text string
	Kind Kind
	// Findings say why it could not be read; their places are in the text of the question.
	Findings []diag.Finding

	tail  string // what stands behind the text in the statement that holds it
	skip  int    // bytes of the text before the condition
	fault bool   // it is a fault
}

// Read reads a question: `when COND`, `volts at PIN`, `volts PIN to PIN`, `current through
// THING`, or a condition. Names are not looked up here.
func Read(text string) Question {
	q := Question{Text: text}
	if rest, ok := strings.CutPrefix(strings.TrimLeft(text, " \t"), "when "); ok {
		q.Kind, q.skip = When, len(text)-len(rest)
	}
	found := q.parse("")
	if len(found) > 0 && q.Kind == State {
		for _, tail := range [...]string{" above 0 V", " above 0 A"} {
			if len(q.parse(tail)) == 0 && isMeasure(text, tail) {
				q.Kind, q.tail, found = Measure, tail, nil
				break
			}
		}
	}
	q.Findings = found
	return q
}

// ReadMeasure reads what has to be a measure: `volts at PIN`, `current through THING`.
func ReadMeasure(text string) Question {
	q := Read(text)
	if len(q.Findings) == 0 && q.Kind != Measure {
		q.Findings = []diag.Finding{q.finding(diag.Finding{
			Message: "this is no measure", Help: "for example `volts at K1.86`, `volts K1.86 to K1.85` or `current through F1`",
		}, source.Span{End: len(q.Text)})}
	}
	return q
}

// ReadCondition reads what has to be a condition.
func ReadCondition(text string) Question {
	q := Question{Text: text}
	q.Findings = q.parse("")
	return q
}

// ReadFault reads a fault as a claim names it behind `despite`: `W18 open`, `swap C1 with C2`,
// the name of a declared fault. The statement of it claims nothing but that.
func ReadFault(text string) Question {
	q := Question{Text: text, fault: true}
	q.Findings = q.parse("")
	return q
}

// isMeasure reports whether a text begins as a measure does that is held against such a level.
func isMeasure(text, tail string) bool {
	word, _, _ := strings.Cut(strings.TrimLeft(text, " \t"), " ")
	return word == map[string]string{" above 0 V": "volts", " above 0 A": "current"}[tail]
}

// parse reads the question as the only statement of a text.
func (q *Question) parse(tail string) []diag.Finding {
	if strings.ContainsAny(q.Text, "\r\n#{}") {
		return []diag.Finding{q.finding(diag.Finding{
			Message: "a question is one condition in one line, without braces and without `#`",
		}, source.Span{End: len(q.Text)})}
	}
	if strings.TrimSpace(q.Text[q.skip:]) == "" {
		return []diag.Finding{q.finding(diag.Finding{Message: "the question is empty"}, source.Span{End: len(q.Text)})}
	}
	if at := unopened(q.Text); at >= 0 {
		return []diag.Finding{q.finding(diag.Finding{Message: "`)` closes a parenthesis that was never opened"}, source.Span{Start: at, End: at + 1})}
	}
	old := q.tail
	q.tail = tail
	defer func() { q.tail = old }()
	text := q.Statement("question")
	f := syntax.Parse(source.NewFile("question", text), nil)
	return q.Own(f.Findings, "question", 0)
}

// unopened is where a parenthesis ends that was not begun; -1: nowhere.
func unopened(text string) int {
	depth := 0
	for i := range len(text) {
		switch text[i] {
		case '(':
			depth++
		case ')':
			if depth--; depth < 0 {
				return i
			}
		}
	}
	return -1
}

// Statement is the statement that claims of the question that it is possible, as text for a
// design.
func (q *Question) Statement(name string) string {
	end := ")\n"
	if q.fault {
		end = "\n"
	}
	return q.before(name) + q.Text[q.skip:] + q.tail + end
}

func (q *Question) before(name string) string {
	if q.fault {
		return "require " + name + ": possible always, despite "
	}
	return "require " + name + ": possible ("
}

// Own are those of some findings that stand in the statement of the question, which begins at a
// byte of a text; their places are then in the text of the question.
func (q *Question) Own(fs []diag.Finding, name string, at int) []diag.Finding {
	start := at + len(q.before(name))
	end := at + len(q.Statement(name))
	var out []diag.Finding
	for _, f := range fs {
		if f.Severity != diag.Off && f.Severity < diag.Error || f.IsZero() || f.Start < at || f.Start >= end {
			continue
		}
		shift := func(off int) int { return max(0, min(off-start+q.skip, len(q.Text))) }
		out = append(out, q.finding(f, source.Span{Start: shift(f.Start), End: shift(f.End)}))
	}
	return out
}

// finding is a finding about a part of the question.
func (q *Question) finding(f diag.Finding, at source.Span) diag.Finding {
	f.Severity = diag.Error
	f.Message = strings.TrimSuffix(f.Message, ", instead of `)`") // which is ours
	f.Place = diag.Place{File: source.NewFile("question", q.Text), Span: at}
	f.Fixes, f.Related = nil, slices.DeleteFunc(f.Related, func(r diag.Related) bool { return r.File == nil })
	return f
}

// Asked is the condition of a question in a design that has its statement; nil where the
// design has none or it could not be read there.
func Asked(d *model.Design, name string) *model.Cond {
	for i := range d.Requirements {
		r := &d.Requirements[i]
		if r.Name == name && r.Fit == model.None {
			if r.Broken || r.A == nil || !r.A.Known() {
				return nil
			}
			return r.A
		}
	}
	return nil
}

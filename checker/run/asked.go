package run

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/checker/engine/system"
	"pintle/checker/question/ask"
	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// AskRequest is the wish to have questions about one design answered.
type AskRequest struct {
	OpenRequest
	Questions []string
	// Given is a condition: only states in which it holds are asked about. Empty: all.
	Given string
	// Fault is a fault as a claim names it, `W18 open` or `swap C1 with C2`, or the name of a
	// declared one; it comes at any moment or is there from the start. Empty: nothing fails.
	Fault string
	// From is the name of a drive: only what can be reached from the state in which it ends, or
	// after its first AfterStep steps, is asked about. Empty: from rest.
	From      string
	AfterStep int
	// Step, if set, is told how many of all answers are there.
	Step func(done, all int)
}

// AskResult is what came of it.
type AskResult struct {
	File    string
	Title   string
	Given   string
	Fault   string
	From    string // in words: "the state of DRIVE after step 2"
	Answers []Answered
	// Failures are what of the design could not be read.
	Failures []Failure
	Notices  []Failure
}

// Answered is one question with its answers, one for each design of the file.
type Answered struct {
	ask.Question
	Replies []DesignReply
}

// DesignReply is the answer for one combination of options.
type DesignReply struct {
	Design string // its name; empty where there is one only
	ask.Reply
}

// QuestionError is a question, or what is given with it, that could not be read.
type QuestionError struct {
	What     string // "question 2", "--given"
	Findings []diag.Finding
}

func (e *QuestionError) Error() string {
	f := &e.Findings[0]
	out := e.What + ": " + f.Message
	if text := f.File.Text; text != "" {
		mark := strings.Repeat("^", max(1, min(f.End, len(text))-f.Start))
		out += "\n    " + text + "\n    " + strings.Repeat(" ", len([]rune(text[:f.Start]))) + mark
	}
	if f.Help != "" {
		out += "\n    " + f.Help
	}
	return out
}

// What is read beside the questions, by the flags of the verb.
const (
	givenFlag = "--given"
	faultFlag = "--fault"
)

// asked is a piece of text that stands in a statement of its own behind the design.
type asked struct {
	ask.Question
	what string // "question 2"
	name string // of its statement
	at   int    // where that begins, counted from the end of the design's own text
}

// Ask answers questions about one design. The errors are those of the context, of the search
// for the file, and *QuestionError; anything else is a sentence for who asks.
func Ask(ctx context.Context, req AskRequest) (*AskResult, error) {
	var list []asked
	o, err := Open(ctx, req.OpenRequest, func(text string) (behind string, err error) {
		list, behind, err = statements(text, req.pieces())
		return behind, err
	})
	if err != nil {
		return nil, err
	}
	designs := o.Designs
	out := &AskResult{File: o.File, Given: req.Given, Fault: req.Fault, Failures: o.Failures, Notices: o.Notices}
	out.Title = designs[0].Title
	for i := range list {
		if q := &list[i]; q.what != givenFlag && q.what != faultFlag {
			out.Answers = append(out.Answers, Answered{Question: q.Question})
		}
	}
	if err := errors.Join(o.misasked(list), req.checkFrom(o)); err != nil {
		return nil, err
	}
	if req.From != "" {
		if out.From = "the state of " + req.From; req.AfterStep > 0 {
			out.From += fmt.Sprintf(" after step %d", req.AfterStep)
		}
	}
	all := len(out.Answers) * len(designs)
	for _, d := range designs {
		p := o.Pass(ctx, d)
		var from *system.System
		var none *ask.Reply
		for i := range out.Answers {
			r := DesignReply{Design: d.Name}
			stopped := p.Ask(func(p *rule.Pass) {
				if req.From != "" && from == nil && none == nil {
					from, none = req.started(p)
				}
				if none != nil {
					r.Reply = *none
					return
				}
				r.Reply = reply(p, d, list, i, from)
			})
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if stopped != nil {
				r.Reply = ask.Reply{Why: stopped.Error()}
			}
			out.Answers[i].Replies = append(out.Answers[i].Replies, r)
			if req.Step != nil {
				req.Step(i+1+len(out.Answers)*slices.Index(designs, d), all)
			}
		}
	}
	return out, nil
}

// reply answers question i of a list, about the states of a system; nil: of the design.
func reply(p *rule.Pass, d *model.Design, list []asked, i int, from *system.System) ask.Reply {
	a, d, no := asking(p, d, list, from)
	if no != nil {
		return *no
	}
	return a.Reply(&list[i].Question, ask.Asked(d, list[i].name))
}

// asking puts together which states are asked about, those of a system (nil: of the design), and in
// which design the conditions of a list are. The reply is not nil where there can be no answer.
func asking(p *rule.Pass, d *model.Design, list []asked, from *system.System) (*ask.Asking, *model.Design, *ask.Reply) {
	a := &ask.Asking{Pass: p, Among: system.On(nil)}
	what := func(flag string) int { return slices.IndexFunc(list, func(q asked) bool { return q.what == flag }) }
	if at := what(faultFlag); at < 0 {
		if a.System = from; from == nil {
			a.System = p.Protected()
		}
		d = a.System.Design() // in which conditions know of fuses that open
	} else if r := withFault(p, d, list[at].name, a); r != nil {
		return nil, nil, r
	}
	if at := what(givenFlag); at >= 0 {
		c := ask.Asked(d, list[at].name)
		if c == nil {
			return nil, nil, &ask.Reply{Outcome: ask.NotThere}
		}
		if a.Of != nil {
			c = a.Of(c)
		}
		a.Among = system.All(a.Among, system.On(c))
	}
	return a, d, nil
}

// withFault asks about the states in which a fault is there. The reply is not nil where there
// can be no answer.
func withFault(p *rule.Pass, d *model.Design, name string, a *ask.Asking) *ask.Reply {
	k := slices.IndexFunc(d.Requirements, func(r model.Requirement) bool { return r.Name == name && r.Fit == model.None })
	if k < 0 || d.Requirements[k].Broken || len(d.Requirements[k].With.Only) != 1 {
		return &ask.Reply{Outcome: ask.NotThere}
	}
	only := &d.Requirements[k].With.Only[0]
	s, err := fault.Build(p.Ctx, d, &fault.Fault{
		Words: only.Words, Event: only.Words + " comes", Subject: only.Words, Place: only.Place, Actions: only.Actions,
	}, false, system.Options{MaxNodes: p.Limits.Nodes, MaxZones: p.Limits.Zones, Memo: p.Memo})
	if err != nil {
		if p.Ctx.Err() == nil {
			return &ask.Reply{Why: err.Error()}
		}
		p.StopOn(err)
	}
	a.System, a.Of, a.Lines = s.System, s.Faulted.Of, s.Lines
	a.Among = system.On(s.Failed)
	if s.Shorted != nil { // what is so only once something has burnt shows nothing
		a.Among = system.All(a.Among, system.Not(system.On(s.Shorted)))
		v, err := s.PossibleHere(p.Ctx, system.On(s.Shorted))
		p.StopOn(err)
		if v.Outcome != system.Fails {
			a.Note = "left out is what comes after a short that no fuse surely opens"
		}
	}
	return nil
}

// said is a piece of text with the name that errors give it.
type said struct {
	what string
	ask.Question
}

// statements hold pieces of text, to be put behind that of a design.
func statements(text string, pieces []said) (list []asked, behind string, err error) {
	base := "asked"
	for strings.Contains(text, base) {
		base += "_"
	}
	b := strings.Builder{}
	var bad []error
	for _, s := range pieces {
		if len(s.Findings) > 0 {
			bad = append(bad, &QuestionError{s.what, s.Findings})
		}
		one := asked{s.Question, s.what, fmt.Sprintf("%s%d", base, len(list)+1), b.Len()}
		b.WriteString(one.Statement(one.name))
		list = append(list, one)
	}
	return list, b.String(), errors.Join(bad...)
}

// misasked is the error about those of some statements that none of the designs could read.
func (o *Opened) misasked(list []asked) error {
	var bad []error
	for i := range list {
		q := &list[i]
		known := slices.ContainsFunc(o.Designs, func(d *model.Design) bool { return ask.Asked(d, q.name) != nil })
		if found := q.Own(o.Read.Findings, q.name, o.End+q.at); len(found) > 0 && !known {
			bad = append(bad, &QuestionError{q.what, found})
		}
	}
	return errors.Join(bad...)
}

// pieces are the texts of a request.
func (req *AskRequest) pieces() (out []said) {
	for i, text := range req.Questions {
		out = append(out, said{fmt.Sprintf("question %d", i+1), ask.Read(text)})
	}
	return append(out, flags(req.Given, req.Fault)...)
}

// flags are the texts of --given and --fault.
func flags(given, fault string) (out []said) {
	if given != "" {
		out = append(out, said{givenFlag, ask.ReadCondition(given)})
	}
	if fault != "" {
		out = append(out, said{faultFlag, ask.ReadFault(fault)})
	}
	return out
}

// Undecided reports whether some answer is, or some end of a range.
func (r *AskResult) Undecided() bool {
	open := func(e *ask.Ends) bool { return e != nil && !(e.Low.Proved && e.High.Proved) }
	return slices.ContainsFunc(r.Answers, func(a Answered) bool {
		return slices.ContainsFunc(a.Replies, func(d DesignReply) bool {
			return d.Outcome == ask.Undecided || open(d.Nominal) || open(d.Within)
		})
	})
}

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
	"pintle/checker/run/report"
	"pintle/lang/model"
	"pintle/lang/spelling"
)

// Answer is what comes of a line.
type Answer struct {
	Text string // whole lines, for people
	// Refused is set if the line could not be read or done: then nothing has changed.
	Refused bool
	// Missed is set if something was expected that is not so.
	Missed bool
	Quit   bool
	// Written is the text of a drive that was asked for.
	Written string
}

// Help is what there is.
const Help = `set key run              put a setting, a quantity or a supply somewhere
ramp rpm to 2500 rpm over 3 s
wait 2 s                 several at once, divided by commas: one step, as in a drive;
                         a setting that springs back does so when its line is done
fail W3 open             let something fail; also swap C1 with C2
mend W3                  mend it; mend by itself mends everything
see                      how everything stands
see lamp is lit          whether it is so, and if not, why; it is written into the drive
why lamp                 the causes of what something is, back to the inputs;
why lamp is lit          of what is so or is not
moves                    what can be moved, and where it stands
undo                     take the last line back
list                     what was done
write NAME               what was done, as a drive for the text of the design
quit                     the end; so is the end of the input
`

var verbs = []string{"set", "ramp", "wait", "fail", "swap", "mend", "see", "why", "moves", "undo", "list", "write", "help", "quit"}

// Do does one line. The error is that of the context.
func (s *Session) Do(ctx context.Context, line string) (Answer, error) {
	line = strings.TrimSpace(line)
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	out, err := s.answer(ctx, line, word, rest)
	if ctx.Err() != nil {
		return out, ctx.Err()
	}
	if err != nil {
		return Answer{Refused: true, Text: s.refusal(line, err)}, nil
	}
	return out, nil
}

func (s *Session) answer(ctx context.Context, line, word, rest string) (Answer, error) {
	alone := func(text string) (Answer, error) {
		if rest != "" {
			return Answer{}, fmt.Errorf("%s stands by itself", word)
		}
		return Answer{Text: text}, nil
	}
	switch {
	case line == "" || strings.HasPrefix(line, "#"):
		return Answer{}, nil
	case strings.ContainsAny(line, "{}#\r\n"):
		return Answer{}, errors.New("a line holds one step or question, without braces and without `#`")
	}
	switch word {
	case "set", "ramp", "wait", "fail", "swap":
		return s.step(ctx, line)
	case "mend":
		return s.mend(ctx, line, rest)
	case "see":
		if rest == "" {
			return Answer{Text: s.all(ctx)}, nil
		}
		return s.see(ctx, line, rest)
	case "why":
		return s.why(ctx, rest)
	case "moves":
		return alone(s.moves(ctx))
	case "undo":
		if rest != "" {
			return alone("")
		}
		line, err := s.undo(ctx)
		if line == "" && err == nil {
			err = errors.New("nothing was done that could be taken back")
		}
		return Answer{Text: "took back: " + line + "\n"}, err
	case "list":
		return alone(s.list())
	case "write":
		return s.write(ctx, rest)
	case "help":
		return alone(Help)
	case "quit", "exit":
		return Answer{Quit: true}, nil
	}
	if nearest := spelling.Best(word, slices.Values(verbs)); nearest != "" {
		return Answer{}, fmt.Errorf("there is no %q; the nearest is %q", word, nearest)
	}
	return Answer{}, fmt.Errorf("there is no %q; `help` lists what there is", word)
}

// refusal says why a line was refused.
func (s *Session) refusal(line string, err error) string {
	var bad *lineError
	if !errors.As(err, &bad) {
		return err.Error() + "; nothing has changed\n"
	}
	f := &bad.found[0]
	out := f.Message + "; nothing has changed\n"
	if f.Help != "" {
		out += "  " + f.Help + "\n"
	}
	return out
}

// step does a step and tells of it.
func (s *Session) step(ctx context.Context, line string) (Answer, error) {
	from := s.now()
	got, err := s.do(ctx, line)
	if errors.Is(err, scenario.ErrHunts) {
		return Answer{}, fmt.Errorf("the hardware never comes to rest after this: %w", err)
	}
	if err != nil {
		return Answer{}, err
	}
	i := len(s.lines) - 1
	out := Answer{Text: report.StepText(got, i, from)}
	for _, x := range got.Steps[i].Sees {
		out.Missed = out.Missed || x.Standing != drives.Met
	}
	return out, nil
}

// mend mends a thing, or everything.
func (s *Session) mend(ctx context.Context, line, rest string) (Answer, error) {
	if rest != "" {
		return s.step(ctx, line)
	}
	failed := s.hand.Failed(ctx)
	if len(failed) == 0 {
		return Answer{}, errors.New("nothing has failed")
	}
	return s.step(ctx, "mend "+strings.Join(failed, ", mend "))
}

// see answers whether something is so. What is so, or is not, is recorded as an expectation.
func (s *Session) see(ctx context.Context, line, rest string) (Answer, error) {
	q := ask.ReadCondition(rest)
	if len(q.Findings) > 0 { // it says more than a condition: an expectation of a step
		return s.step(ctx, line)
	}
	is, h, c, err := s.holds(ctx, q)
	if err != nil {
		return Answer{}, err
	}
	now := h.Now(ctx)
	switch is {
	case scenario.Unknown:
		return Answer{Text: "undecided: it depends on something that could not be read or worked out\n", Missed: true}, nil
	case scenario.True:
		_, err = s.do(ctx, "see "+rest)
		return Answer{Text: "yes: " + now.Standing(c) + "\n"}, err
	}
	text := "no: " + because(now.Standing(c), texts(now.Explain(c, true)))
	_, err = s.do(ctx, "see not ("+rest+")")
	return Answer{Text: text}, err
}

// holds reads a condition and gives its value where the design has come to, with the design in
// hand that knows of it.
func (s *Session) holds(ctx context.Context, q ask.Question) (scenario.Truth, *drives.Hand, *model.Cond, error) {
	r, err := s.read(ctx, s.lines, q)
	if err != nil {
		return scenario.Unknown, nil, nil, err
	}
	if r.asked == nil {
		return scenario.Unknown, nil, nil, errors.New("the condition could not be read")
	}
	h, err := s.hold(ctx, r)
	if err != nil {
		return scenario.Unknown, nil, nil, err
	}
	now := h.Now(ctx)
	is := now.Is(r.asked)
	return is, h, r.asked, now.Err()
}

// states are those by which a thing may be asked about that is no signal, as a word after `is`.
var states = []string{"made", "on", "live", "grounded", "fed", "vented", "open", "off", "floating", "neither", "high", "low"}

// why tells the causes of something.
func (s *Session) why(ctx context.Context, rest string) (Answer, error) {
	if rest == "" {
		return Answer{}, errors.New("say of what: why lamp, why K1.winding, why lamp is lit")
	}
	var below []string
	for _, x := range s.hand.Standing(ctx) {
		if x.Path == rest {
			return Answer{Text: because(x.Path+" is "+x.With(x.Value), texts(s.hand.Why(ctx, &x)))}, nil
		}
		if strings.HasPrefix(x.Path, rest+".") {
			below = append(below, x.Path)
		}
	}
	if q := ask.ReadCondition(rest); len(q.Findings) == 0 {
		is, h, c, err := s.holds(ctx, q)
		switch {
		case err == nil && is == scenario.Unknown:
			return Answer{Text: "undecided: it depends on something that could not be read or worked out\n"}, nil
		case err == nil:
			now := h.Now(ctx)
			return Answer{Text: because(now.Standing(c), texts(now.Explain(c, is == scenario.False)))}, nil
		case strings.Contains(rest, " ") || ctx.Err() != nil:
			return Answer{}, err
		}
	}
	if !strings.Contains(rest, " ") {
		for _, word := range states {
			is, h, c, err := s.holds(ctx, ask.ReadCondition(rest+" is "+word))
			if err != nil || is != scenario.True {
				continue
			}
			now := h.Now(ctx)
			return Answer{Text: because(now.Standing(c), texts(now.Explain(c, false)))}, nil
		}
	}
	if is, h, c, err := s.holds(ctx, ask.ReadCondition("current through "+rest+" above 0 A")); err == nil && len(below) == 0 && is != scenario.Unknown {
		now := h.Now(ctx)
		return Answer{Text: because(now.Standing(c), texts(now.Explain(c, is == scenario.False)))}, nil
	}
	if len(below) > 0 {
		return Answer{}, fmt.Errorf("%s holds several things; ask about one: %s", rest, strings.Join(below, ", "))
	}
	var have []string
	for _, x := range s.hand.Standing(ctx) {
		have = append(have, x.Path)
	}
	if nearest := spelling.Best(rest, slices.Values(have)); nearest != "" {
		return Answer{}, fmt.Errorf("nothing is called %q; the nearest is %q", rest, nearest)
	}
	return Answer{}, fmt.Errorf("nothing is called %q", rest)
}

package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/checker/run/report"
)

func askCommand(std stdio) *cobra.Command {
	var as, given, fault, from, drive string
	var after int
	var options []string
	var most time.Duration
	forms := []string{"text", "json"}
	c := &cobra.Command{
		Use:   "ask [flags] FILE [QUESTION…]",
		Short: "Answer questions about all reachable states of a design",
		Long: `Ask answers questions about all states that a design can reach.

  "lamp is lit and key is off"   whether any reachable state has it: no, or yes with
                                 the fewest moves and the state
  "volts at K1.86"               its lowest and highest value, at nominal values and
  "current through F1"           within all tolerances, with the state of each end
  "when fan.motor is turning"    the simplest condition under which it is true

Conditions are those of the language. --given leaves only states in which another
condition holds; --fault asks about the states with a fault, which occurs at any
moment or is there from the start; --from asks what can be reached from the state in
which a drive ends. A file has one question on each line; empty lines and lines that
begin with # are skipped.

Exit status: 0; 1 if the answer to some question is undecided; 2 if a question, or
something of the design, could not be read.`,
		Example: `  pintle ask lamps.pintle "lamp is lit and key is off"
  pintle ask lamps.pintle "current through F1" "when lamp is lit" --given "key is run"
  pintle ask lamps.pintle "lamp is lit" --fault "W3 open"
  pintle ask lamps.pintle --questions questions.txt --as json`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("ask takes the file of a design and questions about it")
			}
			return nil
		},
		ValidArgsFunction: onlyDesigns,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(forms, as) {
				return fmt.Errorf("--as takes %s, not %q", strings.Join(forms, ", "), as)
			}
			questions := args[1:]
			if args[0] == run.StandardInput && from == run.StandardInput {
				return errors.New("standard input is the design or the questions, not both")
			}
			if from != "" {
				more, err := questionsIn(cmd.Context(), std, from)
				if err != nil {
					return err
				}
				questions = append(questions, more...)
			}
			if len(questions) == 0 {
				return errors.New(`there is no question; for example: pintle ask ` + args[0] + ` "when lamp is lit"`)
			}
			open, err := opening(cmd.Context(), std, args[0], options)
			if err != nil {
				return err
			}
			p := newProgress(std.screen, "answered %d of %d questions")
			open.Time = most
			r, err := run.Ask(cmd.Context(), run.AskRequest{OpenRequest: open, Questions: questions, Given: given, Fault: fault, From: drive, AfterStep: after, Step: p.step})
			p.done()
			if err != nil {
				return err
			}
			if err := report.WriteAsk(std.out, as, r); err != nil {
				return err
			}
			if err := verdict(std, &run.Result{Failures: r.Failures, Notices: r.Notices}, 0xff); err != nil {
				return err
			}
			if r.Undecided() {
				return errFindings
			}
			return nil
		},
	}
	timeFlag(c, &most)
	c.Flags().StringVar(&as, "as", "text", "`form` of the output: "+strings.Join(forms, ", "))
	c.Flags().StringVar(&given, "given", "", "ask only about states in which this `condition` holds")
	c.Flags().StringVar(&fault, "fault", "", "ask only about states with this `fault`: \"W3 open\", \"swap C1 with C2\", or one that is declared")
	c.Flags().StringVar(&drive, "from", "", "ask about what can be reached from where this `drive` ends")
	c.Flags().IntVar(&after, "after-step", 0, "with --from: from where the drive is after its first `N` steps")
	c.Flags().StringArrayVar(&options, "option", nil, "ask about designs with this option, `NAME=POSITION`, only")
	c.Flags().StringVar(&from, "questions", "", "read questions from this `file`, - for standard input")
	complete(c, "as", oneOf(forms))
	return c
}

// pairs reads NAME=POSITION.
func pairs(options []string) (map[string]string, error) {
	out := map[string]string{}
	for _, o := range options {
		name, position, ok := strings.Cut(o, "=")
		if !ok || name == "" || position == "" {
			return nil, fmt.Errorf("--option takes NAME=POSITION, not %q", o)
		}
		if was, twice := out[name]; twice && was != position {
			return nil, fmt.Errorf("--option gives %s two positions, %s and %s", name, was, position)
		}
		out[name] = position
	}
	return out, nil
}

// questionsIn reads questions from a file, one on a line.
func questionsIn(ctx context.Context, std stdio, name string) ([]string, error) {
	text, err := textIn(ctx, std, name, files.CheckLimits().Text)
	if err != nil {
		return nil, err
	}
	var out []string
	for line := range strings.Lines(string(text)) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			out = append(out, line)
		}
	}
	return out, nil
}

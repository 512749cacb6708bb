package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/checker/run/report"
	"pintle/lang/diag"
	"pintle/lang/spelling"
)

func checkCommand(std stdio) *cobra.Command {
	var as, failOn string
	var only, allow []string
	var notes, whole, verdicts, costs bool
	var jobs int
	var most time.Duration
	c := &cobra.Command{
		Use:   "check [flags] [FILE | FOLDER | -]…",
		Short: "Report where a design does not do what it claims",
		Long: `Check reads designs, works out what they do in every reachable state, and
reports what is wrong. Each finding has its evidence.

Without a file or folder it checks everything below the current folder. It
looks for a settings file, pintle.toml, from each file upward. On a terminal
it uses colours, unless NO_COLOR is set.

Exit status: 0 if there is no finding at or above --fail-on that is not
accepted in the design; 1 if there is one; 2 if something could not be read.`,
		Example: `  pintle check examples
  pintle check --only sneak-path,no-feed lamps.pintle
  pintle check --as sarif examples > findings.sarif
  pintle check - < lamps.pintle`,
		ValidArgsFunction: onlyDesigns,
		RunE: func(cmd *cobra.Command, paths []string) error {
			began := time.Now()
			threshold, ok := diag.ParseSeverity(failOn)
			if !ok || threshold == diag.Off {
				return fmt.Errorf("--fail-on takes error, warning or note, not %q", failOn)
			}
			if !slices.Contains(report.Formats(), as) {
				return fmt.Errorf("--as takes %s, not %q", strings.Join(report.Formats(), ", "), as)
			}
			if verdicts && as != "text" && as != "json" && as != "junit" {
				return fmt.Errorf("--verdicts goes with --as text, json or junit, not with %s", as)
			}
			catalogue, err := rules.All()
			if err != nil {
				return err
			}
			if err := known(catalogue, only); err != nil {
				return err
			}
			if len(paths) == 0 {
				paths = []string{"."}
			}
			req := run.Request{
				Plan:  run.Plan{Catalogue: catalogue, Only: only, Quiet: notes, Today: began, Verdicts: verdicts, Time: most},
				Paths: paths,
				Jobs:  jobs,
				Allow: allow,
			}
			if slices.Contains(paths, run.StandardInput) {
				if req.Input, err = readAll(cmd.Context(), std.in, files.CheckLimits().Text); err != nil {
					return fmt.Errorf("standard input: %w", err)
				}
			}
			run.Batch()
			p := newProgress(std.screen, "checked %d of %d files")
			req.Progress, req.Doing = p.step, p.doing
			result, err := run.Check(cmd.Context(), req)
			p.done()
			if err != nil {
				return err
			}
			err = report.Write(std.out, as, result, report.Options{
				Version:   version(),
				Catalogue: catalogue,
				Colour:    colourful(std.out),
				FailOn:    threshold,
				Whole:     whole,
				Verdicts:  verdicts,
				Costs:     costs,
				Elapsed:   time.Since(began),
			})
			if err != nil {
				return err
			}
			return verdict(std, result, threshold)
		},
	}
	c.Flags().StringVar(&as, "as", "text", "`form` of the output: "+strings.Join(report.Formats(), ", "))
	c.Flags().StringVar(&failOn, "fail-on", "error", "lowest `severity` for which the exit status is 1: error, warning, note")
	c.Flags().StringSliceVar(&only, "only", nil, "run these `rules` only")
	c.Flags().BoolVar(&notes, "notes", false, "list every value that was assumed")
	c.Flags().BoolVar(&costs, "costs", false, "report what the work on each design took, and for what: in text")
	c.Flags().BoolVar(&whole, "whole", false, "show findings in full that only follow from another one, too")
	c.Flags().BoolVar(&verdicts, "verdicts", false, "list how each claim, symptom, drive and assumption stands, and what is accepted: in text, json and junit")
	c.Flags().IntVar(&jobs, "jobs", 0, "`number` of files checked at once (default: one for each processor)")
	timeFlag(c, &most)
	allowFlag(c, &allow)
	complete(c, "as", oneOf(report.Formats()))
	complete(c, "fail-on", oneOf([]string{"error", "warning", "note"}))
	complete(c, "only", ruleNames)
	return c
}

// timeFlag adds the flag that bounds the time of the work on each design.
func timeFlag(c *cobra.Command, most *time.Duration) {
	c.Flags().Var((*someTime)(most), "time", "leave undecided what takes more `time` for one design, such as 30s or 5m (default: limits.time of the settings, 300 s)")
}

// someTime is a duration of some length on the command line.
type someTime time.Duration

func (t *someTime) Set(text string) error {
	d, err := time.ParseDuration(text)
	if err != nil || d <= 0 {
		return errors.New("write a length of time, such as 30s or 5m")
	}
	*t = someTime(d)
	return nil
}

func (t *someTime) String() string {
	if *t == 0 {
		return ""
	}
	return time.Duration(*t).String()
}

func (*someTime) Type() string { return "time" }

// allowFlag adds the flag by which the user, and nothing that lies in a folder, lets
// designs reach further.
func allowFlag(c *cobra.Command, allow *[]string) {
	c.Flags().StringArrayVar(allow, "allow", nil, "let designs use files below this `folder` too, outside of their workspace")
}

// verdict turns a result into the exit status and says what could not be done.
func verdict(std stdio, r *run.Result, threshold diag.Severity) error {
	for _, n := range r.Notices {
		fmt.Fprintf(std.err, "pintle: %s\n", n)
	}
	for _, f := range r.Failures {
		fmt.Fprintf(std.err, "pintle: %s\n", f)
		if f.Stack != "" && wantsStack() {
			fmt.Fprintln(std.err, f.Stack)
		}
	}
	switch {
	case len(r.Failures) > 0:
		return errFailed
	case r.Worst() >= threshold:
		return errFindings
	}
	return nil
}

// known refuses names that no rule has.
func known(c *rule.Catalogue, names []string) error {
	for _, n := range names {
		if _, ok := c.Lookup(n); !ok {
			return noSuchRule(c, n)
		}
	}
	return nil
}

func noSuchRule(c *rule.Catalogue, name string) error {
	if nearest := spelling.Best(name, slices.Values(c.Names())); nearest != "" {
		return fmt.Errorf("no rule is called %q; the nearest is %q", name, nearest)
	}
	return fmt.Errorf("no rule is called %q; `pintle rules` lists them", name)
}

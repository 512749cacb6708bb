package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pintle/checker/engine/scenario"
	"pintle/checker/run"
	"pintle/checker/run/report"
)

func driveCommand(std stdio) *cobra.Command {
	var as, pace, write string
	var hand bool
	var options, show []string
	var every time.Duration
	forms := []string{"text", "json", "csv", "vcd", "svg"}
	paces := []string{scenario.Middle.Name(), scenario.Shortest.Name(), scenario.Longest.Name()}
	c := &cobra.Command{
		Use:   "drive [flags] FILE [NAME…]",
		Short: "Run the drives of a design and show what happens when",
		Long: `Drive runs the drives of a file, all of them or those that you name, in each
design that they are meant for, also on benches of parts. It prints a time line: what
each step moves, what relays, modes, timers, fuses and loads then do, and which
expectations are met. For an expectation that is not met it shows the causes back to
the inputs. If a duration lies between two ends, it runs each drive with all durations
in the middle, at their shortest and at their longest, and shows the runs that differ.

csv and vcd (IEEE 1364, value change dump) hold everything that changes, and the
volts and currents that --show names. svg is a plot. vcd and svg hold one run.

With --live you move the design by hand, at a prompt or with lines from a pipe: moves
as in a step of a drive, "see lamp is lit", "why lamp", undo, and "write NAME", which
writes what you did as a drive, to standard output or to a new file. With a NAME it
begins in the state in which that drive ends.

Exit status: 0; 1 if an expectation is not met or undecided; 2 if something
could not be read.`,
		Example: `  pintle drive lamps.pintle
  pintle drive lamps.pintle warm_up --as json
  pintle drive lamps.pintle warm_up --as vcd --show "volts at K1.86" --every 100ms
  pintle drive lamps.pintle --live --write tried.txt`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("drive takes the file of a design and the names of its drives")
			}
			return nil
		},
		ValidArgsFunction: onlyDesigns,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(forms, as) {
				return fmt.Errorf("--as takes %s, not %q", strings.Join(forms, ", "), as)
			}
			var at []scenario.Pace
			if pace != "" {
				k := slices.Index(paces, pace)
				if k < 0 {
					return fmt.Errorf("--pace takes %s, not %q", strings.Join(paces, ", "), pace)
				}
				at = []scenario.Pace{scenario.Pace(k)}
			}
			if every < 0 {
				return fmt.Errorf("--every takes a time, not %s", every)
			}
			open, err := opening(cmd.Context(), std, args[0], options)
			if err != nil {
				return err
			}
			if hand {
				switch {
				case len(args) > 2:
					return errors.New("--live begins at rest, or where one drive ends; name one at most")
				case args[0] == run.StandardInput:
					return errors.New("with --live, standard input holds the lines; name the file of the design")
				case as != "text" || len(show) > 0 || every > 0:
					return errors.New("--live answers in text; write the drive, and run it for another form")
				}
				from := ""
				if len(args) == 2 {
					from = args[1]
				}
				return byHand(cmd.Context(), std, open, from, append(at, scenario.Middle)[0], write)
			}
			if write != "" {
				return errors.New("--write is for --live")
			}
			p := newProgress(std.screen, "ran %d of %d drives")
			r, err := run.Drive(cmd.Context(), run.DriveRequest{
				OpenRequest: open, Names: args[1:], One: as == "vcd" || as == "svg", Show: show, Every: int64(every), Paces: at, Step: p.step,
			})
			p.done()
			if err != nil {
				return err
			}
			if err := report.WriteDrive(std.out, as, r); err != nil {
				return err
			}
			if err := verdict(std, &run.Result{Failures: r.Failures, Notices: r.Notices}, 0xff); err != nil {
				return err
			}
			if !r.Met() {
				return errFindings
			}
			return nil
		},
	}
	c.Flags().StringVar(&as, "as", "text", "`form` of the output: "+strings.Join(forms, ", "))
	c.Flags().StringArrayVar(&options, "option", nil, "run drives of designs with this option, `NAME=POSITION`, only")
	c.Flags().StringArrayVar(&show, "show", nil, "record this `measure` too: \"volts at K1.86\", \"current through F1\"")
	c.Flags().DurationVar(&every, "every", 0, "in csv, vcd and svg: add a sample at this `interval`")
	c.Flags().BoolVar(&hand, "live", false, "move the design by hand, line by line")
	c.Flags().StringVar(&write, "write", "", "with --live: the new `file` for \"write NAME\"; else standard output")
	c.Flags().StringVar(&pace, "pace", "", "run at this `pace` only: "+strings.Join(paces, ", "))
	complete(c, "as", oneOf(forms))
	complete(c, "pace", oneOf(paces))
	return c
}

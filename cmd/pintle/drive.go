package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"pintle/checker/run"
	"pintle/checker/run/report"
)

func driveCommand(std stdio) *cobra.Command {
	var as string
	var options, show []string
	forms := []string{"text", "json"}
	c := &cobra.Command{
		Use:   "drive [flags] FILE [NAME…]",
		Short: "Run the drives of a design and show what happens when",
		Long: `Drive runs the drives of a file, all of them or those that you name, in each
design that they are meant for, on benches of parts too. It prints a time line:
what each step moves, what relays, modes, timers, fuses and loads then do, and
which expectations are met. Of one that is not, it shows the causes back to the
inputs. Where a duration lies between two ends, it runs each drive with all of
them in the middle, at their shortest and at their longest, and shows those
runs that differ.

Exit status: 0; 1 if an expectation is not met or undecided; 2 if something
could not be read.`,
		Example: `  pintle drive lamps.pintle
  pintle drive lamps.pintle warm_up --as json`,
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
			open, err := opening(cmd.Context(), std, args[0], options)
			if err != nil {
				return err
			}
			p := newProgress(std.screen, "ran %d of %d drives")
			r, err := run.Drive(cmd.Context(), run.DriveRequest{OpenRequest: open, Names: args[1:], Show: show, Step: p.step})
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
	complete(c, "as", oneOf(forms))
	return c
}

package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/checker/run/report"
)

func wiresCommand(std stdio) *cobra.Command {
	var design string
	var options []string
	c := &cobra.Command{
		Use:   "wires [flags] LIST.csv",
		Short: "Write the wires of a CSV list as statements",
		Long: `Wires reads a list of wires and prints a statement for each; paste them into a
design. Nothing is written into a file.

The first line of the list names the columns: wire (or name, number), from, to,
colour, size, length. From and to are pins as the design writes them; the thing may
stand in a column of its own, "from connector" and "to connector". Commas,
semicolons or tabs separate the cells. A colour is a word, the letters of IEC 60757 or a
common short form: red/white, RD/WH, RDWH. A size is in mm2, or an AWG size; a length
in m, cm or mm, as the title says: "length (mm)".

With --for, the wires are compared with a design. Each line that is not taken is
reported: an end that the design does not have, a wire that differs in the design, a
name that the list has twice, a colour, size or length that can't be read.

Exit status: 0; 1 if some line was not taken; 2 if the list or the design could not
be read.`,
		Example: `  pintle wires harness.csv
  pintle wires harness.csv --for lamps.pintle`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return errors.New("wires takes one list in CSV; - is standard input")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			text, err := textIn(cmd.Context(), std, args[0], files.CheckLimits().Text)
			if err != nil {
				return err
			}
			req := run.WiresRequest{List: text}
			if design != "" {
				if design == run.StandardInput && args[0] == run.StandardInput {
					return errors.New("standard input is the list or the design, not both")
				}
				open, err := opening(cmd.Context(), std, design, options)
				if err != nil {
					return err
				}
				req.For = &open
			}
			r, err := run.Wires(cmd.Context(), req)
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			if err := report.WriteWires(std.out, std.err, args[0], r); err != nil {
				return err
			}
			if err := verdict(std, &run.Result{Failures: r.Failures, Notices: r.Notices}, 0xff); err != nil {
				return err
			}
			if len(r.Problems) > 0 {
				return errFindings
			}
			return nil
		},
	}
	c.Flags().StringVar(&design, "for", "", "compare the wires with this `design`")
	c.Flags().StringArrayVar(&options, "option", nil, "with --for, compare with designs with this option, `NAME=POSITION`, only")
	return c
}

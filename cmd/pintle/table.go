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

func tableCommand(std stdio) *cobra.Command {
	var as string
	var options, over []string
	var req run.TableRequest
	forms := []string{"text", "csv", "markdown", "json"}
	c := &cobra.Command{
		Use:   "table [flags] FILE",
		Short: "Print decision tables: what is on, and when",
		Long: `Table prints decision tables of a design: rows by settings and stretches of
quantities, columns by results, modes and loads. At nominal values, each state in
which the design can come to rest belongs to exactly one row. Rows with equal cells
are joined, and an input cell is empty where any value will do.

If settings and quantities alone do not decide, the column "while" says what does:
from which side a quantity came, or whether a relay is in. With --over, rows name
nothing but what you choose, and a cell may then say "a or b". If the tolerances allow
another state, the cell names it.

  --show "fan.motor is turning"  a column of a condition: yes or no
  --show "volts at K1.86"        its range in each row, in parentheses within all
                                 tolerances; the rows show live, grounded and floating
  --show fan.motor               only this result, these modes or this load

If one table would have too many rows, Pintle prints several, and puts columns
together that depend on the same things.

Exit status: 0; 1 if some cell is undecided or a table is too long; 2 if something
could not be read.`,
		Example: `  pintle table fan.pintle
  pintle table fan.pintle --show fan.motor --show "volts at fan.1" --over key,coolant
  pintle table lamps.pintle --given "key is run" --fault "W3 open" --as markdown`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return errors.New("table takes the file of a design")
			}
			return nil
		},
		ValidArgsFunction: onlyDesigns,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(forms, as) {
				return fmt.Errorf("--as takes %s, not %q", strings.Join(forms, ", "), as)
			}
			if req.MostRows < 0 {
				return errors.New("--rows takes a number above 0")
			}
			var err error
			if req.OpenRequest, err = opening(cmd.Context(), std, args[0], options); err != nil {
				return err
			}
			for _, o := range over {
				req.Over = append(req.Over, strings.TrimSpace(o))
			}
			p := newProgress(std.screen, "made the tables of %d of %d designs")
			req.Step = p.step
			r, err := run.Table(cmd.Context(), req)
			p.done()
			if err != nil {
				return err
			}
			if err := report.WriteTable(std.out, as, r); err != nil {
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
	c.Flags().StringVar(&as, "as", "text", "`form` of the output: "+strings.Join(forms, ", "))
	c.Flags().StringArrayVar(&req.Show, "show", nil, "a `column`: a result, modes or load by name, a condition, or a measure")
	c.Flags().StringSliceVar(&over, "over", nil, "`names` of the settings, quantities and memories that rows may name, separated by commas")
	c.Flags().StringVar(&req.Given, "given", "", "show only states in which this `condition` holds")
	c.Flags().StringVar(&req.Fault, "fault", "", "show only states with this `fault`: \"W3 open\", \"swap C1 with C2\", or one that is declared")
	c.Flags().StringArrayVar(&options, "option", nil, "show designs with this option, `NAME=POSITION`, only")
	c.Flags().IntVar(&req.MostRows, "rows", 0, "the most `rows` of one table (default 100)")
	complete(c, "as", oneOf(forms))
	return c
}

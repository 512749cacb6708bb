package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"pintle/checker/run"
	"pintle/checker/run/report"
)

func listCommand(std stdio) *cobra.Command {
	var as string
	var options []string
	var req run.ListRequest
	forms := []string{"text", "csv", "markdown", "json"}
	c := &cobra.Command{
		Use:   "list [flags] WHAT FILE",
		Short: "List the wires, fuses, connectors, parts or pins of a design",
		Long: `List prints a table of things of one kind:

  wires        ends, colour (also in the letters of IEC 60757), size, length, resistance
  fuses        rating, ends, the wires on it
  connectors   each way: the wires in it and what it plugs onto
  parts        each thing that is fitted, its part, its values, where it is declared
  pins         each pin, with the wires on it and their colours

The resistance is the one that the solver uses. A cell is empty if the text states
nothing. "pintle wires" reads such a list of wires.

Exit status: 0, or 2 if something could not be read.`,
		Example: `  pintle list wires lamps.pintle
  pintle list wires lamps.pintle --currents --protection --as csv
  pintle list connectors lamps.pintle --as markdown`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return fmt.Errorf("list takes what to list (%s) and the file of a design", strings.Join(run.Lists(), ", "))
			}
			return nil
		},
		ValidArgsFunction: func(cmd *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			if len(args) == 0 {
				return run.Lists(), cobra.ShellCompDirectiveNoFileComp
			}
			return onlyDesigns(cmd, args, typed)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(forms, as) {
				return fmt.Errorf("--as takes %s, not %q", strings.Join(forms, ", "), as)
			}
			var err error
			if req.OpenRequest, err = opening(cmd.Context(), std, args[1], options); err != nil {
				return err
			}
			req.What = args[0]
			p := newProgress(std.screen, "worked out %d of %d rows")
			req.Step = p.step
			r, err := run.List(cmd.Context(), req)
			p.done()
			if err != nil {
				return err
			}
			if err := report.WriteList(std.out, as, r); err != nil {
				return err
			}
			return verdict(std, &run.Result{Failures: r.Failures, Notices: r.Notices}, 0xff)
		},
	}
	c.Flags().StringVar(&as, "as", "text", "`form` of the output: "+strings.Join(forms, ", "))
	c.Flags().BoolVar(&req.Currents, "currents", false, "for wires and fuses, the highest current within all tolerances; for wires, also what they may carry")
	c.Flags().BoolVar(&req.Protection, "protection", false, "for wires, the fuse that opens first if they are shorted to ground")
	c.Flags().StringArrayVar(&options, "option", nil, "list designs with this option, `NAME=POSITION`, only")
	complete(c, "as", oneOf(forms))
	return c
}

package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/report"
)

func compareCommand(std stdio) *cobra.Command {
	var as, since string
	var options []string
	forms := []string{"text", "markdown", "json"}
	c := &cobra.Command{
		Use:   "compare [flags] OLD NEW | compare --since REVISION PATH…",
		Short: "Show where two designs behave differently",
		Long: `Compare shows where two designs behave differently. It compares each result, load,
mode, coil, driver, fuse and end of a fluid path that both have. For each difference it
gives the condition, the stretch of quantities, the fewest moves that lead there, and a
drive that passes on the old design and fails on the new one. It also lists claims that
are new, gone or have another verdict, values and joins that changed, and things that
only have another name.

OLD and NEW are files or folders; in folders, files with the same path are compared.
With --since, files and folders are compared with what they were at a revision of their
git repository, and with the parts that they used then.

"The same in behaviour" is a proof over all reachable states.

Exit status: 0 if both behave the same; 1 if they do not, or if something is undecided;
2 if something could not be read.`,
		Example: `  pintle compare before/fan.pintle fan.pintle
  pintle compare before after
  pintle compare --since HEAD~1 fan.pintle --as json`,
		Args: func(_ *cobra.Command, args []string) error {
			switch {
			case since != "" && len(args) == 0:
				return errors.New("compare --since takes the files and folders that are compared with what they were")
			case since == "" && len(args) != 2:
				return errors.New("compare takes the old design and the new one; or --since REVISION and what is compared with what it was then")
			}
			return nil
		},
		ValidArgsFunction: onlyDesigns,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(forms, as) {
				return fmt.Errorf("--as takes %s, not %q", strings.Join(forms, ", "), as)
			}
			chosen, err := pairs(options)
			if err != nil {
				return err
			}
			catalogue, err := rules.All()
			if err != nil {
				return err
			}
			p := newProgress(std.screen, "compared %d of %d files")
			r := &run.CompareResult{}
			req := run.CompareRequest{OpenRequest: run.OpenRequest{Options: chosen, Rules: catalogue.Names()}, Catalogue: catalogue, Since: since, Step: p.step}
			if since == "" {
				req.Old, req.Path = args[0], args[1]
				r, err = run.Compare(cmd.Context(), req)
			} else {
				err = r.Since(cmd.Context(), req, args)
			}
			p.done()
			if err != nil {
				return err
			}
			if err := report.WriteCompare(std.out, as, r); err != nil {
				return err
			}
			if err := verdict(std, &run.Result{Failures: r.Failures, Notices: r.Notices}, 0xff); err != nil {
				return err
			}
			if !r.Same() {
				return errFindings
			}
			return nil
		},
	}
	c.Flags().StringVar(&as, "as", "text", "`form` of the output: "+strings.Join(forms, ", "))
	c.Flags().StringVar(&since, "since", "", "compare with what was at this `revision` of the git repository")
	c.Flags().StringArrayVar(&options, "option", nil, "compare designs with this option, `NAME=POSITION`, only")
	complete(c, "as", oneOf(forms))
	return c
}

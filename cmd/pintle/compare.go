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
		Short: "Tell in what two designs behave differently",
		Long: `Compare tells in what two designs behave differently: for each result, load, mode,
coil, driver, fuse and end of a fluid path that both have, the condition and the
stretch of quantities in which it is another than it was, with the fewest moves that
lead there, and a drive that passes on the old design and fails on the new one. It also
tells which claims came, went or stand otherwise, which values and joins changed, and what
has another name only.

OLD and NEW are files or folders; files of folders are compared by their paths in them.
With --since, files and folders are compared with what they were at a revision of their
git repository, with the parts that they used then.

"The same in behaviour" is a proof over all states that can be reached.

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

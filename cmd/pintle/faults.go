package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/fault"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/report"
	"pintle/lang/model"
	"pintle/lang/spelling"
)

func faultsCommand(std stdio) *cobra.Command {
	var as string
	var ask report.FaultQuestion
	var limit time.Duration
	var brief bool
	forms := []string{"text", "json", "csv"}
	c := &cobra.Command{
		Use:   "faults [flags] FILE…",
		Short: "Show what each single fault does, and which faults explain a symptom",
		Long: `Faults tries every single fault of a design: each wire broken or shorted, each
contact stuck, each plug off. It shows which requirements no longer hold, which
symptoms appear, which fuse opens, and which faults nobody would notice, with
everything at its nominal value. A table at the end lists for each wire the current
of a short to ground, the fuses in its path, and which of them opens first.

With --symptom it lists the faults that cause a symptom, those with the fewest
moves first, and the moves. Then it shows where to measure to find out which
fault it is: the place, the state, and what to expect with each fault.

Exit status: 0, or 2 if something could not be read.`,
		Example: `  pintle faults lamps.pintle
  pintle faults --of W13 lamps.pintle
  pintle faults --symptom no_light lamps.pintle
  pintle faults --as csv lamps.pintle > faults.csv`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: onlyDesigns,
		RunE: func(cmd *cobra.Command, paths []string) error {
			if !slices.Contains(forms, as) {
				return fmt.Errorf("--as takes %s, not %q", strings.Join(forms, ", "), as)
			}
			if limit < 0 {
				return fmt.Errorf("--time takes a duration above 0, not %s", limit)
			}
			catalogue, err := rules.All()
			if err != nil {
				return err
			}
			designs, failures, err := run.Designs(cmd.Context(), paths, catalogue.Names())
			if err != nil {
				return err
			}
			for _, name := range [...]struct{ flag, name string }{{"--of", ask.Of}, {"--symptom", ask.Symptom}, {"--claim", ask.Claim}} {
				if err := asked(name.flag, name.name, designs); err != nil {
					return err
				}
			}
			ctx := cmd.Context()
			if limit > 0 {
				var cancel context.CancelFunc
				ctx, cancel = context.WithTimeout(ctx, limit)
				defer cancel()
			}
			var tables []report.Faults
			for _, d := range designs {
				if d.Bench {
					continue
				}
				p := newProgress(std.err, "tried %d of %d groups of faults")
				t, err := report.FaultsOf(ctx, fault.NewSweep(d, fault.Options{Memo: circuit.NewMemo(), Brief: brief}), d, ask, p.step)
				p.done()
				if err != nil {
					return err
				}
				tables = append(tables, t)
			}
			if err := report.WriteFaults(std.out, as, tables, ask.Moves()); err != nil {
				return err
			}
			return verdict(std, &run.Result{Failures: failures}, 0xff)
		},
	}
	c.Flags().StringVar(&as, "as", "text", "`form` of the output: "+strings.Join(forms, ", "))
	c.Flags().StringVar(&ask.Of, "of", "", "the faults of this `thing` and of what is inside it")
	c.Flags().StringVar(&ask.Symptom, "symptom", "", "the faults that cause this symptom, by `name`")
	c.Flags().StringVar(&ask.Claim, "claim", "", "the faults with which this requirement does not hold, by `name`")
	c.Flags().DurationVar(&limit, "time", 0, "stop after this `time` (60s, 5m) and say what was not tried")
	c.Flags().BoolVar(&brief, "brief", false, "only requirements, symptoms and fuses: not what changes in which operating state")
	complete(c, "as", oneOf(forms))
	return c
}

// asked refuses a name that no design has.
func asked(flag, name string, designs []*model.Design) error {
	if name == "" {
		return nil
	}
	var have []string
	for _, d := range designs {
		switch flag {
		case "--symptom":
			for i := range d.Symptoms {
				have = append(have, d.Symptoms[i].Name)
			}
		case "--claim":
			for i := range d.Requirements {
				have = append(have, d.Requirements[i].Name)
			}
		default:
			for _, f := range fault.Generate(d) {
				for path := f.Subject; path != ""; {
					have = append(have, path)
					cut := strings.LastIndexByte(path, '.')
					path = path[:max(cut, 0)]
				}
			}
		}
	}
	if slices.Contains(have, name) {
		return nil
	}
	return noSuch(strings.TrimPrefix(flag, "--"), name, have)
}

// noSuch says that nothing has a name, with the nearest that something has.
func noSuch(flag, name string, have []string) error {
	what := map[string]string{"symptom": "symptom", "claim": "requirement", "of": "thing that can fail"}[flag]
	if nearest := spelling.Best(name, slices.Values(have)); nearest != "" {
		return fmt.Errorf("no %s is called %q; the nearest is %q", what, name, nearest)
	}
	return fmt.Errorf("no %s is called %q", what, name)
}

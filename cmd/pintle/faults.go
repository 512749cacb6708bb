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
	"pintle/checker/question/diagnose"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/report"
	"pintle/lang/model"
	"pintle/lang/spelling"
)

func faultsCommand(std stdio) *cobra.Command {
	var as, of, symptom, claim string
	var limit time.Duration
	var brief bool
	forms := []string{"text", "json", "csv"}
	c := &cobra.Command{
		Use:   "faults [flags] FILE…",
		Short: "Say what each single fault does, and which faults explain a symptom",
		Long: `Faults tries every single fault of a design: each wire broken or shorted, each
contact stuck, each plug off. It tells which requirements no longer hold, which
symptoms show, which fuse opens, and which faults nothing tells of, with
everything at its nominal value. A table at the end lists for each wire the current
of a short to ground, the fuses in its path, and which of them opens first.

With --symptom it lists the faults that bring a symptom about, those with the
fewest moves first, and how to get there; and where to put the meter to find
which of them it is: the place, the state, what to expect with each.

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
			for _, ask := range [...]struct{ flag, name string }{{"--of", of}, {"--symptom", symptom}, {"--claim", claim}} {
				if err := asked(ask.flag, ask.name, designs); err != nil {
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
				t, err := tableOf(ctx, std, d, of, brief)
				if err != nil {
					return err
				}
				tables = append(tables, t)
			}
			for i := range tables {
				tables[i].Only(claim, symptom)
				if symptom != "" {
					if tables[i].Plan, err = diagnose.Symptom(ctx, tables[i].Design, tables[i].Rows, symptom); err != nil && ctx.Err() == nil {
						return err
					}
				}
			}
			if err := report.WriteFaults(std.out, as, tables, symptom != "" || claim != "" || of != ""); err != nil {
				return err
			}
			return verdict(std, &run.Result{Failures: failures}, 0xff)
		},
	}
	c.Flags().StringVar(&as, "as", "text", "`form` of the output: "+strings.Join(forms, ", "))
	c.Flags().StringVar(&of, "of", "", "the faults of this `thing` and of what is in it")
	c.Flags().StringVar(&symptom, "symptom", "", "the faults that bring this symptom about, by `name`")
	c.Flags().StringVar(&claim, "claim", "", "the faults with which this requirement does not hold, by `name`")
	c.Flags().DurationVar(&limit, "time", 0, "stop after this `time` (60s, 5m) and say what was not tried")
	c.Flags().BoolVar(&brief, "brief", false, "only requirements, symptoms and fuses: not what changes in which operating state")
	complete(c, "as", oneOf(forms))
	return c
}

// tableOf tries the faults of one design.
func tableOf(ctx context.Context, std stdio, d *model.Design, of string, brief bool) (report.Faults, error) {
	s := fault.NewSweep(d, fault.Options{Memo: circuit.NewMemo(), Brief: brief})
	var only func(*fault.Fault) bool
	if of != "" {
		only = func(f *fault.Fault) bool { return f.Subject == of || strings.HasPrefix(f.Subject, of+".") }
	}
	p := newProgress(std.err, "tried %d of %d groups of faults")
	rows, err := s.Table(ctx, only, p.step)
	p.done()
	t := report.Faults{Design: d, Rows: rows}
	if of == "" {
		t.LeftOut = s.LeftOut()
	}
	if err == nil && ctx.Err() == nil {
		t.Protection, err = s.Protection(ctx, func(wire string) bool { return of == "" || wire == of || strings.HasPrefix(wire, of+".") })
		if ctx.Err() != nil {
			err = nil // the time was over: that the table is not there says so
		}
	}
	return t, err
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

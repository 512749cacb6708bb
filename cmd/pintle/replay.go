package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"pintle/checker/question/replay"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/checker/run/report"
)

func replayCommand(std stdio) *cobra.Command {
	var as, mapping, clock, within, gap string
	var options, maps, words, accuracies, holds []string
	var noFaults bool
	c := &cobra.Command{
		Use:   "replay [flags] FILE LOG.csv",
		Short: "Compare a recording of the vehicle with a design",
		Long: `Replay moves the inputs of a design as they were recorded, and compares the rest of
the recording with what the design does. It shows where the recording departs, for how
long, which single faults would explain it, and at which values of a quantity the
vehicle really switches.

A column belongs to the thing of its name; a unit may follow the name in
brackets. Otherwise --map "Engine speed [rpm]=rpm" says which thing it is: a quantity, setting, result, modes, bands, a load, a pin (in volts), a condition
("lamp is glowing") or a measure ("current through F1"). --map "COLUMN=-" leaves a
column out. --words "Key: 0=off, 1=run" says what its numbers or words mean, and
--accuracy "ECT: 1 degC" how far off its values may be. All of that, scales and the
rest may stand in a mapping file, LOG.toml beside the recording; see README.md.

An input without a column may have any value at any time; --hold key=run says that it
stayed there.

Exit status: 0 if the recording agrees with the design, 1 if it departs, 2 if
something could not be read.`,
		Example: `  pintle replay fan.pintle drive.csv
  pintle replay fan.pintle drive.csv --map "ECT=coolant" --map "Fan=fan.motor" --hold key=run
  pintle replay fan.pintle drive.csv --as svg > drive.svg`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return errors.New("replay takes the file of a design and a recording")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(report.ReplayForms, as) {
				return fmt.Errorf("--as takes %s, not %q", strings.Join(report.ReplayForms, ", "), as)
			}
			chosen, err := pairs(options)
			if err != nil {
				return err
			}
			if args[0] == run.StandardInput {
				return errors.New("the design is a file; standard input may be the recording")
			}
			m, err := mappingOf(cmd.Context(), args[1], mapping)
			if err != nil {
				return err
			}
			for _, part := range [...]struct {
				flags []string
				take  func(string) error
			}{{maps, m.Map}, {words, m.WordsOf}, {accuracies, m.AccuracyOf}, {holds, m.HoldAt}} {
				for _, f := range part.flags {
					if err := part.take(f); err != nil {
						return err
					}
				}
			}
			for _, part := range [...]struct {
				flag string
				to   *string
			}{{clock, &m.Time}, {within, &m.Within}, {gap, &m.Gap}} {
				if part.flag != "" {
					*part.to = part.flag
				}
			}
			catalogue, err := rules.All()
			if err != nil {
				return err
			}
			log, size := std.in, int64(0)
			if args[1] != run.StandardInput {
				f, err := files.Disk{}.Stream(cmd.Context(), nil, filepath.ToSlash(args[1]))
				if err != nil {
					return fmt.Errorf("%s: %s", args[1], files.Why(err))
				}
				defer func() { _ = f.Close() }() // it was only read
				log, size = f, f.Size
			}
			req := run.ReplayRequest{
				OpenRequest: run.OpenRequest{Path: args[0], Options: chosen, Rules: catalogue.Names()},
				Log:         log, Name: args[1], Mapping: m, Faults: !noFaults && (as == "text" || as == "json"),
			}
			var trace *report.ReplayTrace
			if as == "svg" {
				trace = report.NewReplayTrace()
				req.Trace = trace
			}
			const mega = 1_000_000
			p := newProgress(std.screen, "read %d of %d MB")
			req.Step = func(bytes int64) { p.step(int(bytes/mega), int(max(size, bytes)/mega)) }
			r, err := run.Replay(cmd.Context(), req)
			p.done()
			if err != nil {
				return err
			}
			if err := report.WriteReplay(std.out, as, r, trace); err != nil {
				return err
			}
			if err := verdict(std, &run.Result{Failures: r.Failures, Notices: r.Notices}, 0xff); err != nil {
				return err
			}
			if !r.Agrees() {
				return errFindings
			}
			return nil
		},
	}
	c.Flags().StringVar(&as, "as", "text", "`form` of the output: "+strings.Join(report.ReplayForms, ", "))
	c.Flags().StringVar(&mapping, "mapping", "", "read what each column is from this `file` (default: LOG.toml beside the recording, if there is one)")
	c.Flags().StringArrayVar(&maps, "map", nil, "a column is this thing: `COLUMN=THING`")
	c.Flags().StringArrayVar(&words, "words", nil, "the values of a column mean these positions: `\"COLUMN: RECORDED=POSITION, …\"`")
	c.Flags().StringArrayVar(&accuracies, "accuracy", nil, "the values of a column are off by no more than this: `\"COLUMN: 1 degC\"`")
	c.Flags().StringArrayVar(&holds, "hold", nil, "an input without a column stayed there: `THING=POSITION`")
	c.Flags().StringVar(&clock, "time", "", "this `column` is the time")
	c.Flags().StringVar(&within, "within", "", "departures that last no longer than this `time` do not count: \"0.2 s\"")
	c.Flags().StringVar(&gap, "gap", "", "the recording counts as interrupted if no row comes for this `time` (default 15 s)")
	c.Flags().StringArrayVar(&options, "option", nil, "take the design with this option, `NAME=POSITION`")
	c.Flags().BoolVar(&noFaults, "no-faults", false, "do not try which single faults would explain a departure")
	complete(c, "as", oneOf(report.ReplayForms))
	return c
}

// mappingOf reads the mapping of a recording: from the file that is named, or from the one
// beside the recording, if there is one.
func mappingOf(ctx context.Context, log, named string) (*replay.Mapping, error) {
	name := named
	if name == "" {
		if log == run.StandardInput {
			return &replay.Mapping{}, nil
		}
		name = strings.TrimSuffix(log, filepath.Ext(log)) + ".toml"
	}
	text, err := files.Disk{}.Read(ctx, nil, filepath.ToSlash(name), files.CheckLimits().Settings)
	if named == "" && errors.Is(err, fs.ErrNotExist) {
		return &replay.Mapping{}, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %s", name, files.Why(err))
	}
	m, err := replay.ReadMapping(string(text))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return m, nil
}

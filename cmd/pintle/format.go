package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/rogpeppe/go-internal/diff"
	"github.com/spf13/cobra"

	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/checker/run/report"
	"pintle/lang/diag"
	"pintle/lang/escape"
	"pintle/lang/format"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

func formatCommand(std stdio) *cobra.Command {
	f := formatter{std: std}
	c := &cobra.Command{
		Use:   "format [flags] [FILE | FOLDER | -]…",
		Short: "Rewrite files in the standard layout",
		Long: `Format rewrites files in the standard layout. It keeps comments and meaning;
formatting again changes nothing. It leaves a statement that it can't read as
it is, and reports it.

Without a file or folder it formats everything below the current folder. It
writes standard input (-) to standard output. A file keeps its mode, owner and
line endings. Format skips links in a folder, and files that it can't rewrite
without losing something; it names them.

Exit status: 0 if all is well; 1 if a statement can't be read or, with
--check or --diff, if a file has another layout; 2 if a file could not be
read or written.`,
		Example: `  pintle format
  pintle format --check examples
  pintle format --diff lamps.pintle
  pintle format - < lamps.pintle`,
		ValidArgsFunction: onlyDesigns,
		RunE: func(cmd *cobra.Command, paths []string) error {
			if len(paths) == 0 {
				paths = []string{"."}
			}
			return f.run(cmd.Context(), paths)
		},
	}
	c.Flags().BoolVar(&f.check, "check", false, "change nothing, list the files that differ")
	c.Flags().BoolVar(&f.diff, "diff", false, "change nothing, show what differs")
	allowFlag(c, &f.allow)
	return c
}

// formatter lays files out.
type formatter struct {
	std         stdio
	check, diff bool
	allow       []string
	limits      files.Limits

	findings  []diag.Finding
	differs   bool
	incapable bool // something could not be read or written
}

func (f *formatter) run(ctx context.Context, paths []string) error {
	catalogue, err := rules.All()
	if err != nil {
		return err
	}
	disk := files.Disk{}
	f.limits = files.CheckLimits()
	found, err := run.Search(ctx, disk, catalogue.Names(), f.limits, paths, f.allow)
	if err != nil {
		return err
	}
	for _, n := range found.Notices {
		fmt.Fprintf(f.std.err, "pintle: %s\n", n)
	}
	for _, failure := range found.Failures {
		f.fail(failure.File, errors.New(failure.What))
	}
	for _, r := range found.Roots {
		if err := ctx.Err(); err != nil {
			return err
		}
		if r.Link {
			continue // nobody asked for what it leads to
		}
		if err := f.file(ctx, disk, r); err != nil {
			f.fail(r.Name, err)
		}
	}
	if err := f.report(); err != nil {
		return err
	}
	switch {
	case f.incapable:
		return errFailed
	case f.differs && (f.check || f.diff), slices.ContainsFunc(f.findings, func(d diag.Finding) bool { return d.Severity == diag.Error }):
		return errFindings
	}
	return nil
}

func (f *formatter) fail(name string, err error) {
	f.incapable = true
	fmt.Fprintf(f.std.err, "pintle: %s: %s\n", name, files.Why(err))
}

func (f *formatter) file(ctx context.Context, disk files.Files, r run.Root) error {
	name := r.Name
	stdin := name == run.StandardInput
	before, err := f.read(ctx, disk, r)
	if err != nil {
		return err
	}
	after, findings := format.Format(syntax.Parse(source.NewFile(name, string(before)), nil))
	f.findings = append(f.findings, findings...)
	f.differs = f.differs || after != string(before)
	switch {
	case f.diff:
		shown := diff.Diff(escape.Line(name), before, escape.Line(name)+" (formatted)", []byte(after))
		if isTerminal(f.std.out) { // a program gets the difference to the letter
			shown = []byte(escape.Lines(string(shown)))
		}
		_, err = f.std.out.Write(shown)
	case f.check:
		if after != string(before) {
			_, err = fmt.Fprintln(f.std.out, escape.Line(name))
		}
	case stdin:
		_, err = io.WriteString(f.std.out, after)
	case after != string(before):
		err = files.Replace(r.Bounds, name, before, []byte(after))
	}
	return err
}

func (f *formatter) read(ctx context.Context, disk files.Files, r run.Root) ([]byte, error) {
	if r.Name == run.StandardInput {
		return readAll(ctx, f.std.in, f.limits.Text)
	}
	return disk.Read(ctx, r.Bounds, r.Name, f.limits.Text)
}

// report says on standard error what could not be read: standard output is for the
// text.
func (f *formatter) report() error {
	diag.Sort(f.findings)
	return report.Write(f.std.err, "lines", &run.Result{Findings: f.findings}, report.Options{})
}

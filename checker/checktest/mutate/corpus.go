package mutate

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"pintle/checker/checktest"
	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Design is a text with the files around it, which it may use.
type Design struct {
	Name string
	Text string
	fsys fs.FS
}

// Corpus are the correct designs of the project: all examples and their parts, and the
// good fixtures of all rules, in a fixed order. fsys is the top of the project.
func Corpus(fsys fs.FS, catalogue *rule.Catalogue) ([]Design, error) {
	var out []Design
	add := func(fsys fs.FS, pattern string) error {
		files, err := fs.Glob(fsys, pattern)
		for _, f := range files {
			b, readErr := fs.ReadFile(fsys, f)
			err = errors.Join(err, readErr)
			out = append(out, Design{f, string(b), fsys})
		}
		return err
	}
	var err error
	for _, pattern := range []string{"examples/*.pintle", "examples/parts/*.pintle"} {
		err = errors.Join(err, add(fsys, pattern))
	}
	for _, g := range catalogue.Groups() {
		for _, r := range g.Rules {
			err = errors.Join(err, add(g.Fixtures, path.Join(r.Name, "good*"+run.Extension)))
		}
	}
	return out, err
}

// Faulty are the designs that have something wrong: the faulty examples and the bad fixtures.
func Faulty(fsys fs.FS, catalogue *rule.Catalogue) ([]Design, error) {
	var out []Design
	add := func(fsys fs.FS, pattern string) error {
		files, err := fs.Glob(fsys, pattern)
		for _, f := range files {
			b, readErr := fs.ReadFile(fsys, f)
			err = errors.Join(err, readErr)
			out = append(out, Design{f, string(b), fsys})
		}
		return err
	}
	err := add(fsys, "examples/faulty/*.pintle")
	for _, g := range catalogue.Groups() {
		for _, r := range g.Rules {
			err = errors.Join(err, add(g.Fixtures, path.Join(r.Name, "bad*"+run.Extension)))
		}
	}
	return out, err
}

// With is the design with another text.
func (d Design) With(text string) Design {
	d.Text = text
	return d
}

// Parse reads the text.
func (d Design) Parse() *syntax.File { return syntax.Parse(source.NewFile(d.Name, d.Text), nil) }

// Read elaborates the design.
func (d Design) Read(ctx context.Context) *elaborate.Result {
	tree := d.Parse()
	return elaborate.Elaborate(ctx, tree, run.NewLoader(run.InFS(d.fsys), tree))
}

// Check checks the design with all rules.
func (d Design) Check(ctx context.Context, catalogue *rule.Catalogue) ([]diag.Finding, error) {
	tree := d.Parse()
	result := run.File(ctx, run.FileRequest{
		Plan:     run.Plan{Catalogue: catalogue, Today: checktest.Today},
		Root:     tree,
		Settings: settings.Default(),
		Loader:   run.NewLoader(run.InFS(d.fsys), tree),
	})
	for _, f := range result.Failures {
		return nil, fmt.Errorf("%s\n%s", f, f.Stack)
	}
	return slices.DeleteFunc(result.Findings, func(f diag.Finding) bool { return f.Waived != nil }), nil
}

// Stripped is the design without a word of what is to hold or to be seen: claims, drives,
// symptoms, added faults, acceptances, and bands that nothing names.
func (d Design) Stripped() Design {
	file := d.Parse()
	m := &maker{file: file, all: file.All(), refs: map[string]int{}}
	for _, s := range m.all {
		if s.Kind != nil && !is(s, schema.Require, schema.Drive, schema.Step, schema.Symptom, schema.Noticed, schema.Band) {
			for _, r := range refs(s) {
				m.refs[r]++
			}
		}
	}
	var b strings.Builder
	at := 0
	for _, s := range m.all {
		if s.Kind == nil || s.Span.Start < at {
			continue
		}
		if !is(s, schema.Require, schema.Drive, schema.Symptom, schema.Noticed, schema.Fault, schema.Accept) && !(is(s, schema.Bands) && !m.named(s)) {
			continue
		}
		span := m.whole(s)
		if span.Start < at {
			continue
		}
		b.WriteString(d.Text[at:span.Start])
		at = span.End
	}
	b.WriteString(d.Text[at:])
	return d.With(b.String())
}

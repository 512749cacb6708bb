package mutate

import (
	"context"
	"fmt"
	"strings"

	"pintle/checker/rule"
)

// Sample says which mutants are measured.
type Sample struct {
	// Every takes each nth mutant, spread over designs and kinds; 1: all.
	Every int
	// Kind and Design, unless empty, keep one kind, and the designs with this in their name.
	Kind, Design string
	// Stripped measures them without claims, drives and symptoms.
	Stripped bool
}

// Run measures the mutants of designs, in a fixed order. told, unless nil, is called with each.
func (s Sample) Run(ctx context.Context, designs []Design, catalogue *rule.Catalogue, told func(*Outcome)) ([]Outcome, error) {
	var out []Outcome
	n := 0
	for _, d := range designs {
		if !strings.Contains(d.Name, s.Design) {
			continue
		}
		bare := d.Stripped()
		if s.Stripped {
			d = bare
		} else if bare.Text == d.Text {
			continue // it claims nothing: it is measured with the others that don't
		}
		var original *Original
		for _, m := range Mutants(d.Parse()) {
			if s.Kind != "" && m.Kind != s.Kind {
				continue
			}
			n++
			if n%max(1, s.Every) != 0 {
				continue
			}
			if original == nil {
				var err error
				if original, err = NewOriginal(ctx, d, catalogue); err != nil {
					return out, err
				}
			}
			o, err := original.Measure(ctx, m, catalogue)
			if err != nil {
				return out, fmt.Errorf("%s, %s, %s: %w", d.Name, m.Kind, m.What, err)
			}
			out = append(out, o)
			if told != nil {
				told(&o)
			}
		}
	}
	return out, nil
}

// Text tells of an outcome in a few lines.
func (o *Outcome) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s: %s: %s\n", o.Class, o.Design, o.Mutant.Kind, o.Mutant.What)
	for i := range o.New {
		f := &o.New[i]
		mark := " "
		if o.Mutant.named(f, o.Design) {
			mark = "*"
		}
		if f.Follows != nil {
			mark += "  \\" // folded
		}
		line := 0
		if !f.IsZero() {
			line = f.File.LineOf(f.Start) + 1
		}
		fmt.Fprintf(&b, "  %s %d %s %s [%s]: %s\n", mark, line, f.Severity, f.Rule, f.Subject, f.Message)
	}
	return b.String()
}

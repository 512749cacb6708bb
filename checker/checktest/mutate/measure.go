package mutate

import (
	"context"
	"regexp"
	"slices"
	"strings"

	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
)

// Class is what became of a mutant.
type Class int

// The classes.
const (
	// Caught: a finding that the original lacks names the changed line or a partner.
	Caught Class = iota
	// Alike: no finding, and the behaviour is that of the original, proved.
	Alike
	// NumbersOnly: no finding, and nothing differs but volts and amperes within limits.
	NumbersOnly
	// Elsewhere: there are new findings, but none names the changed line or a partner.
	Elsewhere
	// Another: no finding, and the result is another design as consistent as the first: whatever
	// acts or rests at times in the one does in the other, proved; and all that is claimed of
	// the first holds of it.
	Another
	// Missed: the behaviour is another one, or not proved to be the same, and nothing is said.
	Missed
)

func (c Class) String() string {
	return [...]string{"caught", "equal", "numbers only", "elsewhere", "another design", "missed"}[c]
}

// Outcome is a mutant with what the checker said.
type Outcome struct {
	Design string
	Mutant Mutant
	Class  Class
	// New are the findings that the original lacks, in the order in which they are printed.
	New []diag.Finding
	// First tells that the first of them names the changed line or a partner; Beside is
	// how many others are not folded under it.
	First  bool
	Beside int
}

// Original is a design that mutants are held against.
type Original struct {
	Design
	Findings []diag.Finding
	has      map[string]bool
	read     *elaborate.Result
}

// NewOriginal checks a design.
func NewOriginal(ctx context.Context, d Design, catalogue *rule.Catalogue) (*Original, error) {
	found, err := d.Check(ctx, catalogue)
	o := &Original{Design: d, Findings: found, has: map[string]bool{}}
	for i := range found {
		o.has[said(&found[i])] = true
	}
	return o, err
}

var digits = regexp.MustCompile(`[0-9]+`)

// said tells findings apart whatever the lines and the numbers in them.
func said(f *diag.Finding) string {
	if f.Subject != "" {
		return f.Rule + " " + f.Subject + " " + f.Severity.String()
	}
	return f.Rule + " " + digits.ReplaceAllString(f.Message, "0")
}

// Measure holds a mutant against the checker.
func (o *Original) Measure(ctx context.Context, m Mutant, catalogue *rule.Catalogue) (Outcome, error) {
	m = m.complete(o.Name)
	mutated := o.With(m.Text)
	found, err := mutated.Check(ctx, catalogue)
	out := Outcome{Design: o.Name, Mutant: m}
	if err != nil {
		return out, err
	}
	has := map[string]bool{}
	caught := false
	for i := range found {
		f := &found[i]
		has[said(f)] = true
		if o.has[said(f)] {
			continue
		}
		out.New = append(out.New, *f)
		caught = caught || m.named(f, o.Name)
	}
	gone := slices.ContainsFunc(o.Findings, func(f diag.Finding) bool { return !has[said(&f)] })
	switch {
	case caught:
		out.Class = Caught
		first := slices.IndexFunc(out.New, func(f diag.Finding) bool { return f.Follows == nil })
		out.First = first >= 0 && m.named(&out.New[first], o.Name)
		for i := range out.New {
			if out.New[i].Follows == nil && i != first {
				out.Beside++
			}
		}
	case len(out.New) > 0:
		out.Class = Elsewhere
	case gone:
		out.Class = Missed
	default:
		if o.read == nil {
			o.read = o.Read(ctx)
		}
		out.Class = [...]Class{Different: Missed, Numbers: NumbersOnly, Equal: Alike}[Same(ctx, o.read, mutated.Read(ctx))]
		if out.Class == Missed && Consistent(ctx, o.read, mutated.Read(ctx)) {
			out.Class = Another
		}
	}
	return out, nil
}

// named reports whether a finding names the changed line or a partner: it stands there,
// points there, or says its name.
func (m *Mutant) named(f *diag.Finding, file string) bool {
	if m.at(f.Place, file) || slices.ContainsFunc(f.Related, func(r diag.Related) bool { return m.at(r.Place, file) }) {
		return true
	}
	said := []string{f.Subject, f.Message, f.Help}
	for _, e := range f.Evidence {
		for _, l := range e.Lines {
			said = append(said, l.Text)
			if m.at(l.Place, file) {
				return true
			}
		}
	}
	return slices.ContainsFunc(slices.Concat(m.Names, m.Beside), func(n string) bool {
		return slices.ContainsFunc(said, func(s string) bool { return hasWord(s, n) })
	})
}

func (m *Mutant) at(p diag.Place, file string) bool {
	if p.IsZero() || p.File.Name != file {
		return false
	}
	line := p.File.LineOf(p.Start)
	return slices.Contains(m.Lines, line) || slices.Contains(m.Partners, line)
}

// hasWord reports whether a path stands in a text as a whole, or with more behind a dot.
func hasWord(text, path string) bool {
	inWord := func(c byte) bool {
		return c == '_' || c == '-' || c == '+' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
	}
	for at := 0; ; {
		i := strings.Index(text[at:], path)
		if i < 0 {
			return false
		}
		i += at
		end := i + len(path)
		if (i == 0 || !inWord(text[i-1])) && (end == len(text) || !inWord(text[end])) {
			return true
		}
		at = i + 1
	}
}

// Package checktest runs rules over their fixtures. A rule named no-feed has
//
//	testdata/no-feed/good*.pintle   designs in order, near to what the rule looks for
//	testdata/no-feed/bad*.pintle    designs with the defect
//
// What is expected stands in comments on the line where the finding is to be, see
// [rule.Mark]. A finding that is not expected and a mark without its finding both
// fail.
package checktest

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"testing"
	"time"

	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Today is the day on which fixtures are checked.
var Today = time.Date(2026, 6, 30, 12, 0, 0, 0, time.UTC)

// Run checks the fixtures of a group with all rules of the group. In good fixtures no
// rule may say anything at all, in bad ones exactly what is marked; marks of rules of
// other groups wait for Marked.
func Run(t *testing.T, group rule.Group) {
	t.Helper()
	catalogue, err := rule.NewCatalogue(group)
	if err != nil {
		t.Error(err)
	}
	RunAmong(t, catalogue, group)
}

// RunAmong checks the fixtures of a group with all rules of a catalogue, as Run does with
// those of the group: for rules that speak about what others have to say.
func RunAmong(t *testing.T, catalogue *rule.Catalogue, group rule.Group) {
	t.Helper()
	for _, r := range group.Rules {
		t.Run(r.Name, func(t *testing.T) {
			for _, file := range Fixtures(t, group, r.Name) {
				t.Run(strings.TrimSuffix(path.Base(file), run.Extension), func(t *testing.T) {
					fixture(t, catalogue, group.Fixtures, file)
				})
			}
		})
	}
}

// Fixtures lists the fixtures of a rule.
func Fixtures(t *testing.T, group rule.Group, name string) []string {
	t.Helper()
	var out []string
	for _, kind := range []string{"bad", "good"} {
		files, err := fs.Glob(group.Fixtures, path.Join(name, kind+"*"+run.Extension))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, files...)
	}
	return out
}

// Clean checks that no rule of the whole catalogue has anything to say, from warning
// upward, of any good fixture.
func Clean(t *testing.T, catalogue *rule.Catalogue) {
	t.Helper()
	for _, group := range catalogue.Groups() {
		for _, r := range group.Rules {
			for _, file := range Fixtures(t, group, r.Name) {
				if !strings.HasPrefix(path.Base(file), "good") {
					continue
				}
				t.Run(strings.TrimSuffix(file, run.Extension), func(t *testing.T) {
					for _, f := range check(t, catalogue, group.Fixtures, file, "") {
						if f.Severity >= diag.Warning && f.Waived == nil {
							t.Errorf("a good fixture: %s", show(f))
						}
					}
				})
			}
		}
	}
}

// Marked checks one file with the whole catalogue and holds what is found, from
// warning upward and not accepted, against its marks. Notes count where some are marked.
func Marked(t *testing.T, catalogue *rule.Catalogue, fsys fs.FS, file string) {
	t.Helper()
	text, err := fs.ReadFile(fsys, file)
	if err != nil {
		t.Fatal(err)
	}
	marks, err := rule.Marks(string(text))
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	found := slices.DeleteFunc(check(t, catalogue, fsys, file, string(text)), func(f diag.Finding) bool {
		return f.Waived != nil || f.Severity < diag.Warning && !marked(marks, f.Rule)
	})
	for _, wrong := range compare(file, marks, found) {
		t.Error(wrong)
	}
}

func marked(marks []rule.Mark, name string) bool {
	return slices.ContainsFunc(marks, func(m rule.Mark) bool { return m.Rule == name })
}

func fixture(t *testing.T, catalogue *rule.Catalogue, fsys fs.FS, file string) {
	t.Helper()
	text, err := fs.ReadFile(fsys, file)
	if err != nil {
		t.Fatal(err)
	}
	marks, err := rule.Marks(string(text))
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	name := path.Base(path.Dir(file))
	bad := strings.HasPrefix(path.Base(file), "bad")
	if bad && !marked(marks, name) {
		t.Errorf("%s: a bad fixture marks where %s speaks", file, name)
	}
	if !bad && len(marks) > 0 {
		t.Errorf("%s: a good fixture has no marks", file)
	}
	found := check(t, catalogue, fsys, file, "")
	found = slices.DeleteFunc(found, func(f diag.Finding) bool {
		// A rule that is run only when asked for is held against its own fixtures, and where it is marked.
		r, _ := catalogue.Lookup(f.Rule)
		return f.Waived != nil || r.Quiet && f.Rule != name && !marked(marks, f.Rule)
	})
	// What is marked of rules that do not run here counts where they do.
	marks = slices.DeleteFunc(marks, func(m rule.Mark) bool {
		_, runs := catalogue.Lookup(m.Rule)
		return !runs && !slices.ContainsFunc(found, func(f diag.Finding) bool { return meets(f, m) })
	})
	for _, wrong := range compare(file, marks, found) {
		t.Error(wrong)
	}
	for _, f := range found {
		if _, known := catalogue.Lookup(f.Rule); known {
			if wrong := illSaid(f); wrong != "" {
				t.Errorf("%s: %s", wrong, show(f))
			}
		}
		for _, fix := range f.Fixes {
			clears(t, catalogue, fsys, file, f, fix)
		}
	}
}

// check checks one fixture, or text in its stead if that is not empty. Quiet rules
// speak only in their own fixtures.
func check(t *testing.T, catalogue *rule.Catalogue, fsys fs.FS, file, text string) []diag.Finding {
	t.Helper()
	if text == "" {
		b, err := fs.ReadFile(fsys, file)
		if err != nil {
			t.Fatal(err)
		}
		text = string(b)
	}
	r, _ := catalogue.Lookup(path.Base(path.Dir(file)))
	tree := syntax.Parse(source.NewFile(file, text), nil)
	result := run.File(t.Context(), run.FileRequest{
		Plan:     run.Plan{Catalogue: catalogue, Quiet: r.Quiet, Today: Today},
		Root:     tree,
		Settings: settings.Default(),
		Loader:   run.NewLoader(run.InFS(fsys), tree),
	})
	for _, f := range result.Failures {
		t.Errorf("%s\n%s", f, f.Stack)
	}
	return result.Findings
}

// compare holds findings against marks, one to one, and reports what does not fit.
func compare(file string, marks []rule.Mark, found []diag.Finding) []string {
	var wrong []string
	open := slices.Clone(found)
	for _, m := range marks {
		i := slices.IndexFunc(open, func(f diag.Finding) bool { return meets(f, m) && missing(f, m) == "" })
		if i < 0 {
			// Better report which evidence is missing than that the finding is.
			if i = slices.IndexFunc(open, func(f diag.Finding) bool { return meets(f, m) }); i >= 0 {
				wrong = append(wrong, fmt.Sprintf("%s:%d: the evidence or advice of %s lacks %q; it has:\n%s",
					file, m.Line+1, m.Rule, missing(open[i], m), strings.Join(append(evidence(open[i]), open[i].Help), "\n")))
			}
		}
		if i < 0 {
			wrong = append(wrong, fmt.Sprintf("%s:%d: not found: %s %q", file, m.Line+1, m.Rule, m.Message))
			continue
		}
		open = slices.Delete(open, i, i+1)
	}
	for _, f := range open {
		wrong = append(wrong, "not expected: "+show(f))
	}
	return wrong
}

func meets(f diag.Finding, m rule.Mark) bool {
	return f.Rule == m.Rule && !f.IsZero() && f.File.LineOf(f.Start) == m.Line && strings.Contains(f.Message, m.Message)
}

// missing returns the first evidence or advice that a mark wants and a finding lacks.
func missing(f diag.Finding, m rule.Mark) string {
	have := evidence(f)
	for _, want := range m.Evidence {
		if !slices.ContainsFunc(have, func(s string) bool { return strings.Contains(s, want) }) {
			return want
		}
	}
	for _, want := range m.Help {
		if !strings.Contains(f.Help, want) {
			return want
		}
	}
	return ""
}

func evidence(f diag.Finding) []string {
	var out []string
	for _, e := range f.Evidence {
		for _, l := range e.Lines {
			out = append(out, l.Text)
		}
	}
	return out
}

func show(f diag.Finding) string {
	at := "(no place)"
	if !f.IsZero() {
		p := f.File.Position(f.Start)
		at = fmt.Sprintf("%s:%d:%d", f.File.Name, p.Line, p.Column)
	}
	return fmt.Sprintf("%s: %s %q (subject %q, %s)", at, f.Rule, f.Message, f.Subject, f.Severity)
}

// illSaid reports what is wrong with the form of a finding, or nothing.
func illSaid(f diag.Finding) string {
	switch m := f.Message; {
	case m == "" || m != strings.TrimSpace(m) || strings.HasSuffix(m, ".") || strings.Contains(m, "\n"):
		return "a message is one line without a full stop"
	case strings.HasSuffix(f.Help, "."):
		return "help ends without a full stop"
	case f.Why == "":
		return "a finding says why it matters"
	case f.IsZero():
		return "a finding has a place"
	case f.Start < 0 || f.Start > f.End || f.End > len(f.File.Text):
		return "a place lies in its file"
	}
	return ""
}

// clears applies a fix and checks that the finding is gone and that nothing that
// could be read before is now unreadable.
func clears(t *testing.T, catalogue *rule.Catalogue, fsys fs.FS, file string, f diag.Finding, fix diag.Fix) {
	t.Helper()
	text, err := Apply(f.File.Text, file, fix)
	if err != nil {
		t.Errorf("fix %q of %s: %v", fix.Title, show(f), err)
		return
	}
	had := len(f.File.Text) > 0 && len(syntax.Parse(f.File, nil).Findings) > 0
	if now := syntax.Parse(source.NewFile(file, text), nil).Findings; !had && len(now) > 0 {
		t.Errorf("fix %q of %s leaves a text that can't be read: %s\n%s", fix.Title, show(f), show(now[0]), text)
	}
	for _, g := range check(t, catalogue, fsys, file, text) {
		if g.Rule == f.Rule && g.Subject == f.Subject && g.Message == f.Message {
			t.Errorf("fix %q does not clear %s", fix.Title, show(f))
		}
	}
}

// Apply returns a text with the edits that a fix makes in the file of that name. They
// must not overlap.
func Apply(text, file string, fix diag.Fix) (string, error) {
	edits := slices.Clone(fix.Edits)
	slices.SortStableFunc(edits, func(a, b diag.Edit) int { return a.Place.Compare(b.Place) })
	var b strings.Builder
	at := 0
	for _, e := range edits {
		if e.IsZero() || e.File.Name != file {
			continue
		}
		if e.Start < at || e.End < e.Start || e.End > len(text) {
			return "", fmt.Errorf("the edit at %d to %d overlaps another or leaves the text", e.Start, e.End)
		}
		b.WriteString(text[at:e.Start])
		b.WriteString(e.New)
		at = e.End
	}
	b.WriteString(text[at:])
	return b.String(), nil
}

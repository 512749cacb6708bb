package elaborate_test

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/syntax"
)

var (
	wantMark = regexp.MustCompile(`# want: (.*)$`)
	wantOne  = regexp.MustCompile(`([a-z-]+) "([^"]*)"`)
)

// wanted reads the marks of a text: the line, the rule, and a part of the message. A
// mark stands in the line in which the finding begins.
func wanted(f *syntax.File) []string {
	var out []string
	for i := range f.Src.Lines() {
		m := wantMark.FindStringSubmatch(f.Src.Line(i))
		if m == nil {
			continue
		}
		for _, w := range wantOne.FindAllStringSubmatch(m[1], -1) {
			out = append(out, fmt.Sprintf("%s:%d %s: %s", f.Src.Name, i+1, w[1], w[2]))
		}
	}
	return out
}

// TestFindings holds every finding, of the parser too, against the marks of testdata/finding,
// one to one.
func TestFindings(t *testing.T) {
	text := folder(t, "testdata/finding")
	for _, name := range sortedNames(text) {
		if strings.Contains(name, "/") {
			continue
		}
		t.Run(name, func(t *testing.T) {
			r := elaborated(t, text, name)
			found := slices.Clone(r.Findings)
			var want []string
			for _, f := range r.Files {
				want = append(want, wanted(f)...)
				found = append(found, f.Findings...)
			}
			diag.Sort(found)
			for _, f := range found {
				complete(t, f)
				at := f.File.Position(f.Start)
				place := fmt.Sprintf("%s:%d %s: ", f.File.Name, at.Line, f.Rule)
				i := slices.IndexFunc(want, func(w string) bool {
					fragment, ok := strings.CutPrefix(w, place)
					return ok && strings.Contains(f.Message, fragment)
				})
				if i < 0 {
					t.Errorf("not expected: %s:%d:%d %s: %s", f.File.Name, at.Line, at.Column, f.Rule, f.Message)
					continue
				}
				want = slices.Delete(want, i, i+1)
			}
			for _, w := range want {
				t.Errorf("expected but not found: %s", w)
			}
		})
	}
}

// complete checks the anatomy of a finding.
func complete(t *testing.T, f diag.Finding) {
	t.Helper()
	if f.Rule == "syntax" || f.Why == "" && f.Help == "" {
		return // the parser's
	}
	assert.NotEmpty(t, f.Message)
	assert.NotEqual(t, '.', rune(f.Message[len(f.Message)-1]), f.Message)
	assert.NotNil(t, f.File, f.Message)
	assert.LessOrEqual(t, f.End, len(f.File.Text), f.Message)
	for _, fix := range f.Fixes {
		for _, e := range fix.Edits {
			assert.NotNil(t, e.File, fix.Title)
		}
	}
}

// TestSlugs holds the published list of rules against the findings of all marks.
func TestSlugs(t *testing.T) {
	text := folder(t, "testdata/finding")
	met := map[string]bool{"too-many-fits": true} // see TestTooManyFits
	for _, name := range sortedNames(text) {
		for _, f := range elaborated(t, text, name).Findings {
			assert.Contains(t, elaborate.Slugs, f.Rule)
			met[f.Rule] = true
		}
	}
	assert.Equal(t, elaborate.Slugs, slices.Sorted(maps.Keys(met)))
}

// TestTooManyFits repeats a part that repeats a part, until it would not fit anywhere.
func TestTooManyFits(t *testing.T) {
	text := `part Leaf {
    pin 1
}
part Branch {
    fit leaf: 1000 of Leaf
}
part Tree {
    fit branch: 1000 of Branch
}
fit forest: Tree
`
	r := elaborated(t, map[string]string{"bomb.pintle": text}, "bomb.pintle")
	require.Len(t, r.Findings, 1)
	assert.Equal(t, "too-many-fits", r.Findings[0].Rule)
}

// TestFixes applies every edit that is offered: each text still parses as it did, and
// the finding is gone.
func TestFixes(t *testing.T) {
	text := folder(t, "testdata/finding")
	fixes := 0
	for _, name := range sortedNames(text) {
		r := elaborated(t, text, name)
		for _, f := range r.Findings {
			for _, fix := range f.Fixes {
				fixes++
				changed := maps.Clone(text)
				for _, e := range fix.Edits {
					old := changed[e.File.Name]
					changed[e.File.Name] = old[:e.Start] + e.New + old[e.End:]
				}
				after := elaborated(t, changed, name)
				assert.Len(t, after.Files[0].Findings, len(r.Files[0].Findings), fix.Title)
				for _, g := range after.Findings {
					assert.False(t, g.Rule == f.Rule && g.Message == f.Message, "%s: still there after %s", f.Message, fix.Title)
				}
			}
		}
	}
	assert.Greater(t, fixes, 5)
}

package elaborate_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"pintle/lang/diag"
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

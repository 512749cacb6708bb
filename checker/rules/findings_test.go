package rules_test

import (
	"bytes"
	"path"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/checktest/golden"
	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/report"
	"pintle/lang/diag"
)

// longest is the most letters of a message: it has to be taken in at a glance.
const longest = 200

// eachBad runs a test on every bad fixture of the catalogue.
func eachBad(t *testing.T, f func(t *testing.T, c *rule.Catalogue, g rule.Group, file string)) {
	c, err := rules.All()
	require.NoError(t, err)
	for _, g := range c.Groups() {
		for _, r := range g.Rules {
			for _, file := range checktest.Fixtures(t, g, r.Name) {
				if strings.HasPrefix(path.Base(file), "bad") {
					t.Run(g.Name+"/"+strings.TrimSuffix(file, run.Extension), func(t *testing.T) { f(t, c, g, file) })
				}
			}
		}
	}
}

// checked is what the whole catalogue has to say of a fixture. Quiet rules speak in their
// own fixtures only.
func checked(t *testing.T, c *rule.Catalogue, g rule.Group, file string) *run.Result {
	t.Helper()
	r, ok := c.Lookup(path.Base(path.Dir(file)))
	require.True(t, ok)
	result, err := run.Check(t.Context(), run.Request{
		Plan:  run.Plan{Catalogue: c, Today: checktest.Today, Quiet: r.Quiet},
		Files: run.InFS(g.Fixtures), Paths: []string{file},
	})
	require.NoError(t, err)
	require.Empty(t, result.Failures)
	return result
}

// A defect is found by the rule that is there for it, and no other rule of the whole
// catalogue has anything to add.
func TestBadFixturesAmongAllRules(t *testing.T) {
	eachBad(t, func(t *testing.T, c *rule.Catalogue, g rule.Group, file string) {
		checktest.Marked(t, c, g.Fixtures, file)
	})
}

// Every finding says what, where, why and what to do, in a line that can be taken in at a
// glance, and there is one finding for one cause.
func TestFindingsAreWellSaid(t *testing.T) {
	eachBad(t, func(t *testing.T, c *rule.Catalogue, g rule.Group, file string) {
		type place struct {
			subject string
			diag.Place
		}
		seen := map[place]string{}
		for _, f := range checked(t, c, g, file).Findings {
			what := f.Rule + ": " + f.Message
			for _, wrong := range illSaid(f) {
				t.Errorf("%s: %s", what, wrong)
			}
			r, known := c.Lookup(f.Rule)
			if assert.True(t, known, what) && r.Run != nil && f.Subject == "" && !aboutAll[f.Rule] {
				t.Errorf("%s: it has no subject, so nobody can accept it on a thing", what)
			}
			if len(f.Fixes) > 0 && !r.Fixable {
				t.Errorf("%s: it carries a fix, and the catalogue says that it never does", what)
			}
			at := place{f.Subject, f.Place}
			if f.Severity < diag.Warning {
				continue
			}
			if other, ok := seen[at]; ok && other != f.Rule {
				t.Errorf("two findings for one cause: %s; %s", other, what)
			}
			seen[at] = f.Rule
		}
	})
}

// aboutAll are the rules that may speak of a design or a file as a whole.
var aboutAll = map[string]bool{"assumption-blocks": true, "voltage-class-b": true, "unused": true}

func illSaid(f diag.Finding) []string {
	var wrong []string
	check := func(ok bool, complaint string) {
		if !ok {
			wrong = append(wrong, complaint)
		}
	}
	check(!f.IsZero() && f.Start <= f.End && f.End <= len(f.File.Text), "it has no place")
	check(f.Help != "" || f.Rule == rule.Undecided || len(f.Fixes) > 0, "it does not say what to do")
	check(f.Why != "", "it does not say why it matters")
	for _, s := range []string{f.Message, f.Help, f.Why} {
		check(!strings.HasSuffix(s, ".") && !strings.Contains(s, "\n") && !strings.Contains(s, "  ") && s == strings.TrimSpace(s),
			"its parts are one line each, without a full stop: "+s)
	}
	check(utf8.RuneCountInString(f.Message) <= longest, "its message is too long")
	for _, s := range []string{f.Message, f.Help, f.Why} {
		check(!capital(s) || !f.IsZero() && named(f.File.Text, s), "it begins with a capital that is no name: "+s)
	}
	for _, e := range f.Evidence {
		check(e.Kind != "" && len(e.Lines) > 0, "its evidence is of no kind or has no lines")
	}
	for _, rel := range f.Related {
		check(rel.Note != "", "a related place says nothing")
	}
	return wrong
}

func capital(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return unicode.IsUpper(r)
}

var firstWord = regexp.MustCompile(`^[\w+-]+`)

// named reports whether a text names what a sentence begins with.
func named(text, sentence string) bool {
	return strings.Contains(text, firstWord.FindString(sentence))
}

// What comes out is the same however many files are looked at at once, byte by byte.
func TestOutputsAreStable(t *testing.T) {
	eachBad(t, func(t *testing.T, c *rule.Catalogue, g rule.Group, file string) {
		first, second := checked(t, c, g, file), checked(t, c, g, file)
		for _, form := range []string{"text", "lines", "json"} {
			assert.Equal(t, written(t, c, form, first), written(t, c, form, second), form)
		}
	})
}

// What a person gets to read of one defect of each group.
func TestOutputsOfSome(t *testing.T) {
	some := map[string]string{
		"bands": "band-contradicted", "circuits": "sneak-path", "wiring": "driver-overload",
		"states": "requirement-violated", "faults": "fault-violates-requirement", "reading": "undefined-name", "names": "acceptance-lapsed",
	}
	c, err := rules.All()
	require.NoError(t, err)
	for _, g := range c.Groups() {
		for _, form := range []string{"text", "lines", "json"} {
			t.Run(g.Name+"/"+form, func(t *testing.T) {
				result := checked(t, c, g, checktest.Fixtures(t, g, some[g.Name])[0])
				golden.Check(t, "testdata/"+g.Name+"."+form, written(t, c, form, result))
			})
		}
	}
}

// written is a result in one of the forms, without the time that it took.
func written(t *testing.T, c *rule.Catalogue, form string, r *run.Result) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, form, r, report.Options{Version: "test", Catalogue: c, FailOn: diag.Error}))
	return b.String()
}

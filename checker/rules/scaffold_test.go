package rules_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"go/format"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"text/template"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var newRule = flag.String("new", "", "make the files of a new rule: GROUP/SLUG, such as wiring/wire-too-hot")

// A new rule touches the folder of its group alone. This makes its files:
//
//	go test ./checker/rules -run TestScaffold -new wiring/wire-too-hot
//
// Without -new it makes them on paper only, for each group, and lets the compiler and the
// fixtures of the group judge them: so the templates stay true.
func TestScaffold(t *testing.T) {
	if *newRule != "" {
		group, slug, ok := strings.Cut(*newRule, "/")
		require.True(t, ok, "write -new GROUP/SLUG")
		for name, text := range scaffold(t, group, slug) {
			if name != filepath.Join(group, groupFile(t, group)) {
				require.NoFileExists(t, name)
			}
			require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o777))
			require.NoError(t, os.WriteFile(name, []byte(text), 0o666))
			t.Log("wrote checker/rules/" + filepath.ToSlash(name))
		}
		return
	}
	// The whole of the smallest group: rule, page, fixtures and catalogue agree.
	command(t, overlay(t, scaffold(t, "names", "made-on-paper")), "test", "-run", "TestFixtures/made-on-paper", "./names")
	all := map[string]string{}
	groups := []string{"./bands", "./circuits", "./faults", "./states", "./wiring"}
	for _, group := range groups {
		maps.Copy(all, scaffold(t, filepath.Base(group), "made-on-paper"))
	}
	command(t, overlay(t, all), "build", groups...)
}

func command(t *testing.T, overlay, verb string, args ...string) {
	t.Helper()
	out, err := exec.Command("go", append([]string{verb, "-overlay", overlay}, args...)...).CombinedOutput()
	assert.NoError(t, err, string(out))
	assert.NotContains(t, string(out), "no tests to run")
}

// overlay lets the go command see files that are not there.
func overlay(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	replace := map[string]string{}
	for name, text := range files {
		full, err := filepath.Abs(name)
		require.NoError(t, err)
		replace[full] = filepath.Join(dir, strings.ReplaceAll(name, string(filepath.Separator), "_"))
		require.NoError(t, os.WriteFile(replace[full], []byte(text), 0o666))
	}
	text, err := json.Marshal(map[string]any{"Replace": replace})
	require.NoError(t, err)
	name := filepath.Join(dir, "overlay.json")
	require.NoError(t, os.WriteFile(name, text, 0o666))
	return name
}

// groupFile is the file that lists the rules of a group.
func groupFile(t *testing.T, group string) string {
	t.Helper()
	list, err := filepath.Glob(filepath.Join(group, "*.go"))
	require.NoError(t, err)
	for _, name := range list {
		if text, err := os.ReadFile(name); err == nil && strings.Contains(string(text), "[]rule.Rule{") {
			return filepath.Base(name)
		}
	}
	t.Fatalf("checker/rules/%s lists no rules", group)
	return ""
}

// scaffold is the files of a new rule by their names, the list of its group with it.
func scaffold(t *testing.T, group, slug string) map[string]string {
	t.Helper()
	words := strings.Split(slug, "-")
	for i := 1; i < len(words); i++ {
		words[i] = strings.ToUpper(words[i][:1]) + words[i][1:]
	}
	rule := struct{ Package, Slug, Func string }{group, slug, strings.Join(words, "")}
	out := map[string]string{}
	for name, text := range scaffolding {
		var b bytes.Buffer
		require.NoError(t, template.Must(template.New(name).Parse(text)).Execute(&b, rule))
		name = strings.ReplaceAll(name, "SLUG.go", strings.ReplaceAll(slug, "-", "_")+".go")
		out[filepath.Join(group, filepath.FromSlash(strings.ReplaceAll(name, "SLUG", slug)))] = b.String()
	}
	list := filepath.Join(group, groupFile(t, group))
	text, err := os.ReadFile(list)
	require.NoError(t, err)
	listed, err := format.Source([]byte(strings.Replace(string(text), "[]rule.Rule{", "[]rule.Rule{\n"+rule.Func+"(),", 1)))
	require.NoError(t, err)
	out[list] = string(listed)
	return out
}

// scaffolding is a rule that works: it reports loads that are called `change_me`. What is to
// be written anew stands in capitals.
var scaffolding = map[string]string{
	"SLUG.go": `package {{.Package}}

import (
	"pintle/checker/question/evidence"
	"pintle/checker/rule"
	"pintle/lang/diag"
)

func {{.Func}}() rule.Rule {
	return rule.Rule{
		Name:     "{{.Slug}}",
		Severity: diag.Warning,
		Summary:  "WHAT IT FINDS, without a full stop",
		Why:      "WHY THAT MATTERS ON THE VEHICLE, without a full stop",
		Doc:      pages.Of("{{.Slug}}"),
		Needs:    rule.Design,
		Run: func(p *rule.Pass) {
			d := p.Design
			for i := range d.Loads {
				l := &d.Loads[i]
				if l.Broken { // its statement has a finding already
					continue
				}
				if l.Name != "change_me" {
					continue
				}
				p.Report(diag.Finding{
					Place:   evidence.Site(d, &l.Info),
					Subject: l.Path,
					Message: l.Path + " HAS WHAT THE RULE LOOKS FOR",
					Help:    "WHAT TO DO ABOUT IT",
				})
			}
		},
	}
}
`,
	"pages/SLUG.md": `WHAT EXACTLY IT LOOKS AT, WHAT NOT, AND WHAT TO DO.
`,
	"testdata/SLUG/bad.pintle": `## What is wrong here.
title "A design in which it finds something"
ground body
supply battery: 12 V, from body to stud, inside 8 mohm
fuse F1: battery.stud to feed, 5 A
node feed
load change_me: feed to body, 2 W at 12 V, lit from 60 % # want: {{.Slug}} "change_me"
`,
	"testdata/SLUG/good.pintle": `## What is right here.
title "A design in which it finds nothing"
ground body
supply battery: 12 V, from body to stud, inside 8 mohm
fuse F1: battery.stud to feed, 5 A
node feed
load lamp: feed to body, 2 W at 12 V, lit from 60 %
`,
}

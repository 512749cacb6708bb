package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/source"
	"pintle/lang/syntax"
)

// A block of a page: its info string, its text, and the line it begins at.
type block struct {
	info, text string
	line       int
}

var fence = regexp.MustCompile("(?m)^```(.*)\n((?s:.*?))^```$")

func blocks(t *testing.T, page string) []block {
	t.Helper()
	text, err := os.ReadFile(page)
	require.NoError(t, err)
	var out []block
	for _, m := range fence.FindAllSubmatchIndex(text, -1) {
		out = append(out, block{
			info: string(text[m[2]:m[3]]), text: string(text[m[4]:m[5]]),
			line: 1 + bytes.Count(text[:m[0]], []byte("\n")),
		})
	}
	return out
}

// pintle runs the command in a folder and returns what it prints.
func pintle(t *testing.T, folder string, args ...string) string {
	t.Helper()
	t.Chdir(folder)
	var out, errs bytes.Buffer
	execute(t.Context(), args, stdio{in: strings.NewReader(""), out: &out, err: &errs})
	require.Empty(t, errs.String())
	return out.String()
}

// The marks of the fixtures are none of the reader's business.
var mark = regexp.MustCompile(`(?m) *# want.*$`)

// TestReadme does what README.md tells its reader to do and demands that it comes out as
// it says there.
func TestReadme(t *testing.T) {
	page, err := filepath.Abs("../../README.md")
	require.NoError(t, err)
	bs := blocks(t, page)
	find := func(begins string) string {
		for _, b := range bs {
			if strings.HasPrefix(b.text, begins) {
				return b.text
			}
		}
		require.Fail(t, "README.md has no block that begins so", begins)
		return ""
	}
	examples, err := filepath.Abs("../../examples")
	require.NoError(t, err)

	dir := t.TempDir()
	require.NoError(t, os.CopyFS(filepath.Join(dir, "examples"), os.DirFS(examples)))
	held := filepath.Join(dir, "examples", "faulty", "held_in_through_lamp.pintle")
	text, err := os.ReadFile(held)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(held, mark.ReplaceAll(text, nil), 0o600))
	assert.True(t, strings.HasPrefix(pintle(t, dir, "check", "examples/faulty/held_in_through_lamp.pintle"),
		find("WARNING   K1.winding stays in")), "the finding in README.md is not what check prints")

	fan := find("## A fan behind the radiator")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "fan.pintle"), []byte(fan), 0o600))
	assert.True(t, strings.HasPrefix(pintle(t, dir, "check", "fan.pintle"), find("WARNING   no band of cooling")),
		"the finding in step 2 of README.md is not what check prints")

	named := strings.Replace(fan, "    band hot:", "    band between: 88 to 94 degC, keeps, enters as cool\n    band hot:", 1)
	named += find("require never_off_when_hot") + find("drive warm_up")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "fan.pintle"), []byte(named), 0o600))
	assert.Contains(t, pintle(t, dir, "check", "--fail-on", "note", "fan.pintle"), "Nothing wrong found")
	assert.Equal(t, find("Radiator fan\n"), pintle(t, dir, "drive", "fan.pintle"), "the time line in README.md is not what drive prints")
}

// Every design on every page can be read, and a whole one, with a title, has nothing
// wrong unless it is marked: ```pintle finds RULE RULE.
func TestPages(t *testing.T) {
	for _, page := range []string{"README.md", "lang/README.md", "checker/README.md", "lsp/README.md", "editors/README.md", "examples/README.md", "DEVELOPERS.md"} {
		path, err := filepath.Abs("../../" + page)
		require.NoError(t, err)
		if _, err := os.Stat(path); os.IsNotExist(err) {
			continue
		}
		for _, b := range blocks(t, path) {
			words := strings.Fields(b.info)
			if len(words) == 0 || words[0] != "pintle" {
				continue
			}
			at := fmt.Sprintf("%s:%d", page, b.line)
			wanted := ""
			if len(words) > 2 && words[1] == "finds" {
				wanted = strings.Join(words[2:], " ")
			}
			if !strings.Contains(b.text, "title \"") {
				f := syntax.Parse(source.NewFile(at, b.text), nil)
				assert.Empty(t, f.Findings, at)
				continue
			}
			if page == "README.md" || page == "checker/README.md" {
				continue // TestReadme, and the fixtures themselves
			}
			t.Run(at, func(t *testing.T) {
				dir := t.TempDir()
				require.NoError(t, os.WriteFile(filepath.Join(dir, "design.pintle"), []byte(b.text), 0o600))
				var found []string
				for line := range strings.Lines(pintle(t, dir, "check", "--as", "lines", "design.pintle")) {
					if m := regexp.MustCompile(`: (?:error|warning): .*\(([a-z-]+)\)`).FindStringSubmatch(line); m != nil {
						found = append(found, m[1])
					}
				}
				assert.Equal(t, wanted, strings.Join(found, " "))
			})
		}
	}
}

var verb = regexp.MustCompile("(?m)(?:[^`]`|^)pintle ([a-z]+)")

// Every verb that a page tells to use is there, and README.md tells of each.
func TestVerbsOnPages(t *testing.T) {
	root := rootCommand(stdio{in: strings.NewReader(""), out: &bytes.Buffer{}, err: &bytes.Buffer{}})
	there := map[string]bool{"help": true}
	for _, c := range root.Commands() {
		there[c.Name()] = true
	}
	told := map[string]bool{"help": true}
	for _, page := range []string{"README.md", "lang/README.md", "checker/README.md", "lsp/README.md", "editors/README.md", "examples/README.md", "DEVELOPERS.md"} {
		text, err := os.ReadFile("../../" + page)
		if os.IsNotExist(err) {
			continue
		}
		require.NoError(t, err)
		for _, m := range verb.FindAllSubmatch(text, -1) {
			assert.True(t, there[string(m[1])], "%s tells of pintle %s", page, m[1])
			told[string(m[1])] = told[string(m[1])] || page == "README.md"
		}
	}
	for name := range there {
		assert.True(t, told[name], "README.md does not tell of %s", name)
	}
}

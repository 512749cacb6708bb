//go:build linux

package main

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
	"pintle/lsp/fake"
)

// windows is the program as built for Windows, which PINTLE_WINDOWS names, run under Wine. See
// .ci/run for what it needs.
func windows(t *testing.T) func(dir string, args ...string) (stdout string, status int) {
	t.Helper()
	exe := os.Getenv("PINTLE_WINDOWS")
	if exe == "" {
		outside.Missing(t, "PINTLE_WINDOWS names no program")
	}
	return func(dir string, args ...string) (string, int) {
		t.Helper()
		c := exec.CommandContext(t.Context(), "wine", append([]string{exe}, args...)...)
		var out, errs bytes.Buffer
		c.Dir, c.Stdout, c.Stderr = dir, &out, &errs
		err := c.Run()
		require.NotNil(t, c.ProcessState, "%v", err)
		if errs.Len() > 0 {
			t.Logf("%q: %s", args, errs.String())
		}
		return out.String(), c.ProcessState.ExitCode()
	}
}

// here runs the program of this system.
func here(t *testing.T, dir string, args ...string) (string, int) {
	t.Helper()
	t.Chdir(dir)
	var out, errs bytes.Buffer
	status := execute(t.Context(), args, stdio{in: strings.NewReader(""), out: &out, err: &errs})
	return out.String(), status
}

// desk copies some examples to a folder whose name has a blank and letters that are not
// ASCII, with one text in the line ends of Windows, and one with a mistake.
func desk(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "Grüße und so")
	require.NoError(t, os.CopyFS(filepath.Join(dir, "parts"), os.DirFS("../../examples/parts")))
	for _, name := range []string{"charge_lamp.pintle", "headlamps.pintle", "pintle.toml"} {
		text, err := os.ReadFile(filepath.Join("../../examples", name))
		require.NoError(t, err)
		if name == "headlamps.pintle" {
			text = bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n"))
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), text, 0o644))
	}
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "größer"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "größer", "zu klein.pintle"), []byte("use \"../parts/lamps.pintle\"\r\nnode    a\r\nfit K: Unknown\r\n"), 0o644))
	return dir
}

// TestWindowsSaysTheSame: what is found, and how a text is laid out, is the same on Windows,
// byte for byte but for the time that it took and the version: go build stamps the commit,
// go test does not.
func TestWindowsSaysTheSame(t *testing.T) {
	run := windows(t)
	root, err := filepath.Abs("../..")
	require.NoError(t, err)
	dir := desk(t)
	for _, c := range []struct {
		dir  string
		args []string
	}{
		{root, []string{"check", "--fail-on", "warning", "--as", "json", "examples"}},
		{root, []string{"check", "--as", "sarif", "examples/faulty"}},
		{dir, []string{"check"}},
		{dir, []string{"check", "--as", "lines", "."}},
		{dir, []string{"check", "--as", "junit", "größer"}},
		{dir, []string{"check", "nothing here.pintle"}},
		{dir, []string{"format", "--check"}},
		{dir, []string{"format", "--diff", "größer/zu klein.pintle"}},
		{dir, []string{"rules"}},
		{dir, []string{"rulez"}},
	} {
		there, status := run(c.dir, c.args...)
		out, wanted := here(t, c.dir, c.args...)
		assert.Equal(t, wanted, status, "exit status of %q", c.args)
		assert.Equal(t, untimed(out), untimed(there), "%q", c.args)
	}
}

var (
	took       = regexp.MustCompile(`(?m)^  [0-9.]+ m?s$`)
	ourVersion = regexp.MustCompile(`"version": "(devel|v[0-9][^"]*)"`)
)

func untimed(out string) string {
	return ourVersion.ReplaceAllString(took.ReplaceAllString(out, "  (time)"), `"version": "(ours)"`)
}

// TestWindowsPaths names files as people do there.
func TestWindowsPaths(t *testing.T) {
	run := windows(t)
	dir := desk(t)
	drive := `Z:` + strings.ReplaceAll(dir, "/", `\`)
	for _, name := range []string{`größer\zu klein.pintle`, `.\größer\..\größer\zu klein.pintle`, drive + `\größer\zu klein.pintle`, `größer/zu klein.pintle`} {
		out, status := run(dir, "check", "--as", "lines", name)
		assert.Equal(t, exitFindings, status, name)
		assert.Regexp(t, `(?m)^(Z:/.*/)?größer/zu klein\.pintle:3:\d+: error: .*Unknown`, out, name)
		assert.NotContains(t, out, `\`, name)
	}
	out, status := run(dir, "check", "--as", "sarif", drive+`\größer`)
	assert.Equal(t, exitFindings, status)
	assert.Contains(t, out, `"file:///Z:/`)
	_, status = run(dir, "format", `größer\zu klein.pintle`)
	assert.Equal(t, exitClean, status)
	text, err := os.ReadFile(filepath.Join(dir, "größer", "zu klein.pintle"))
	require.NoError(t, err)
	assert.Contains(t, string(text), "\r\nnode a\r\n", "laid out, with the line ends that the file has")
}

// TestWindowsNames: what is no name of a file there is refused with a finding, and never opened.
func TestWindowsNames(t *testing.T) {
	run := windows(t)
	dir := desk(t)
	text := ""
	names := map[string]string{
		"NUL": "is the name of a device", "con.pintle": "is the name of a device", "parts/COM1.pintle": "is the name of a device",
		"headlamps.pintle:x": "would be a stream", "headlamps.pintle::$DATA": "would be a stream",
		"headlamps.pintle.": "without the dots and blanks", "parts /lamps.pintle": "without the dots and blanks",
		"//server/share/x.pintle": "it lies outside of the workspace", "C:/windows/win.ini": "it lies outside of the workspace",
	}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		text += "use \"" + name + "\"\n"
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "names.pintle"), []byte(text+"node a\n"), 0o644))
	out, status := run(dir, "check", "--as", "lines", "names.pintle")
	assert.Equal(t, exitFindings, status)
	for name, why := range names {
		assert.Regexp(t, "the file `"+regexp.QuoteMeta(name)+"` can't be read: .*"+why, out)
	}
	out, status = run(dir, "format", "NUL")
	assert.Equal(t, exitFailed, status, out)
}

// TestWindowsServes goes through a session as an editor on Windows has one, with its
// addresses.
func TestWindowsServes(t *testing.T) {
	windows(t)
	dir := desk(t)
	address := func(name string) string {
		return "file:///z%3A" + strings.NewReplacer(" ", "%20", "ü", "%C3%BC", "ß", "%C3%9F", "ö", "%C3%B6").Replace(dir+"/"+name)
	}
	c := fake.Start(t, fake.Options{Raw: true, Command: []string{"wine", os.Getenv("PINTLE_WINDOWS"), "serve"}})
	folder := strings.TrimSuffix(address(""), "/")
	c.Request("initialize", map[string]any{
		"processId": nil, "rootUri": folder, "workspaceFolders": []any{map[string]any{"uri": folder, "name": "designs"}},
		"capabilities": json.RawMessage(fake.Full("utf-16")),
	}, nil)
	c.Notify("initialized", map[string]any{})
	lamps := address("headlamps.pintle")
	raw, err := os.ReadFile(filepath.Join(dir, "headlamps.pintle"))
	require.NoError(t, err)
	text := string(raw)
	c.Open(lamps, text)
	var published fake.Published
	require.NoError(t, c.Until(t.Context(), func() bool { _, ok := c.Published(lamps); return ok }))
	published, _ = c.Published(lamps)
	assert.Empty(t, published.Diagnostics)
	wrong := address("größer/zu klein.pintle")
	require.NoError(t, c.Until(t.Context(), func() bool { p, ok := c.Published(wrong); return ok && len(p.Diagnostics) > 0 }), "findings of files that are not open")

	at := map[string]any{"textDocument": map[string]any{"uri": lamps}, "position": position(text, "TwinFilament")}
	var targets []struct {
		URI string `json:"uri"`
	}
	c.Request("textDocument/definition", at, &targets)
	require.Len(t, targets, 1)
	assert.Equal(t, address("parts/lamps.pintle"), targets[0].URI)
	var links []struct {
		Target string `json:"target"`
	}
	c.Request("textDocument/documentLink", at, &links)
	require.NotEmpty(t, links)
	assert.Contains(t, links[0].Target, address("parts/"))
	var edit struct {
		DocumentChanges []struct {
			TextDocument struct{ URI string } `json:"textDocument"`
		} `json:"documentChanges"`
	}
	at["newName"] = "HeadlampBulb"
	c.Request("textDocument/rename", at, &edit)
	var uris []string
	for _, d := range edit.DocumentChanges {
		uris = append(uris, d.TextDocument.URI)
	}
	assert.Contains(t, uris, address("parts/lamps.pintle"))
	assert.Contains(t, uris, lamps)
	assert.Equal(t, exitClean, c.Shutdown())
}

// position is where a word stands first in a text of ASCII.
func position(text, word string) fake.Position {
	before, _, _ := strings.Cut(text, word)
	return fake.Position{Line: uint32(strings.Count(before, "\n")), Character: uint32(len(before) - strings.LastIndex(before, "\n") - 1)}
}

package server_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lsp/convert"
	"pintle/lsp/fake"
	"pintle/lsp/server"
)

const fuseParts = `part Fuse {
    takes rating: A
    pin in, out
    fuse element: in to out, rating
}
`

const usesLibrary = `use "parts.pintle"
ground block
supply battery: 12 V, from block to stud
fit F1: Fuse(rating 5 A)
`

func write(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	for name, text := range files {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
}

func codes(ds []fake.Diagnostic) []string {
	out := []string{}
	for _, d := range ds {
		out = append(out, d.Code)
	}
	return out
}

// TestEditorIsCommandLine: what the editor shows of a folder is what the command line
// finds in it.
func TestEditorIsCommandLine(t *testing.T) {
	root, err := filepath.Abs("../../examples")
	require.NoError(t, err)
	// Those with mistakes are left out when the others are checked.
	folders := []string{root, filepath.Join(root, "faulty")}
	catalogue, _ := rules.All()
	today := time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	result, err := run.Check(t.Context(), run.Request{
		Plan: run.Plan{Catalogue: catalogue, Today: today}, Paths: folders,
	})
	require.NoError(t, err)
	for _, positions := range []string{"utf-8", "utf-16", "utf-32"} {
		want := map[string][]string{}
		d := convert.Diagnostics{Encoding: convert.Encoding(positions), Folders: folders}
		for _, f := range result.Findings {
			for _, c := range d.All(f.File, []diag.Finding{f}) {
				u := fake.URI(f.File.Name)
				want[u] = append(want[u], fmt.Sprintf("%d:%d %v %v", c.Range.Start.Line, c.Range.Start.Character, c.Code, c.Message))
			}
		}
		require.Greater(t, len(want), 20)
		got := func(c *fake.Client) map[string][]string {
			c.Settle()
			out := map[string][]string{}
			for u, p := range c.AllPublished() {
				for _, d := range p.Diagnostics {
					out[u] = append(out[u], fmt.Sprintf("%d:%d %v %v", d.Range.Start.Line, d.Range.Start.Character, d.Code, d.Message))
				}
			}
			return out
		}
		c := fake.Start(t, fake.Options{
			Folders: folders, Capabilities: fake.Full(positions),
			Server: server.Options{Catalogue: catalogue, Today: func() time.Time { return today }},
		})
		assert.Equal(t, want, got(c), "from disk")
		for u := range want {
			text, err := os.ReadFile(strings.TrimPrefix(u, "file://"))
			require.NoError(t, err)
			c.Open(u, string(text))
		}
		assert.Equal(t, want, got(c), "open in the editor")
	}
}

// TestUsers: an open parts file shows what is found in it through the designs that use
// it, and an edit of it reaches them.
func TestUsers(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"parts.pintle": fuseParts, "car.pintle": usesLibrary})
	c := fake.Start(t, fake.Options{Folders: []string{dir}})
	parts, car := fake.URI(filepath.Join(dir, "parts.pintle")), fake.URI(filepath.Join(dir, "car.pintle"))
	c.Open(parts, fuseParts)
	assert.NotContains(t, codes(c.Diagnostics(car)), "undefined-name")
	c.Edit(parts, 2, fake.Change{Text: strings.Replace(fuseParts, "Fuse", "Link", 1)})
	assert.Contains(t, codes(c.Diagnostics(car)), "undefined-name")
	c.Edit(parts, 3, fake.Change{Text: fuseParts})
	assert.NotContains(t, codes(c.Diagnostics(car)), "undefined-name")
	c.Edit(parts, 4, fake.Change{Text: strings.Replace(fuseParts, "Fuse", "Link", 1)})
	assert.Contains(t, codes(c.Diagnostics(car)), "undefined-name")
	c.Close(parts) // the file on disk counts again
	assert.NotContains(t, codes(c.Diagnostics(car)), "undefined-name")
}

// TestFilesOnDisk: files that come, change and go, with a client that tells and with one
// that does not.
func TestFilesOnDisk(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"car.pintle": usesLibrary})
	c := fake.Start(t, fake.Options{Folders: []string{dir}})
	car := fake.URI(filepath.Join(dir, "car.pintle"))
	parts := filepath.Join(dir, "parts.pintle")
	tell := func() {
		c.Notify("workspace/didChangeWatchedFiles", map[string]any{"changes": []any{map[string]any{"uri": fake.URI(parts), "type": 1}}})
	}
	save := func() { c.Notify("textDocument/didSave", map[string]any{"textDocument": map[string]any{"uri": car}}) }
	assert.Contains(t, codes(c.Diagnostics(car)), "import-missing")
	write(t, dir, map[string]string{"parts.pintle": fuseParts})
	tell()
	assert.NotContains(t, codes(c.Diagnostics(car)), "import-missing")
	require.NoError(t, os.Remove(parts))
	tell()
	assert.Contains(t, codes(c.Diagnostics(car)), "import-missing")
	write(t, dir, map[string]string{"parts.pintle": fuseParts})
	save()
	assert.NotContains(t, codes(c.Diagnostics(car)), "import-missing")
	require.NoError(t, os.Remove(filepath.Join(dir, "car.pintle")))
	save()
	assert.Empty(t, c.Diagnostics(car), "what is gone has no diagnostics")
}

// TestSettingsLive: pintle.toml counts as it is in the editor; a broken one says so in
// its own file, and the last good one stays.
func TestSettingsLive(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"zone.pintle": gap})
	c := fake.Start(t, fake.Options{Folders: []string{dir}})
	zone, toml := fake.URI(filepath.Join(dir, "zone.pintle")), fake.URI(filepath.Join(dir, "pintle.toml"))
	c.Open(zone, gap)
	require.Contains(t, codes(c.Diagnostics(zone)), "band-gap")
	c.Open(toml, "[rules]\nband-gap = \"off\"\n")
	assert.NotContains(t, codes(c.Diagnostics(zone)), "band-gap")
	c.Edit(toml, 2, fake.Change{Text: "[rules]\nband-gap = \"off\"\nno-such-rule = \"off\"\n"})
	c.Settle()
	p, _ := c.Published(toml)
	require.Len(t, p.Diagnostics, 1)
	assert.Equal(t, uint32(2), p.Diagnostics[0].Range.Start.Line)
	z, _ := c.Published(zone)
	assert.NotContains(t, codes(z.Diagnostics), "band-gap")
	c.Edit(toml, 3, fake.Change{Text: ""})
	c.Settle()
	p, _ = c.Published(toml)
	assert.Empty(t, p.Diagnostics)
	assert.Contains(t, codes(c.Diagnostics(zone)), "band-gap")
}

func TestFoldersComeAndGo(t *testing.T) {
	one, two := t.TempDir(), t.TempDir()
	write(t, one, map[string]string{"a.pintle": gap})
	write(t, two, map[string]string{"b.pintle": gap})
	c := fake.Start(t, fake.Options{Folders: []string{one}})
	a, b := fake.URI(filepath.Join(one, "a.pintle")), fake.URI(filepath.Join(two, "b.pintle"))
	folder := func(dir string) []any { return []any{map[string]string{"uri": fake.URI(dir), "name": "x"}} }
	assert.NotEmpty(t, c.Diagnostics(a))
	assert.Empty(t, c.Diagnostics(b))
	c.Notify("workspace/didChangeWorkspaceFolders", map[string]any{"event": map[string]any{"added": folder(two), "removed": folder(one)}})
	assert.Empty(t, c.Diagnostics(a))
	assert.NotEmpty(t, c.Diagnostics(b))
}

// TestConfiguration: what is checked follows the client's configuration.
func TestConfiguration(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"a.pintle": gap, "b.pintle": gap})
	asked := make(chan struct{}, 10)
	scope := "open"
	c := fake.Start(t, fake.Options{Folders: []string{dir}, Remember: true, Answers: map[string]func(json.RawMessage) any{
		"workspace/configuration": func(json.RawMessage) any {
			defer func() { asked <- struct{}{} }()
			return []any{map[string]any{"check": scope, "inlayHints": []any{}}}
		},
	}})
	<-asked
	require.NoError(t, c.Until(t.Context(), func() bool { return len(c.Messages("client/registerCapability")) == 1 }))
	a, b := fake.URI(filepath.Join(dir, "a.pintle")), fake.URI(filepath.Join(dir, "b.pintle"))
	c.Open(a, gap)
	// The answer is taken over some time after it was sent.
	require.NoError(t, c.Until(t.Context(), func() bool {
		pa, _ := c.Published(a)
		pb, _ := c.Published(b)
		c.Notify("$/setTrace", map[string]any{"value": "messages"})
		c.Go("test/settled", map[string]any{})
		return len(pa.Diagnostics) > 0 && len(pb.Diagnostics) == 0
	}))
	// A client that can't be asked sends it along.
	d := fake.Start(t, fake.Options{Folders: []string{dir}, Capabilities: `{}`, Init: `{"check":"open"}`})
	assert.Empty(t, d.Diagnostics(b))
	d.Notify("workspace/didChangeConfiguration", map[string]any{"settings": map[string]any{"pintle": map[string]any{"check": "workspace"}}})
	assert.NotEmpty(t, d.Diagnostics(b))
}

// TestOutsideOfFiles: documents that are in no file are checked like others.
func TestOutsideOfFiles(t *testing.T) {
	c := fake.Start(t, fake.Options{})
	for _, uri := range []string{"untitled:Untitled-1", "git:/a/b.pintle?ref", "vscode-vfs://host/x.pintle", "untitled:"} {
		c.Open(uri, gap)
		assert.Contains(t, codes(c.Diagnostics(uri)), "band-gap", uri)
		c.Edit(uri, 2, fake.Change{Text: `use "parts.pintle"` + "\n"})
		assert.Contains(t, codes(c.Diagnostics(uri)), "import-missing", uri)
		c.Close(uri)
		assert.Empty(t, c.Diagnostics(uri), uri)
	}
}

// TestVersions: changes that come late, twice or for what is not open change nothing.
func TestVersions(t *testing.T) {
	c := fake.Start(t, fake.Options{})
	const uri = "file:///v.pintle"
	c.Edit(uri, 1, fake.Change{Text: gap})
	c.Close(uri)
	c.Open(uri, gap)
	c.Edit(uri, 5, fake.Change{Text: ""})
	c.Edit(uri, 5, fake.Change{Text: gap})
	c.Edit(uri, 4, fake.Change{Text: gap})
	assert.Empty(t, c.Diagnostics(uri))
	p, _ := c.Published(uri)
	assert.Equal(t, int32(5), *p.Version)
	c.Edit(uri, 6, fake.Change{Text: gap})
	assert.NotEmpty(t, c.Diagnostics(uri))
}

//go:build unix

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// secret is what nothing that is printed may hold: it lies outside of every workspace.
const secret = "blah top_secret_word"

// hostile makes folders as somebody might who wants to stop, blind or rob whoever looks at
// them. What is large is made here, so that nothing large is stored.
func hostile(t *testing.T) string {
	t.Helper()
	top := t.TempDir()
	put := func(name, text string) {
		name = filepath.Join(top, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o755))
		require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	}
	link := func(to, name string) { require.NoError(t, os.Symlink(to, filepath.Join(top, name))) }
	put("outside/secret.pintle", secret+"\n")
	put("in/.git/HEAD", "")

	put("in/reach/x.pintle", `use "/etc/passwd"
use "/proc/self/environ"
use "/dev/zero"
use "../../outside/secret.pintle"
use "link.pintle"
use "folder/secret.pintle"
use "pipe.pintle"
use "dir.pintle"
node a
`)
	link("../../outside/secret.pintle", "in/reach/link.pintle")
	link("../../outside", "in/reach/folder")
	link("/dev/zero", "in/reach/zero.pintle")
	link("nowhere", "in/reach/dangling.pintle")
	link("ring.pintle", "in/reach/ring.pintle")
	require.NoError(t, os.Mkdir(filepath.Join(top, "in/reach/dir.pintle"), 0o755))
	require.NoError(t, syscall.Mkfifo(filepath.Join(top, "in/reach/pipe.pintle"), 0o644))

	put("in/ring/x.pintle", "use \"a/x.pintle\"\nuse \"b/x.pintle\"\nuse \"a/b/a/b/x.pintle\"\nnode n\n")
	link(".", "in/ring/a")
	link(".", "in/ring/b")

	put("in/pipe/sub/x.pintle", "node n\n")
	require.NoError(t, syscall.Mkfifo(filepath.Join(top, "in/pipe/pintle.toml"), 0o644))
	put("in/linked/x.pintle", "node n\n")
	link("../../outside/secret.pintle", "in/linked/pintle.toml")
	put("in/keys/pintle.toml", strings.Repeat("a.", 20_000)+"a = 1\n")
	put("in/keys/x.pintle", "node n\n")
	put("in/brackets/pintle.toml", "x = "+strings.Repeat("[", 200_000))
	put("in/brackets/x.pintle", "node n\n")
	put("in/large/pintle.toml", strings.Repeat("[", 20<<20))
	put("in/large/x.pintle", strings.Repeat("#", 5<<20))

	put("in/many/same.pintle", strings.Repeat("node a\n", 40_000))
	put("in/many/open.pintle", strings.Repeat("fit a: {\n", 30_000))
	put("in/many/deep.pintle", strings.Repeat("fit a: {\n", 115_000))
	put("in/many/parts.pintle", strings.Repeat("part P {\n", 30_000))
	put("in/many/braces.pintle", strings.Repeat("{", 400_000))
	put("in/many/brackets.pintle", strings.Repeat("[", 400_000))
	put("in/many/bytes.pintle", strings.Repeat("\xff\x00", 1000))
	put("in/many/repeat.pintle", "part p {\n    shows x\n    node y\n}\n"+strings.Repeat("fit a: 10000 of p\n", 50))
	for i := range 300 {
		put(fmt.Sprintf("in/chain/f%d.pintle", i), fmt.Sprintf("use \"f%d.pintle\"\nuse \"f%d.pintle\"\nnode n%d\n", i+1, i+2, i))
	}
	return top
}

// bounded runs the program with a limit on what it may hold and take: the heap by
// GOMEMLIMIT, all memory, generously, and processor time by setrlimit.
func bounded(t *testing.T, dir string, in []byte, args ...string) (out string, status int) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 4*time.Minute) // in case that it waits
	defer cancel()
	self, err := os.Executable()
	require.NoError(t, err)
	pintle := filepath.Join(t.TempDir(), "pintle")
	require.NoError(t, os.Symlink(self, pintle)) // by this name it is the command
	shell := append([]string{"-c", `ulimit -t 120; ulimit -v 4000000; exec "$0" "$@"`, pintle}, args...)
	c := exec.CommandContext(ctx, "sh", shell...)
	c.Dir, c.Stdin = dir, bytes.NewReader(in)
	c.Env = append(os.Environ(), "GOMEMLIMIT=300MiB")
	text, err := c.CombinedOutput()
	require.NoError(t, ctx.Err(), "it does not end: %v", args)
	if err != nil {
		_, exited := err.(*exec.ExitError)
		require.True(t, exited, "%v", err)
	}
	require.True(t, c.ProcessState.Exited(), "%v ends by %v\n%.2000s", args, c.ProcessState, text)
	usage, ok := c.ProcessState.SysUsage().(*syscall.Rusage)
	require.True(t, ok)
	held := usage.Maxrss
	if held > 1<<30 { // Darwin counts in bytes
		held >>= 10
	}
	assert.Less(t, held>>10, int64(600), "MB held by %v", args)
	assert.NotContains(t, string(text), "top_secret_word")
	assert.NotContains(t, string(text), "root:", "of /etc/passwd")
	assert.NotContains(t, string(text), "PATH=", "of the environment")
	for _, fault := range []string{"internal fault", "panic", "goroutine", "out of memory"} {
		assert.NotContains(t, string(text), fault)
	}
	return string(text), c.ProcessState.ExitCode()
}

func TestHostileCheck(t *testing.T) {
	top := hostile(t)
	out, status := bounded(t, top, nil, "check", "--as", "lines", "in")
	assert.Equal(t, 2, status, "some could not be looked at")
	for _, want := range []string{
		"the file `/etc/passwd` can't be read: it lies outside of the workspace",
		"the file `/dev/zero` can't be read: it lies outside of the workspace",
		"the file `../../outside/secret.pintle` can't be read: it lies outside",
		"the file `link.pintle` can't be read: it lies outside",
		"the file `folder/secret.pintle` can't be read: it lies outside",
		"the file `pipe.pintle` can't be read: it is a pipe",
		"the file `dir.pintle` can't be read: it is a folder",
		"in/reach/zero.pintle: the link is not followed",
		"in/reach/dangling.pintle: the link leads nowhere",
		"pipe/pintle.toml:1: the settings can't be read: it is a pipe",
		"linked/pintle.toml:1: the settings can't be read: it lies outside",
		"keys/pintle.toml:1: nested more than 16 levels deep",
		"brackets/pintle.toml:1: nested more than 16 levels deep",
		"large/pintle.toml:1: the settings can't be read: it has 20 MB",
		"large/x.pintle: it has 5 MB",
		"ring/x.pintle:1:5: error: the files use each other in a circle",
		"more than 1000 findings of duplicate-name in this file",
	} {
		assert.Contains(t, out, want)
	}
	assert.Less(t, strings.Count(out, "duplicate-name"), 4000)

	// The user, and nobody else, may allow more.
	out, _ = allowed(t, top)
	assert.Contains(t, out, "top_secret_word")
}

func allowed(t *testing.T, top string) (string, error) {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	pintle := filepath.Join(t.TempDir(), "pintle")
	require.NoError(t, os.Symlink(self, pintle))
	c := exec.CommandContext(t.Context(), pintle, "check", "--allow", "outside", "in/reach/x.pintle")
	c.Dir = top
	out, err := c.CombinedOutput()
	return string(out), err
}

func TestHostileFormat(t *testing.T) {
	top := hostile(t)
	require.NoError(t, os.WriteFile(filepath.Join(top, "outside/secret.pintle"), []byte("node   a # "+secret+"\n"), 0o644))
	_, status := bounded(t, top, nil, "format", "in")
	assert.Equal(t, 2, status)
	text, err := os.ReadFile(filepath.Join(top, "outside/secret.pintle"))
	require.NoError(t, err)
	assert.Equal(t, "node   a # "+secret+"\n", string(text), "it follows no link out of the folder")
	out, status := bounded(t, top, nil, "format", "in/reach/link.pintle")
	assert.Equal(t, 2, status)
	assert.Contains(t, out, "it lies outside of the workspace")
	require.NoError(t, filepath.WalkDir(top, func(name string, _ os.DirEntry, err error) error {
		assert.NotContains(t, name, ".tmp", "nothing half written stays")
		return err
	}))
}

func TestHostileServe(t *testing.T) {
	top := hostile(t)
	var in bytes.Buffer
	send := func(message map[string]any) {
		message["jsonrpc"] = "2.0"
		body, err := json.Marshal(message)
		require.NoError(t, err)
		fmt.Fprintf(&in, "Content-Length: %d\r\n\r\n%s", len(body), body)
	}
	at := func(name string) string { return "file://" + filepath.Join(top, name) }
	ids := 0
	ask := func(method string, params any) {
		ids++
		send(map[string]any{"id": ids, "method": method, "params": params})
	}
	ask("initialize", map[string]any{"capabilities": map[string]any{}, "rootUri": at("in")})
	send(map[string]any{"method": "initialized", "params": map[string]any{}})
	open := func(name, text string) {
		send(map[string]any{"method": "textDocument/didOpen", "params": map[string]any{
			"textDocument": map[string]any{"uri": at(name), "languageId": "pintle", "version": 1, "text": text}}})
	}
	text, err := os.ReadFile(filepath.Join(top, "in/reach/x.pintle"))
	require.NoError(t, err)
	open("in/reach/x.pintle", string(text))
	open("in/huge.pintle", strings.Repeat("node a\n", 1<<20))
	edit := map[string]any{"text": "x", "range": map[string]any{
		"start": map[string]any{"line": 0, "character": 0}, "end": map[string]any{"line": 0, "character": 1}}}
	send(map[string]any{"method": "textDocument/didChange", "params": map[string]any{
		"textDocument": map[string]any{"uri": at("in/huge.pintle"), "version": 2}, "contentChanges": []any{edit}}})
	uris := []string{"file:///dev/zero", "file:///etc/passwd", "file:///proc/self/environ"}
	for _, name := range []string{"in/reach/x.pintle", "in/reach/pipe.pintle", "in/reach/zero.pintle", "in/reach/link.pintle", "in/reach", "in/huge.pintle", "in/many/open.pintle", "in/pipe/pintle.toml"} {
		uris = append(uris, at(name))
	}
	for _, uri := range uris {
		for _, method := range []string{"hover", "documentSymbol", "documentLink", "diagnostic", "definition", "formatting"} {
			ask("textDocument/"+method, map[string]any{
				"textDocument": map[string]any{"uri": uri}, "position": map[string]any{"line": 0, "character": 6},
				"options": map[string]any{"tabSize": 4, "insertSpaces": true}})
		}
	}
	ask("workspace/diagnostic", map[string]any{"previousResultIds": []any{}})
	ask("shutdown", nil)
	send(map[string]any{"method": "exit"})
	out, status := bounded(t, top, in.Bytes(), "serve")
	assert.Equal(t, 0, status)
	assert.NotContains(t, out, "-32603")
	for id := 1; id <= ids; id++ {
		assert.Contains(t, out, fmt.Sprintf(`"id":%d`, id), "each request has an answer")
	}
	assert.NotContains(t, out, `"target":"file:///etc/passwd"`)
}

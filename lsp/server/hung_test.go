package server_test

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
	"pintle/checker/run/files"
	"pintle/lsp/fake"
	"pintle/lsp/server"
	"pintle/lsp/server/rpc"
)

// hung is a disk that answers nothing about some names until it is let go, not even when it
// is told to give up, as the disk of a network does that is down.
type hung struct {
	files.Files
	name  string
	asked chan struct{} // gets a token when it is asked
	let   chan struct{}
}

func hang(t *testing.T, name string) hung {
	h := hung{files.Disk{}, name, make(chan struct{}, 1), make(chan struct{})}
	t.Cleanup(func() { close(h.let) })
	return h
}

func (h hung) wait(name string) {
	if strings.HasSuffix(name, h.name) {
		select {
		case h.asked <- struct{}{}:
		default:
		}
		<-h.let
	}
}

func (h hung) Read(ctx context.Context, in files.Bounds, name string, most int) ([]byte, error) {
	h.wait(name)
	return h.Files.Read(ctx, in, name, most)
}

func (h hung) Stat(ctx context.Context, in files.Bounds, name string) (fs.FileInfo, error) {
	h.wait(name)
	return h.Files.Stat(ctx, in, name)
}

// TestCancelledWhileTheDiskHangs: a request is answered when it is cancelled, whatever it is
// waiting for, and its id may be used again.
func TestCancelledWhileTheDiskHangs(t *testing.T) {
	dir := t.TempDir()
	disk := hang(t, "dead.pintle")
	r := rawClient(t, server.Options{Files: disk})
	t.Cleanup(func() { r.close() })
	go r.say(`{"jsonrpc":"2.0","id":0,"method":"initialize","params":{"capabilities":{}}}`)
	require.Contains(t, r.hear(t), `"id":0,"result"`)
	open := `{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"` + fake.URI(filepath.Join(dir, "a.pintle")) + `","languageId":"pintle","version":1,"text":"use \"dead.pintle\"\nground g\n"}}}`
	ask := `{"jsonrpc":"2.0","id":1,"method":"textDocument/hover","params":{"textDocument":{"uri":"` + fake.URI(filepath.Join(dir, "a.pintle")) + `"},"position":{"line":1,"character":1}}}`
	answer := func() string {
		for {
			if m := r.hear(t); strings.Contains(m, `"id":1,`) {
				return m
			}
		}
	}
	answered := make(chan struct{}, 1)
	go func() {
		r.say(open)
		<-disk.asked
		for range 2 {
			r.say(ask)
			r.say(`{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":1}}`)
			<-answered
		}
	}()
	for range 2 {
		assert.Contains(t, answer(), `-32800`)
		answered <- struct{}{}
	}
}

// TestEndsWhileTheDiskHangs: so does the server.
func TestEndsWhileTheDiskHangs(t *testing.T) {
	disk := hang(t, "dead.pintle")
	c := fake.Start(t, fake.Options{Server: server.Options{Files: disk}})
	uri := fake.URI(filepath.Join(t.TempDir(), "a.pintle"))
	c.Open(uri, "use \"dead.pintle\"\nground g\n")
	<-disk.asked
	pending := c.Go("textDocument/hover", hover(uri))
	assert.Equal(t, server.ExitDone, c.Shutdown())
	assert.Error(t, pending.Wait(nil))
}

// TestTooLongToRead: a document that is longer than any message that is read whole has a
// finding that says so, and is served again when it is opened with less.
func TestTooLongToRead(t *testing.T) {
	c := fake.Start(t, fake.Options{})
	const uri = "file:///nowhere/a.pintle"
	c.Open(uri, strings.Repeat("node a\n", rpc.MaxBody/7+1))
	d := c.Diagnostics(uri)
	require.Len(t, d, 1)
	assert.Contains(t, d[0].Message, "it has more than 512 kB")
	c.Close(uri)
	c.Open(uri, gap)
	assert.Contains(t, codes(c.Diagnostics(uri)), "band-gap")
	c.Edit(uri, 2, fake.Change{Text: strings.Repeat("é", rpc.MaxBody/2+1)})
	assert.Contains(t, c.Diagnostics(uri)[0].Message, "it has more than 512 kB")
	long := map[string]any{"textDocument": map[string]any{"uri": uri}, "x": strings.Repeat("x", rpc.MaxBody)}
	assert.Equal(t, rpc.InvalidRequest, code(t, c.Try("textDocument/documentSymbol", long, nil)))
}

// TestSettingsPassedOver: that settings of somebody else do not count is reported, once.
func TestSettingsPassedOver(t *testing.T) {
	if os.Getuid() != 0 {
		outside.Missing(t, "only root can give files away")
	}
	top := t.TempDir()
	write(t, top, map[string]string{"pintle.toml": "[rules]\nband-gap = \"off\"\n", "mine/a.pintle": gap})
	toml := filepath.Join(top, "pintle.toml")
	require.NoError(t, os.Chown(toml, 1234, 1234))
	mine := filepath.Join(top, "mine")
	c := fake.Start(t, fake.Options{Folders: []string{mine}, Remember: true})
	uri := fake.URI(filepath.Join(mine, "a.pintle"))
	c.Open(uri, gap)
	assert.Contains(t, codes(c.Diagnostics(uri)), "band-gap")
	c.Edit(uri, 2, fake.Change{Text: gap + "\n"})
	c.Settle()
	told := 0
	for _, m := range c.Messages("window/logMessage") {
		if strings.Contains(string(m.Params), "these settings are passed over: it belongs to somebody else (user 1234)") {
			assert.Contains(t, string(m.Params), toml)
			told++
		}
	}
	assert.Equal(t, 1, told)
}

package server_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/rules"
	"pintle/lsp/fake"
	"pintle/lsp/server"
	"pintle/lsp/server/rpc"
)

// TestSlowOnesKeepNobodyWaiting: a cheap request is answered while very many slow ones,
// more than can begin at once, are not.
func TestSlowOnesKeepNobodyWaiting(t *testing.T) {
	release := make(chan struct{})
	c := fake.Start(t, fake.Options{Server: server.Options{Extra: []server.Feature{
		server.OnWorkspace("test/slow", nil, func(context.Context, *server.Request, *struct{}) (bool, error) {
			<-release
			return true, nil
		}),
	}}})
	c.Open("file:///nowhere/a.pintle", gap)
	var slow []*fake.Pending
	for range 200 {
		slow = append(slow, c.Go("test/slow", map[string]any{}))
	}
	var h any
	c.Request("textDocument/hover", map[string]any{"textDocument": map[string]any{"uri": "file:///nowhere/a.pintle"}, "position": map[string]any{"line": 0, "character": 1}}, &h)
	assert.NotNil(t, h)
	close(release)
	for _, p := range slow {
		require.NoError(t, p.Wait(nil))
	}
}

// TestTooManyAreRefused: what can't be worked on is answered, not kept.
func TestTooManyAreRefused(t *testing.T) {
	c := fake.Start(t, fake.Options{Server: server.Options{Extra: []server.Feature{
		server.OnWorkspace("test/wait", nil, func(ctx context.Context, _ *server.Request, _ *struct{}) (bool, error) {
			<-ctx.Done()
			return false, ctx.Err()
		}),
	}}})
	var all []*fake.Pending
	for range 1100 {
		all = append(all, c.Go("test/wait", map[string]any{}))
	}
	assert.Equal(t, rpc.ServerCancelled, code(t, all[len(all)-1].Wait(nil)))
	for _, p := range all {
		c.Notify("$/cancelRequest", map[string]any{"id": p.ID})
	}
	refused := 0
	for _, p := range all[:len(all)-1] {
		if code(t, p.Wait(nil)) == rpc.ServerCancelled {
			refused++
		}
	}
	assert.Positive(t, refused)
	c.Request("test/settled", map[string]any{}, nil)
}

// raw is a client that does what none should, at the streams of a server in this process.
type raw struct {
	to     io.WriteCloser
	from   *bufio.Reader
	close  func()
	status chan int
}

func rawClient(t *testing.T, o server.Options) *raw {
	t.Helper()
	o.Catalogue, _ = rules.All()
	in, to := io.Pipe()
	from, out := io.Pipe()
	r := &raw{to: to, from: bufio.NewReader(from), close: func() { from.Close() }, status: make(chan int, 1)}
	go func() {
		r.status <- server.Serve(context.Background(), in, out, o)
		out.Close()
	}()
	t.Cleanup(func() { to.Close(); from.Close() })
	return r
}

// say sends a message; it returns false when the server reads no more.
func (r *raw) say(body string) bool {
	_, err := fmt.Fprintf(r.to, "Content-Length: %d\r\n\r\n%s", len(body), body)
	return err == nil
}

// hear reads a message.
func (r *raw) hear(t *testing.T) string {
	t.Helper()
	var n int
	_, err := fmt.Fscanf(r.from, "Content-Length: %d\r\n\r\n", &n)
	require.NoError(t, err)
	body := make([]byte, n)
	_, err = io.ReadFull(r.from, body)
	require.NoError(t, err)
	return string(body)
}

// TestIDsComeBackToTheLetter: JSON-RPC 2.0, section 5: "the same as the value of the id
// member in the Request Object".
func TestIDsComeBackToTheLetter(t *testing.T) {
	r := rawClient(t, server.Options{})
	ids := []string{`1`, `"1"`, `1.0`, `9007199254740993`, `123456789012345678901234567890`, `"\u00e4/\/"`, `-0`, `1.50`, `""`, `"a b"`}
	go func() {
		for _, id := range ids {
			r.say(`{"jsonrpc":"2.0","id":` + id + `,"method":"textDocument/hover","params":{}}`)
		}
	}()
	for _, id := range ids {
		assert.Contains(t, r.hear(t), `"id":`+id+`,"error"`)
	}
	go r.say(`{"jsonrpc":"2.0","method":"exit"}`)
	assert.Equal(t, server.ExitFailed, <-r.status)
}

// TestNobodyReads: a client that asks and never reads costs no more than the queue, and then
// the connection.
func TestNobodyReads(t *testing.T) {
	large := server.OnWorkspace("test/large", nil, func(context.Context, *server.Request, *struct{}) (string, error) {
		return strings.Repeat("x", 1<<20), nil
	})
	r := rawClient(t, server.Options{Extra: []server.Feature{large}, Stuck: time.Millisecond})
	require.True(t, r.say(`{"jsonrpc":"2.0","id":0,"method":"initialize","params":{"capabilities":{}}}`))
	before := heap()
	sent := 0
	for sent < 40 && r.say(fmt.Sprintf(`{"jsonrpc":"2.0","id":%d,"method":"test/large","params":{}}`, sent+1)) {
		sent++
	}
	// The server may still take what it was sent when it gave up.
	assert.Equal(t, server.ExitFailed, <-r.status)
	assert.Less(t, int64(heap())-int64(before), int64(rpc.MaxQueue))
	r.close()
}

// TestReaderIsGone: one whose end is closed is not written to for ever.
func TestReaderIsGone(t *testing.T) {
	r := rawClient(t, server.Options{})
	r.close()
	r.say(`{"jsonrpc":"2.0","id":0,"method":"initialize","params":{"capabilities":{}}}`)
	assert.Equal(t, server.ExitFailed, <-r.status)
}

// TestNobodyAnswers: a client that can be asked much and never answers is asked each thing
// once, however often there would be reason to.
func TestNobodyAnswers(t *testing.T) {
	never := make(chan struct{})
	asked := make(chan string, 1000)
	r := rawClient(t, server.Options{})
	go r.say(`{"jsonrpc":"2.0","id":0,"method":"initialize","params":{"capabilities":` + fake.Full() + `}}`)
	require.Contains(t, r.hear(t), `"id":0,"result"`)
	go func() {
		defer close(never)
		for {
			var n int
			if _, err := fmt.Fscanf(r.from, "Content-Length: %d\r\n\r\n", &n); err != nil {
				return
			}
			body := make([]byte, n)
			if _, err := io.ReadFull(r.from, body); err != nil {
				return
			}
			if strings.Contains(string(body), `"method":"workspace/configuration"`) {
				asked <- "configuration"
			}
			if strings.Contains(string(body), `"id":1,`) && strings.Contains(string(body), `"result"`) {
				asked <- "end"
			}
		}
	}()
	r.say(`{"jsonrpc":"2.0","method":"initialized","params":{}}`)
	goroutines := runtime.NumGoroutine()
	for range 500 {
		r.say(`{"jsonrpc":"2.0","method":"workspace/didChangeConfiguration","params":{"settings":null}}`)
	}
	r.say(`{"jsonrpc":"2.0","id":1,"method":"shutdown"}`)
	n := 0
	for what := range asked {
		if what == "end" {
			break
		}
		n++
	}
	assert.LessOrEqual(t, n, 1)
	assert.Less(t, runtime.NumGoroutine(), goroutines+50)
	r.say(`{"jsonrpc":"2.0","method":"exit"}`)
	assert.Equal(t, server.ExitDone, <-r.status)
	<-never
}

// TestFolderIsDeleted: the findings of what lay in a folder go with it, with only the folder
// told of, and what used a file in it says so.
func TestFolderIsDeleted(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{
		"lib/deep/gap.pintle": gap, "lib/parts.pintle": fuseParts, "car.pintle": strings.Replace(usesLibrary, "parts", "lib/parts", 1),
	})
	c := fake.Start(t, fake.Options{Folders: []string{dir}})
	inside, car := fake.URI(filepath.Join(dir, "lib/deep/gap.pintle")), fake.URI(filepath.Join(dir, "car.pintle"))
	require.NotEmpty(t, c.Diagnostics(inside))
	require.NotContains(t, codes(c.Diagnostics(car)), "import-missing")
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "lib")))
	deleted := func(name string) {
		c.Notify("workspace/didChangeWatchedFiles", map[string]any{"changes": []any{map[string]any{"uri": fake.URI(name), "type": 3}}})
	}
	deleted(filepath.Join(dir, "other")) // nothing of ours
	deleted(filepath.Join(dir, "lib"))
	assert.Empty(t, c.Diagnostics(inside))
	assert.Contains(t, codes(c.Diagnostics(car)), "import-missing")
	require.NoError(t, os.RemoveAll(dir)) // the workspace itself
	deleted(dir)
	assert.Empty(t, c.Diagnostics(car))
}

// TestDocumentOutsideOfTheWorkspace is served, and nothing around it is looked at.
func TestDocumentOutsideOfTheWorkspace(t *testing.T) {
	workspace, elsewhere := t.TempDir(), t.TempDir()
	write(t, workspace, map[string]string{"car.pintle": gap})
	write(t, elsewhere, map[string]string{"one.pintle": gap, "beside.pintle": gap, "user.pintle": `use "one.pintle"` + "\n"})
	c := fake.Start(t, fake.Options{Folders: []string{workspace}})
	one := fake.URI(filepath.Join(elsewhere, "one.pintle"))
	c.Open(one, gap)
	assert.Contains(t, codes(c.Diagnostics(one)), "band-gap")
	assert.Contains(t, codes(c.Diagnostics(fake.URI(filepath.Join(workspace, "car.pintle")))), "band-gap")
	for _, other := range []string{"beside.pintle", "user.pintle"} {
		_, told := c.Published(fake.URI(filepath.Join(elsewhere, other)))
		assert.False(t, told, other)
	}
	var edit struct {
		DocumentChanges []struct {
			TextDocument struct {
				URI string `json:"uri"`
			} `json:"textDocument"`
		} `json:"documentChanges"`
	}
	c.Request("textDocument/rename", map[string]any{"textDocument": map[string]any{"uri": one}, "position": map[string]any{"line": 0, "character": 10}, "newName": "pace"}, &edit)
	require.Len(t, edit.DocumentChanges, 1)
	assert.Equal(t, one, edit.DocumentChanges[0].TextDocument.URI)
	c.Close(one)
	assert.Empty(t, c.Diagnostics(one), "it is no part of the workspace")
	assert.Contains(t, codes(c.Diagnostics(fake.URI(filepath.Join(workspace, "car.pintle")))), "band-gap")
}

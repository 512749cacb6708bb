package server_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"pintle/lsp/fake"
	"pintle/lsp/server"
	"pintle/lsp/server/rpc"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// gap is a design with one mistake that is seen at once: the bands leave a gap.
const gap = `quantity speed: 0 to 7000 rpm
bands zone: over speed {
    band slow: 0 to 2000 rpm
    band fast: 3000 to 7000 rpm
}
`

func code(t *testing.T, err error) int {
	t.Helper()
	var r *fake.ResponseError
	require.ErrorAs(t, err, &r)
	return r.Code
}

func hover(uri string) map[string]any {
	return map[string]any{"textDocument": map[string]any{"uri": uri}}
}

func TestLifeCycle(t *testing.T) {
	c := fake.Start(t, fake.Options{Raw: true})
	assert.Equal(t, rpc.ServerNotInitialized, code(t, c.Try("textDocument/diagnostic", hover("file:///a"), nil)))
	c.Notify("textDocument/didOpen", map[string]any{}) // dropped
	c.Initialize()
	assert.Equal(t, rpc.InvalidRequest, code(t, c.Try("initialize", map[string]any{"capabilities": map[string]any{}}, nil)))
	assert.Equal(t, rpc.MethodNotFound, code(t, c.Try("textDocument/nothing", map[string]any{}, nil)))
	c.Notify("pintle/nothing", map[string]any{})
	c.Notify("$/nothing", map[string]any{})
	c.Request("shutdown", nil, nil)
	assert.Equal(t, rpc.InvalidRequest, code(t, c.Try("textDocument/diagnostic", hover("file:///a"), nil)))
	assert.Equal(t, rpc.InvalidRequest, code(t, c.Try("shutdown", nil, nil)))
	c.Notify("exit", nil)
	assert.Equal(t, server.ExitDone, c.Status())
}

func TestExitStatus(t *testing.T) {
	t.Run("exit without shutdown", func(t *testing.T) {
		c := fake.Start(t, fake.Options{})
		c.Notify("exit", nil)
		assert.Equal(t, server.ExitFailed, c.Status())
	})
	t.Run("exit before initialize", func(t *testing.T) {
		c := fake.Start(t, fake.Options{Raw: true})
		c.Notify("exit", nil)
		assert.Equal(t, server.ExitFailed, c.Status())
	})
	t.Run("the editor dies", func(t *testing.T) {
		c := fake.Start(t, fake.Options{})
		c.CloseInput()
		assert.Equal(t, server.ExitFailed, c.Status())
	})
	t.Run("the stream ends after shutdown", func(t *testing.T) {
		c := fake.Start(t, fake.Options{})
		c.Request("shutdown", nil, nil)
		c.CloseInput()
		assert.Equal(t, server.ExitDone, c.Status())
	})
	t.Run("the process of the editor is gone", func(t *testing.T) {
		c := fake.Start(t, fake.Options{Raw: true, Server: server.Options{
			Alive: func(pid int) bool { return pid != 4711 }, ParentPoll: time.Millisecond,
		}})
		c.Request("initialize", map[string]any{"processId": 4711, "capabilities": map[string]any{}}, nil)
		assert.Equal(t, server.ExitFailed, c.Status())
	})
}

// TestMalformed sends what is no message; the server answers and lives on.
func TestMalformed(t *testing.T) {
	c := fake.Start(t, fake.Options{})
	frame := func(body string) { c.WriteRaw(fmt.Appendf(nil, "Content-Length: %d\r\n\r\n%s", len(body), body)) }
	for _, body := range []string{
		`{`, ``, `nonsense`, "\xff\xfe", `{"jsonrpc":"2.0","id":7,`,
		`[]`, `[{"jsonrpc":"2.0","id":1,"method":"shutdown"}]`,
		`7`, `{}`, `{"jsonrpc":"2.0","id":{},"method":"shutdown"}`,
	} {
		before := len(c.Messages("error"))
		frame(body)
		require.NoError(t, c.Until(t.Context(), func() bool { return len(c.Messages("error")) > before }), body)
	}
	for i, want := range []int{
		rpc.ParseError, rpc.ParseError, rpc.ParseError, rpc.ParseError, rpc.ParseError,
		rpc.InvalidRequest, rpc.InvalidRequest, rpc.InvalidRequest, rpc.InvalidRequest, rpc.InvalidRequest,
	} {
		assert.Contains(t, string(c.Messages("error")[i].Params), fmt.Sprint(want), "message %d", i)
	}
	// Headers in any case, and some that nobody knows.
	body := `{"jsonrpc":"2.0","method":"$/setTrace","params":{"value":"off"}}`
	c.WriteRaw(fmt.Appendf(nil, "X-Other: 1\r\ncontent-LENGTH:%d\r\nContent-Type: application/vscode-jsonrpc; charset=utf-8\r\n\r\n%s", len(body), body))
	assert.Equal(t, rpc.InvalidParams, code(t, c.Try("textDocument/diagnostic", map[string]any{"textDocument": 7}, nil)))
	assert.Equal(t, server.ExitDone, c.Shutdown())
}

// TestFramesBounded: a message that is too long is skipped and answered; headers without
// an end, or without a length, end the connection.
func TestFramesBounded(t *testing.T) {
	t.Run("a message that is too long", func(t *testing.T) {
		c := fake.Start(t, fake.Options{})
		c.WriteRaw(fmt.Appendf(nil, "Content-Length: %d\r\n\r\n", rpc.MaxBody+1))
		chunk := []byte(strings.Repeat(" ", 1<<20))
		for range rpc.MaxBody >> 20 {
			c.WriteRaw(chunk)
		}
		c.WriteRaw([]byte(" "))
		require.NoError(t, c.Until(t.Context(), func() bool { return len(c.Messages("error")) == 1 }))
		assert.Equal(t, server.ExitDone, c.Shutdown())
	})
	for what, header := range map[string]string{
		"a header line without an end": strings.Repeat("x", rpc.MaxHeader+1),
		"header lines without an end":  strings.Repeat("X-Line: y\r\n", rpc.MaxHeader/10),
		"no length":                    "X-Line: y\r\n\r\n",
		"no number":                    "Content-Length: many\r\n\r\n",
		"a negative length":            "Content-Length: -1\r\n\r\n",
		"a length out of bounds":       "Content-Length: 99999999999999999999\r\n\r\n",
		"two lengths":                  "Content-Length: 1\r\nContent-Length: 2\r\n\r\n",
		"no colon":                     "hello\r\n\r\n",
	} {
		t.Run(what, func(t *testing.T) {
			c := fake.Start(t, fake.Options{})
			c.WriteRaw([]byte(header))
			assert.Equal(t, server.ExitFailed, c.Status())
			require.Len(t, c.Messages("error"), 1)
			assert.Contains(t, string(c.Messages("error")[0].Params), "-32700")
		})
	}
}

func TestPanickingHandler(t *testing.T) {
	c := fake.Start(t, fake.Options{Remember: true, Faults: true, Server: server.Options{Extra: []server.Feature{
		server.OnWorkspace("test/panic", nil, func(context.Context, *server.Request, *struct{}) (bool, error) {
			panic("a handler goes wrong")
		}),
		server.OnWorkspace("test/fails", nil, func(context.Context, *server.Request, *struct{}) (bool, error) {
			return false, errors.New("not today")
		}),
	}}})
	for range 3 {
		assert.Equal(t, rpc.InternalError, code(t, c.Try("test/panic", map[string]any{}, nil)))
	}
	assert.Equal(t, rpc.RequestFailed, code(t, c.Try("test/fails", map[string]any{}, nil)))
	assert.Len(t, c.Messages("window/logMessage"), 3)
	c.Open("file:///nowhere/a.pintle", gap)
	assert.NotEmpty(t, c.Diagnostics("file:///nowhere/a.pintle"))
	assert.Equal(t, server.ExitDone, c.Shutdown())
}

// TestCancel cancels requests: one that runs, ones that wait for room, one that was
// answered, one that never was.
func TestCancel(t *testing.T) {
	running := make(chan struct{}, 100)
	c := fake.Start(t, fake.Options{Server: server.Options{Extra: []server.Feature{
		server.OnWorkspace("test/wait", nil, func(ctx context.Context, _ *server.Request, _ *struct{}) (bool, error) {
			running <- struct{}{}
			<-ctx.Done()
			return false, ctx.Err()
		}),
	}}})
	var all []*fake.Pending
	for range 100 {
		all = append(all, c.Go("test/wait", map[string]any{}))
	}
	<-running
	for _, p := range all {
		c.Notify("$/cancelRequest", map[string]any{"id": p.ID})
	}
	for _, p := range all {
		assert.Equal(t, rpc.RequestCancelled, code(t, p.Wait(nil)))
	}
	c.Notify("$/cancelRequest", map[string]any{"id": all[0].ID})
	c.Notify("$/cancelRequest", map[string]any{"id": 100_000})
	c.Notify("$/cancelRequest", map[string]any{"id": "1"}) // not the number
	c.Notify("$/cancelRequest", map[string]any{"id": []int{}})
	last := c.Go("test/wait", map[string]any{})
	assert.Equal(t, server.ExitDone, c.Shutdown())
	assert.Equal(t, rpc.ServerCancelled, code(t, last.Wait(nil)), "shutdown ends what runs")
}

// TestOrder: an answer belongs to the text that was current when the request came in,
// however many changes follow at once.
func TestOrder(t *testing.T) {
	release := make(chan struct{})
	c := fake.Start(t, fake.Options{Server: server.Options{Extra: []server.Feature{
		server.OnWorkspace("test/text", nil, func(_ context.Context, r *server.Request, p *struct{ URI string }) (string, error) {
			<-release
			return r.Snapshot.Document("/o.pintle").Src.Text, nil
		}),
	}}})
	const uri = "file:///o.pintle"
	c.Open(uri, "0")
	var asked []*fake.Pending
	for i := range 30 {
		c.Edit(uri, i+2, fake.Change{Text: fmt.Sprint(i)})
		asked = append(asked, c.Go("test/text", map[string]any{}))
	}
	close(release)
	for i, p := range asked {
		var text string
		require.NoError(t, p.Wait(&text))
		assert.Equal(t, fmt.Sprint(i), text)
	}
}

// TestOddInitialize: what is odd in the params of initialize costs nothing else.
func TestOddInitialize(t *testing.T) {
	for what, params := range map[string]string{
		"empty lists for objects": `{"processId":null,"rootUri":null,"initializationOptions":[],"capabilities":{"workspace":[],"textDocument":{"publishDiagnostics":[]},"general":[]},"workspaceFolders":null,"trace":"off"}`,
		"numbers and texts":       `{"processId":"me","rootUri":7,"initializationOptions":"x","capabilities":{"textDocument":7,"general":{"positionEncodings":"utf-8"}},"workspaceFolders":{},"trace":3}`,
		"nothing":                 `{}`,
		"a list":                  `[]`,
	} {
		t.Run(what, func(t *testing.T) {
			c := fake.Start(t, fake.Options{Raw: true})
			var result struct {
				Capabilities struct {
					PositionEncoding string `json:"positionEncoding"`
				} `json:"capabilities"`
			}
			c.Request("initialize", json.RawMessage(params), &result)
			assert.Equal(t, "utf-16", result.Capabilities.PositionEncoding)
			c.Notify("initialized", []any{})
			c.Open("file:///nowhere/a.pintle", gap)
			assert.NotEmpty(t, c.Diagnostics("file:///nowhere/a.pintle"))
		})
	}
}

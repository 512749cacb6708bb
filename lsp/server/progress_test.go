package server_test

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/uri"

	"pintle/checker/run/files"
	"pintle/lsp/fake"
	"pintle/lsp/server"
)

// gated is a disk on which one file can't be read before the gate opens.
type gated struct {
	files.Disk
	name string
	gate chan struct{}
}

func (g gated) Read(ctx context.Context, in files.Bounds, name string, most int) ([]byte, error) {
	if strings.HasSuffix(name, g.name) {
		<-g.gate
	}
	return g.Disk.Read(ctx, in, name, most)
}

// steps are the kinds of the values of a progress, in order.
func steps(t *testing.T, c *fake.Client) []string {
	t.Helper()
	var out []string
	for _, m := range c.Messages("$/progress") {
		var p struct {
			Value struct {
				Kind string `json:"kind"`
			} `json:"value"`
		}
		require.NoError(t, json.Unmarshal(m.Params, &p))
		out = append(out, p.Value.Kind)
	}
	return out
}

// TestCheckProgress: a check that takes long is shown, and the show ends with it. First
// findings of an open document do not wait for the others.
func TestCheckProgress(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"a.pintle": gap, "slow.pintle": gap})
	gate := make(chan struct{})
	open := sync.OnceFunc(func() { close(gate) })
	t.Cleanup(open)
	c := fake.Start(t, fake.Options{
		Folders: []string{dir}, Remember: true,
		Server: server.Options{Files: gated{name: "slow.pintle", gate: gate}},
	})
	require.NoError(t, c.Until(t.Context(), func() bool { return len(c.Messages("$/progress")) > 0 }))
	open()
	c.Settle()
	require.NoError(t, c.Until(t.Context(), func() bool { s := steps(t, c); return s[len(s)-1] == "end" }))
	assert.Equal(t, "begin", steps(t, c)[0])
	assert.Equal(t, 1, strings.Count(strings.Join(steps(t, c), " "), "begin"))
}

// TestRequestProgress: a request that carries a token has its progress shown under it.
func TestRequestProgress(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"a.pintle": gap, "b.pintle": gap})
	c := fake.Start(t, fake.Options{Folders: []string{dir}, Remember: true, Capabilities: pulls})
	c.Request("workspace/diagnostic", map[string]any{"previousResultIds": []any{}, "workDoneToken": "mine"}, nil)
	assert.Equal(t, []string{"begin", "report", "report", "end"}, steps(t, c))
	for _, m := range c.Messages("$/progress") {
		assert.Contains(t, string(m.Params), `"token":"mine"`)
	}
}

// TestRulePages: the code of a diagnostic leads to the page of its rule, on disk.
func TestRulePages(t *testing.T) {
	pages := filepath.Join(t.TempDir(), "deep", "rules")
	c := fake.Start(t, fake.Options{Remember: true, Server: server.Options{PageDir: pages}})
	c.Open("file:///p.pintle", gap)
	c.Settle()
	var p struct {
		Diagnostics []struct {
			Code        string `json:"code"`
			Description struct {
				Href uri.URI `json:"href"`
			} `json:"codeDescription"`
		} `json:"diagnostics"`
	}
	all := c.Messages("textDocument/publishDiagnostics")
	require.NoError(t, json.Unmarshal(all[len(all)-1].Params, &p))
	require.Len(t, p.Diagnostics, 1)
	page, err := os.ReadFile(p.Diagnostics[0].Description.Href.FsPath())
	require.NoError(t, err)
	assert.Contains(t, string(page), p.Diagnostics[0].Code)
}

// TestTrace: the client is told what goes on as far as it wants to know.
func TestTrace(t *testing.T) {
	c := fake.Start(t, fake.Options{Remember: true})
	_ = c.Try("textDocument/diagnostic", hover("file:///a"), nil)
	assert.Empty(t, c.Messages("$/logTrace"))
	c.Notify("$/setTrace", map[string]any{"value": "messages"})
	_ = c.Try("textDocument/diagnostic", hover("file:///a"), nil)
	require.NoError(t, c.Until(t.Context(), func() bool { return len(c.Messages("$/logTrace")) > 0 }))
	assert.NotContains(t, string(c.Messages("$/logTrace")[0].Params), "verbose")
	c.Notify("$/setTrace", map[string]any{"value": "verbose"})
	c.Open("file:///t.pintle", gap)
	require.NoError(t, c.Until(t.Context(), func() bool {
		all := c.Messages("$/logTrace")
		return strings.Contains(string(all[len(all)-1].Params), "elaborated 1")
	}))
	c.Notify("$/setTrace", map[string]any{"value": "loudly"}) // none of the protocol
}

package main

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestServe: the verb speaks the protocol on its standard streams and nothing else, and
// ends as the protocol asks.
func TestServe(t *testing.T) {
	frames := func(bodies ...string) *strings.Reader {
		var b strings.Builder
		for _, body := range bodies {
			fmt.Fprintf(&b, "Content-Length: %d\r\n\r\n%s", len(body), body)
		}
		return strings.NewReader(b.String())
	}
	const (
		initialize = `{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"processId":null,"capabilities":{}}}`
		shutdown   = `{"jsonrpc":"2.0","id":2,"method":"shutdown"}`
		exit       = `{"jsonrpc":"2.0","method":"exit"}`
	)
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	log := t.TempDir() + "/log"
	for what, c := range map[string]struct {
		args   []string
		in     *strings.Reader
		status int
	}{
		"all in order":             {[]string{"serve", "--stdio"}, frames(initialize, shutdown, exit), exitClean},
		"the log in a file":        {[]string{"serve", "--log", log, "--log-level", "debug"}, frames(initialize, shutdown, exit), exitClean},
		"exit without shutdown":    {[]string{"serve"}, frames(initialize, exit), exitFindings},
		"the stream ends":          {[]string{"serve"}, frames(initialize), exitFindings},
		"a level that there isn't": {[]string{"serve", "--log-level", "loud"}, frames(), exitFailed},
		"a file to look at":        {[]string{"serve", "x.pintle"}, frames(), exitFailed},
	} {
		t.Run(what, func(t *testing.T) {
			var out, err bytes.Buffer
			assert.Equal(t, c.status, execute(t.Context(), c.args, stdio{in: c.in, out: &out, err: &err}))
			if c.status == exitFailed {
				assert.Empty(t, out.String())
				assert.NotEmpty(t, err.String())
				return
			}
			assert.True(t, strings.HasPrefix(out.String(), "Content-Length: "), "%q", out.String())
			assert.Contains(t, out.String(), `"name":"pintle"`)
			assert.Empty(t, err.String())
		})
	}
	text, err := os.ReadFile(log)
	assert.NoError(t, err)
	assert.Contains(t, string(text), "initialize")
}

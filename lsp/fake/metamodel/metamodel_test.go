package metamodel

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestStrict shows that the validator takes what is right and refuses each way of being
// wrong.
func TestStrict(t *testing.T) {
	m, err := Load()
	require.NoError(t, err)
	asked := func(id string) string {
		return map[string]string{"1": "textDocument/hover", "2": "textDocument/completion", `"a"`: "-"}[id]
	}
	const at = `{"start":{"line":0,"character":0},"end":{"line":0,"character":1}}`
	publish := func(d string) string {
		return `{"jsonrpc":"2.0","method":"textDocument/publishDiagnostics","params":{"uri":"file:///a","diagnostics":[` + d + `]}}`
	}
	for _, c := range []struct {
		what, body, wrong string
	}{
		{"a diagnostic", publish(`{"range":` + at + `,"message":"m","severity":1,"code":"c","tags":[1]}`), ""},
		{"its range is missing", publish(`{"message":"m"}`), `lacks "range"`},
		{"a property that there is not", publish(`{"range":` + at + `,"message":"m","colour":"red"}`), `no property "colour"`},
		{"a severity that there is not", publish(`{"range":` + at + `,"message":"m","severity":5}`), "no DiagnosticSeverity"},
		{"a negative line", publish(`{"range":{"start":{"line":-1,"character":0},"end":{"line":0,"character":0}},"message":"m"}`), "is not from 0"},
		{"null for a list", `{"jsonrpc":"2.0","method":"textDocument/publishDiagnostics","params":{"uri":"file:///a","diagnostics":null}}`, "is no list"},
		{"a path for a URI", `{"jsonrpc":"2.0","method":"textDocument/publishDiagnostics","params":{"uri":"/a","diagnostics":[]}}`, "DocumentUri"},
		{"a hover", `{"jsonrpc":"2.0","id":1,"result":{"contents":{"kind":"markdown","value":"x"}}}`, ""},
		{"no hover", `{"jsonrpc":"2.0","id":1,"result":null}`, ""},
		{"a hover of another shape", `{"jsonrpc":"2.0","id":1,"result":{"contents":7}}`, "none of"},
		{"a list of completions", `{"jsonrpc":"2.0","id":2,"result":[{"label":"x","kind":3}]}`, ""},
		{"an answer that nobody asked for", `{"jsonrpc":"2.0","id":9,"result":null}`, "nobody asked"},
		{"an answer to a test's own request", `{"jsonrpc":"2.0","id":"a","result":7}`, ""},
		{"an error", `{"jsonrpc":"2.0","id":1,"error":{"code":-32601,"message":"no"}}`, ""},
		{"both a result and an error", `{"jsonrpc":"2.0","id":1,"result":null,"error":{"code":1,"message":"no"}}`, "either"},
		{"an unknown notification", `{"jsonrpc":"2.0","method":"pintle/hello","params":{}}`, "no notification that a server sends"},
		{"a notification of the client", `{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{}}`, "no notification that a server sends"},
		{"a progress", `{"jsonrpc":"2.0","method":"$/progress","params":{"token":"t","value":{"kind":"begin","title":"x"}}}`, ""},
		{"a progress without a title", `{"jsonrpc":"2.0","method":"$/progress","params":{"token":"t","value":{"kind":"begin"}}}`, `lacks "title"`},
		{"a registration", `{"jsonrpc":"2.0","id":1,"method":"client/registerCapability","params":{"registrations":[{"id":"x","method":"workspace/didChangeWatchedFiles","registerOptions":{"watchers":[{"globPattern":"**/*"}]}}]}}`, ""},
		{"its options wrong", `{"jsonrpc":"2.0","id":1,"method":"client/registerCapability","params":{"registrations":[{"id":"x","method":"workspace/didChangeWatchedFiles","registerOptions":{"globs":[]}}]}}`, "options of"},
		{"something behind it", `{"jsonrpc":"2.0","id":1,"result":null} {}`, "follows"},
	} {
		err := m.FromServer([]byte(c.body), asked)
		if c.wrong == "" {
			assert.NoError(t, err, c.what)
		} else if assert.Error(t, err, c.what) {
			assert.Contains(t, err.Error(), c.wrong, c.what)
		}
	}
}

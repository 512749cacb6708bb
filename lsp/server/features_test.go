package server

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lsp/convert"
	"pintle/lsp/fake/metamodel"
)

// says reports whether a capability at a path is offered.
func says(caps map[string]any, path string) bool {
	var at any = caps
	for word := range strings.SplitSeq(path, ".") {
		object, ok := at.(map[string]any)
		if !ok {
			return false // true alone offers nothing below it
		}
		at = object[word]
	}
	return at != nil && at != false
}

// TestAdvertisedIsAnswered holds the table of features against the capabilities, both
// ways, by what the model of the protocol says of each method.
func TestAdvertisedIsAnswered(t *testing.T) {
	model, err := metamodel.Load()
	require.NoError(t, err)
	full := map[string]json.RawMessage{}
	require.NoError(t, json.Unmarshal([]byte(`{
		"textDocument":{"diagnostic":{},
			"codeAction":{"codeActionLiteralSupport":{"codeActionKind":{"valueSet":[]}},"dataSupport":true,"resolveSupport":{"properties":["edit"]}},
			"rangeFormatting":{"rangesSupport":true},
			"semanticTokens":{"requests":{"range":true,"full":{"delta":true}}},
			"rename":{"prepareSupport":true}},
		"workspace":{"fileOperations":{"willRename":true},"textDocumentContent":{}}}`), &full))
	for what, c := range map[string]*Client{
		"a client that can do nothing": {}, "a client that can do much": {Pull: true, capabilities: full},
	} {
		s := &Server{encoding: convert.UTF16}
		raw, err := encode(s.capabilities(c))
		require.NoError(t, err)
		var caps map[string]any
		require.NoError(t, json.Unmarshal(raw, &caps))

		answered := map[string]bool{}
		for _, f := range Features() {
			assert.False(t, answered[f.Method], "%s is in the table twice", f.Method)
			answered[f.Method] = true
			r := model.Request(f.Method)
			if assert.NotNil(t, r, "%s is no request of the protocol", f.Method) && c.Pull {
				assert.True(t, says(caps, r.ServerCapability), "%s is answered, but %s is not offered", f.Method, r.ServerCapability)
			}
		}
		known := map[string]bool{"positionEncoding": true}
		for _, r := range model.Requests {
			if r.ServerCapability == "" || r.Direction == "serverToClient" {
				continue
			}
			top, _, _ := strings.Cut(r.ServerCapability, ".")
			known[top] = true
			if says(caps, r.ServerCapability) {
				assert.True(t, answered[r.Method], "%s: %s is offered, but %s is not answered", what, r.ServerCapability, r.Method)
			}
		}
		for _, n := range model.Notifications {
			if n.ServerCapability == "" {
				continue
			}
			top, _, _ := strings.Cut(n.ServerCapability, ".")
			known[top] = true
			if says(caps, n.ServerCapability) {
				assert.Contains(t, notifications, n.Method, "%s: %s is offered", what, n.ServerCapability)
			}
		}
		for k := range caps {
			assert.True(t, known[k], "the protocol knows no method that goes with %s", k)
		}
	}
}

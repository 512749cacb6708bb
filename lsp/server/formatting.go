package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/layout"
)

// formatting lays a document out. There is one layout: the options of the client do not
// change it.
func formatting() Feature {
	return OnDocument("textDocument/formatting",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.DocumentFormattingProvider = protocol.Boolean(true)
		},
		func(p *protocol.DocumentFormattingParams) uri.URI { return p.TextDocument.URI },
		func(_ context.Context, r *Request, _ *protocol.DocumentFormattingParams) ([]protocol.TextEdit, error) {
			return r.textEdits(layout.Formatting(r.View.Tree)), nil
		})
}

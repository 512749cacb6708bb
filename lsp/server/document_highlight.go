package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/navigate"
)

func documentHighlight() Feature {
	return OnDocument("textDocument/documentHighlight",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.DocumentHighlightProvider = protocol.Boolean(true)
		},
		func(p *protocol.DocumentHighlightParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.DocumentHighlightParams) ([]protocol.DocumentHighlight, error) {
			list, err := navigate.Highlights(ctx, r.View, r.Offset(p.Position))
			if err != nil {
				return nil, err
			}
			out := make([]protocol.DocumentHighlight, len(list))
			for i, h := range list {
				out[i] = protocol.DocumentHighlight{Range: r.Text.Range(h.Span), Kind: protocol.DocumentHighlightKindRead}
				if h.Write {
					out[i].Kind = protocol.DocumentHighlightKindWrite
				}
			}
			return out, nil
		})
}

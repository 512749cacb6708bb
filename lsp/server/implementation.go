package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/navigate"
)

func implementation() Feature {
	return OnDocument("textDocument/implementation",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.ImplementationProvider = protocol.Boolean(true)
		},
		func(p *protocol.ImplementationParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.ImplementationParams) (any, error) {
			list, err := navigate.Implementation(ctx, r.View, r.Offset(p.Position))
			if err != nil {
				return nil, err
			}
			return r.Targets(list, "textDocument.implementation.linkSupport"), nil
		})
}

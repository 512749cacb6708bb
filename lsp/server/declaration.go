package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/navigate"
)

func declaration() Feature {
	return OnDocument("textDocument/declaration",
		func(caps *protocol.ServerCapabilities, _ *Client) { caps.DeclarationProvider = protocol.Boolean(true) },
		func(p *protocol.DeclarationParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.DeclarationParams) (any, error) {
			list, err := navigate.Declaration(ctx, r.View, r.Offset(p.Position))
			if err != nil {
				return nil, err
			}
			return r.Targets(list, "textDocument.declaration.linkSupport"), nil
		})
}

package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/navigate"
)

func references() Feature {
	return OnDocument("textDocument/references",
		func(caps *protocol.ServerCapabilities, _ *Client) { caps.ReferencesProvider = protocol.Boolean(true) },
		func(p *protocol.ReferenceParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.ReferenceParams) ([]protocol.Location, error) {
			list, err := navigate.References(ctx, r.View, r.Offset(p.Position), p.Context.IncludeDeclaration)
			if err != nil {
				return nil, err
			}
			return r.Locations(list), nil
		})
}

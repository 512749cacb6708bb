package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/navigate"
)

func typeDefinition() Feature {
	return OnDocument("textDocument/typeDefinition",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.TypeDefinitionProvider = protocol.Boolean(true)
		},
		func(p *protocol.TypeDefinitionParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.TypeDefinitionParams) (any, error) {
			list, err := navigate.TypeDefinition(ctx, r.View, r.Offset(p.Position))
			if err != nil {
				return nil, err
			}
			return r.Targets(list, "textDocument.typeDefinition.linkSupport"), nil
		})
}

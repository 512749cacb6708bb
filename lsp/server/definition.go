package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/navigate"
)

func definition() Feature {
	return OnDocument("textDocument/definition",
		func(caps *protocol.ServerCapabilities, _ *Client) { caps.DefinitionProvider = protocol.Boolean(true) },
		func(p *protocol.DefinitionParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.DefinitionParams) (any, error) {
			list, err := navigate.Definition(ctx, r.View, r.Offset(p.Position))
			if err != nil {
				return nil, err
			}
			return r.Targets(list, "textDocument.definition.linkSupport"), nil
		})
}

package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/hover"
)

func hovering() Feature {
	return OnDocument("textDocument/hover",
		func(caps *protocol.ServerCapabilities, _ *Client) { caps.HoverProvider = protocol.Boolean(true) },
		func(p *protocol.HoverParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.HoverParams) (*protocol.Hover, error) {
			h, err := hover.At(ctx, r.View, r.Offset(p.Position))
			if h == nil || err != nil {
				return nil, err
			}
			span := r.Text.Range(h.Span)
			return &protocol.Hover{Contents: r.Markup("textDocument.hover.contentFormat", h.Text), Range: &span}, nil
		})
}

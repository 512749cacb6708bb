package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/layout"
)

func selectionRange() Feature {
	return OnDocument("textDocument/selectionRange",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.SelectionRangeProvider = protocol.Boolean(true)
		},
		func(p *protocol.SelectionRangeParams) uri.URI { return p.TextDocument.URI },
		func(_ context.Context, r *Request, p *protocol.SelectionRangeParams) ([]protocol.SelectionRange, error) {
			out := make([]protocol.SelectionRange, len(p.Positions))
			for i, at := range p.Positions {
				var outer *protocol.SelectionRange
				spans := layout.Selections(r.View.Tree, r.Offset(at))
				for k := len(spans) - 1; k >= 0; k-- {
					outer = &protocol.SelectionRange{Range: r.Text.Range(spans[k]), Parent: outer}
				}
				out[i] = *outer
			}
			return out, nil
		})
}

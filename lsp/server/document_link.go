package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/navigate"
)

func documentLink() Feature {
	return OnDocument("textDocument/documentLink",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.DocumentLinkProvider = &protocol.DocumentLinkOptions{}
		},
		func(p *protocol.DocumentLinkParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, _ *protocol.DocumentLinkParams) ([]protocol.DocumentLink, error) {
			list, err := navigate.Links(ctx, r.View)
			if err != nil {
				return nil, err
			}
			tips := r.Client.Can("textDocument.documentLink.tooltipSupport")
			out := make([]protocol.DocumentLink, len(list))
			for i, l := range list {
				to := r.URI(l.File)
				out[i] = protocol.DocumentLink{Range: r.Text.Range(l.Span), Target: &to}
				if tips {
					out[i].Tooltip = &l.Tip
				}
			}
			return out, nil
		})
}

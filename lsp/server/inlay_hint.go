package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/show"
)

func inlayHint() Feature {
	return OnDocument("textDocument/inlayHint",
		func(caps *protocol.ServerCapabilities, _ *Client) { caps.InlayHintProvider = protocol.Boolean(true) },
		func(p *protocol.InlayHintParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.InlayHintParams) ([]protocol.InlayHint, error) {
			list, err := show.Hints(ctx, r.View, r.Text.Span(p.Range))
			if err != nil {
				return nil, err
			}
			yes := true
			out := make([]protocol.InlayHint, len(list))
			for i, h := range list {
				x := protocol.InlayHint{Position: r.Text.Position(h.At), Label: protocol.String(h.Label)}
				if h.Before {
					x.Kind, x.PaddingRight = protocol.InlayHintKindParameter, &yes
				} else {
					x.PaddingLeft = &yes
				}
				if len(h.Tip) > 0 {
					x.Tooltip = r.Markup("textDocument.hover.contentFormat", h.Tip)
				}
				if len(h.Edits) > 0 {
					x.TextEdits = r.textEdits(h.Edits)
				}
				out[i] = x
			}
			return out, nil
		})
}

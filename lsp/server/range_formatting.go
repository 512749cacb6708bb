package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lang/source"
	"pintle/lsp/ide/layout"
)

func rangeFormatting() Feature {
	return OnDocument("textDocument/rangeFormatting",
		func(caps *protocol.ServerCapabilities, c *Client) {
			if !c.Can("textDocument.rangeFormatting.rangesSupport") {
				caps.DocumentRangeFormattingProvider = protocol.Boolean(true)
				return
			}
			yes := true
			caps.DocumentRangeFormattingProvider = &protocol.DocumentRangeFormattingOptions{RangesSupport: &yes}
		},
		func(p *protocol.DocumentRangeFormattingParams) uri.URI { return p.TextDocument.URI },
		func(_ context.Context, r *Request, p *protocol.DocumentRangeFormattingParams) ([]protocol.TextEdit, error) {
			return r.textEdits(layout.FormatRanges(r.View.Tree, r.Text.Span(p.Range))), nil
		})
}

// rangesFormatting lays out several stretches at once.
func rangesFormatting() Feature {
	return OnDocument("textDocument/rangesFormatting", nil,
		func(p *protocol.DocumentRangesFormattingParams) uri.URI { return p.TextDocument.URI },
		func(_ context.Context, r *Request, p *protocol.DocumentRangesFormattingParams) ([]protocol.TextEdit, error) {
			spans := make([]source.Span, len(p.Ranges))
			for i, x := range p.Ranges {
				spans[i] = r.Text.Span(x)
			}
			return r.textEdits(layout.FormatRanges(r.View.Tree, spans...)), nil
		})
}

// onTypeFormatting lays out what was just finished.
func onTypeFormatting() Feature {
	return OnDocument("textDocument/onTypeFormatting",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.DocumentOnTypeFormattingProvider = protocol.DocumentOnTypeFormattingOptions{
				FirstTriggerCharacter: "}", MoreTriggerCharacter: []string{"\n"},
			}
		},
		func(p *protocol.DocumentOnTypeFormattingParams) uri.URI { return p.TextDocument.URI },
		func(_ context.Context, r *Request, p *protocol.DocumentOnTypeFormattingParams) ([]protocol.TextEdit, error) {
			return r.textEdits(layout.FormatTyped(r.View.Tree, r.Offset(p.Position), p.Ch)), nil
		})
}

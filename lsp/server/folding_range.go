package server

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/layout"
)

// foldKinds are what the protocol has a word for.
var foldKinds = map[layout.FoldKind]protocol.FoldingRangeKind{
	layout.FoldComments: protocol.FoldingRangeKindComment, layout.FoldUses: protocol.FoldingRangeKindImports,
	layout.FoldBody: protocol.FoldingRangeKindRegion, layout.FoldLines: protocol.FoldingRangeKindRegion,
}

func foldingRange() Feature {
	return OnDocument("textDocument/foldingRange",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.FoldingRangeProvider = protocol.Boolean(true)
		},
		func(p *protocol.FoldingRangeParams) uri.URI { return p.TextDocument.URI },
		func(_ context.Context, r *Request, _ *protocol.FoldingRangeParams) ([]protocol.FoldingRange, error) {
			lines := r.Client.Can("textDocument.foldingRange.lineFoldingOnly")
			list := layout.Folds(r.View.Tree)
			if n := r.Client.Number("textDocument.foldingRange.rangeLimit"); n > 0 && n < len(list) {
				list = list[:n]
			}
			out := make([]protocol.FoldingRange, len(list))
			for i, f := range list {
				x := r.Text.Range(f.Span)
				out[i] = protocol.FoldingRange{StartLine: x.Start.Line, EndLine: x.End.Line, Kind: foldKinds[f.Kind]}
				if !lines {
					out[i].StartCharacter, out[i].EndCharacter = &x.Start.Character, &x.End.Character
				}
			}
			return out, nil
		})
}

// Number returns a whole number, such as a limit; 0 where there is none.
func (c *Client) Number(path string) int {
	var n int
	if json.Unmarshal(c.at(path), &n) != nil {
		return 0
	}
	return n
}

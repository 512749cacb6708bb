package server

import (
	"context"
	"math"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/show"
)

func documentColor() Feature {
	return OnDocument("textDocument/documentColor",
		func(caps *protocol.ServerCapabilities, _ *Client) { caps.ColorProvider = protocol.Boolean(true) },
		func(p *protocol.DocumentColorParams) uri.URI { return p.TextDocument.URI },
		func(_ context.Context, r *Request, _ *protocol.DocumentColorParams) ([]protocol.ColorInformation, error) {
			list := show.Swatches(r.View.Tree)
			out := make([]protocol.ColorInformation, len(list))
			for i, s := range list {
				share := func(x uint8) float64 { return float64(x) / math.MaxUint8 }
				out[i] = protocol.ColorInformation{Range: r.Text.Range(s.Span), Color: protocol.Color{
					Red: share(s.Colour.R), Green: share(s.Colour.G), Blue: share(s.Colour.B), Alpha: 1,
				}}
			}
			return out, nil
		})
}

// colorPresentation offers the words for a colour that was picked.
func colorPresentation() Feature {
	return OnDocument("textDocument/colorPresentation", nil,
		func(p *protocol.ColorPresentationParams) uri.URI { return p.TextDocument.URI },
		func(_ context.Context, r *Request, p *protocol.ColorPresentationParams) ([]protocol.ColorPresentation, error) {
			whole := func(x float64) uint8 { return uint8(math.Round(min(max(x, 0), 1) * math.MaxUint8)) }
			list := show.ColourChoices(r.View.Tree, r.Text.Span(p.Range), show.RGB{R: whole(p.Color.Red), G: whole(p.Color.Green), B: whole(p.Color.Blue)})
			out := make([]protocol.ColorPresentation, len(list))
			for i, c := range list {
				out[i] = protocol.ColorPresentation{Label: c.Name, TextEdit: protocol.TextEdit{Range: r.Text.Range(c.Edit.Span), NewText: c.Edit.New}}
			}
			return out, nil
		})
}

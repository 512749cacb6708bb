package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/convert"
	"pintle/lsp/ide/navigate"
)

func documentSymbol() Feature {
	return OnDocument("textDocument/documentSymbol",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.DocumentSymbolProvider = protocol.Boolean(true)
		},
		func(p *protocol.DocumentSymbolParams) uri.URI { return p.TextDocument.URI },
		func(_ context.Context, r *Request, p *protocol.DocumentSymbolParams) (any, error) {
			list := navigate.Symbols(r.View.Tree)
			if r.Client.Can("textDocument.documentSymbol.hierarchicalDocumentSymbolSupport") {
				return symbolTree(r, list), nil
			}
			return flatSymbols(r, p.TextDocument.URI, list, "", []protocol.SymbolInformation{}), nil
		})
}

func symbolTree(r *Request, list []navigate.Symbol) []protocol.DocumentSymbol {
	out := make([]protocol.DocumentSymbol, len(list))
	for i, s := range list {
		out[i] = protocol.DocumentSymbol{
			Name: s.Name, Kind: convert.SymbolKind(s.Kind), Range: r.Text.Range(s.Full), SelectionRange: r.Text.Range(s.At),
		}
		if s.Detail != "" {
			out[i].Detail = &s.Detail
		}
		if len(s.Children) > 0 {
			out[i].Children = symbolTree(r, s.Children)
		}
	}
	return out
}

// flatSymbols is the outline for clients that know no trees.
func flatSymbols(r *Request, document uri.URI, list []navigate.Symbol, in string, out []protocol.SymbolInformation) []protocol.SymbolInformation {
	for _, s := range list {
		x := protocol.SymbolInformation{Location: protocol.Location{URI: document, Range: r.Text.Range(s.Full)}}
		x.Name, x.Kind = s.Name, convert.SymbolKind(s.Kind)
		if in != "" {
			x.ContainerName = &in
		}
		out = append(out, x)
		out = flatSymbols(r, document, s.Children, s.Name, out)
	}
	return out
}

package server

import (
	"context"

	"go.lsp.dev/protocol"

	"pintle/lsp/convert"
	"pintle/lsp/ide/navigate"
)

func workspaceSymbol() Feature {
	return OnWorkspace("workspace/symbol",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.WorkspaceSymbolProvider = protocol.Boolean(true)
		},
		func(ctx context.Context, r *Request, p *protocol.WorkspaceSymbolParams) ([]protocol.WorkspaceSymbol, error) {
			list, err := navigate.WorkspaceSymbols(ctx, r.Snapshot, p.Query)
			if err != nil {
				return nil, err
			}
			texts := map[string]*convert.Text{}
			out := make([]protocol.WorkspaceSymbol, len(list))
			for i, s := range list {
				if texts[s.File.Name] == nil {
					texts[s.File.Name] = r.Encoding.Text(s.File)
				}
				out[i] = protocol.WorkspaceSymbol{Location: &protocol.Location{URI: r.URI(s.File.Name), Range: texts[s.File.Name].Range(s.At)}}
				out[i].Name, out[i].Kind = s.Name, convert.SymbolKind(s.Kind)
				if s.In != "" {
					out[i].ContainerName = &s.In
				}
			}
			return out, nil
		})
}

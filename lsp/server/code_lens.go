package server

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide/lens"
	"pintle/lsp/ide/navigate"
	"pintle/lsp/server/rpc"
)

// lensData finds the declaration that a lens is about.
type lensData struct {
	URI  uri.URI           `json:"uri"`
	At   protocol.Position `json:"at"`
	Kind lens.LensKind     `json:"kind"`
}

func codeLens() Feature {
	return OnDocument("textDocument/codeLens",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			yes := true
			caps.CodeLensProvider = &protocol.CodeLensOptions{ResolveProvider: &yes}
		},
		func(p *protocol.CodeLensParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.CodeLensParams) ([]protocol.CodeLens, error) {
			list, err := lens.Lenses(ctx, r.View)
			if err != nil {
				return nil, err
			}
			out := make([]protocol.CodeLens, len(list))
			for i, l := range list {
				at := r.Text.Range(l.Span)
				out[i] = protocol.CodeLens{Range: at}
				args := commandArgs{URI: p.TextDocument.URI, At: &at.Start, Show: true}
				switch l.Kind { // nothing has to be worked out for some of them
				case lens.LensDrive:
					args.Drive = l.Name
					out[i].Command, err = command("Run this drive", commandDrive, args)
				case lens.LensTable:
					out[i].Command, err = command("Try single faults", commandTable, args)
				default:
					var raw []byte
					raw, err = json.Marshal(lensData{p.TextDocument.URI, at.Start, l.Kind})
					out[i].Data = protocol.LSPAny(raw)
				}
				if err != nil {
					return nil, err
				}
			}
			return out, nil
		})
}

// resolveCodeLens counts what a lens counts.
func resolveCodeLens() Feature {
	return OnWorkspace("codeLens/resolve", nil,
		func(ctx context.Context, r *Request, p *protocol.CodeLens) (*protocol.CodeLens, error) {
			var data lensData
			if len(p.Data) == 0 || json.Unmarshal(p.Data, &data) != nil || data.URI == "" {
				return p, nil
			}
			view, err := r.ViewOf(ctx, data.URI)
			if err != nil {
				return nil, err
			}
			if view == nil {
				return nil, rpc.Errorf(rpc.ContentModified, "the document is gone")
			}
			off := r.Encoding.Text(view.Src()).Offset(data.At)
			args := commandArgs{URI: data.URI, At: &data.At, Show: true}
			switch data.Kind {
			case lens.LensReferences:
				places, err := navigate.References(ctx, view, off, false)
				if err != nil {
					return nil, err
				}
				p.Command, err = command(lens.ReferencesTitle(places), commandReferences, args)
				return p, err
			case lens.LensFaults:
				_, list, err := lens.FaultsOf(ctx, view, off)
				if err != nil {
					return nil, err
				}
				p.Command, err = command(lens.FaultsTitle(len(list)), commandFaults, args)
				return p, err
			}
			return p, nil
		})
}

// command makes the command of a lens.
func command(title, name string, args commandArgs) (protocol.Command, error) {
	raw, err := json.Marshal(args)
	return protocol.Command{Title: title, Command: name, Arguments: []protocol.LSPAny{protocol.LSPAny(raw)}}, err
}

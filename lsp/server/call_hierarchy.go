package server

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lang/source"
	"pintle/lsp/convert"
	"pintle/lsp/ide"
	"pintle/lsp/ide/lens"
)

// The hierarchy of calls is that of a current: what calls a load is what feeds it, and
// what it calls is its way to ground.

func prepareCallHierarchy() Feature {
	return OnDocument("textDocument/prepareCallHierarchy",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			caps.CallHierarchyProvider = protocol.Boolean(true)
		},
		func(p *protocol.CallHierarchyPrepareParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.CallHierarchyPrepareParams) ([]protocol.CallHierarchyItem, error) {
			list, err := lens.PrepareCurrent(ctx, r.View, r.Offset(p.Position))
			if err != nil {
				return nil, err
			}
			out := make([]protocol.CallHierarchyItem, len(list))
			for i, it := range list {
				if out[i], err = pathItem(r, it); err != nil {
					return nil, err
				}
			}
			return out, nil
		})
}

func incomingCalls() Feature {
	return OnWorkspace("callHierarchy/incomingCalls", nil,
		func(ctx context.Context, r *Request, p *protocol.CallHierarchyIncomingCallsParams) ([]protocol.CallHierarchyIncomingCall, error) {
			list, err := followCurrent(ctx, r, &p.Item, lens.Feeds)
			if err != nil {
				return nil, err
			}
			out := make([]protocol.CallHierarchyIncomingCall, len(list))
			for i, c := range list {
				it, err := pathItem(r, c.Item)
				if err != nil {
					return nil, err
				}
				out[i] = protocol.CallHierarchyIncomingCall{From: it, FromRanges: r.ranges(c.Item.File, c.At)}
			}
			return out, nil
		})
}

func outgoingCalls() Feature {
	return OnWorkspace("callHierarchy/outgoingCalls", nil,
		func(ctx context.Context, r *Request, p *protocol.CallHierarchyOutgoingCallsParams) ([]protocol.CallHierarchyOutgoingCall, error) {
			list, err := followCurrent(ctx, r, &p.Item, lens.Returns)
			if err != nil {
				return nil, err
			}
			out := make([]protocol.CallHierarchyOutgoingCall, len(list))
			for i, c := range list {
				it, err := pathItem(r, c.Item)
				if err != nil {
					return nil, err
				}
				out[i] = protocol.CallHierarchyOutgoingCall{To: it, FromRanges: []protocol.Range{p.Item.SelectionRange}}
			}
			return out, nil
		})
}

func (r *Request) ranges(f *source.File, spans []source.Span) []protocol.Range {
	out := make([]protocol.Range, len(spans))
	for i, s := range spans {
		out[i] = r.Range(f, s)
	}
	return out
}

func pathItem(r *Request, it lens.PathItem) (protocol.CallHierarchyItem, error) {
	data, err := json.Marshal(it.Key)
	if err != nil {
		return protocol.CallHierarchyItem{}, err
	}
	out := protocol.CallHierarchyItem{
		Name: it.Name, Kind: convert.SymbolKind(it.Kind), URI: r.URI(it.File.Name),
		Range: r.Range(it.File, it.Full), SelectionRange: r.Range(it.File, it.At), Data: protocol.LSPAny(data),
	}
	if it.Detail != "" {
		out.Detail = &it.Detail
	}
	return out, nil
}

// followCurrent asks on from an item that the client has. Its design is that of the root
// in its data, which need not be the one of the file that the item stands in.
func followCurrent(
	ctx context.Context, r *Request, item *protocol.CallHierarchyItem,
	follow func(context.Context, ide.Workspace, lens.PathKey) ([]lens.PathCall, error),
) ([]lens.PathCall, error) {
	var key lens.PathKey
	if json.Unmarshal(item.Data, &key) != nil || key.Root == "" {
		return nil, nil
	}
	list, err := follow(ctx, r.Snapshot, key)
	return list, refusal(err)
}

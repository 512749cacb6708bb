package server

import (
	"context"
	"encoding/json"
	"slices"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/convert"
	"pintle/lsp/ide/complete"
)

// completionData goes to the client with an item and comes back when somebody looks at
// it.
type completionData struct {
	URI  uri.URI             `json:"uri"`
	Item complete.ItemSource `json:"item"`
}

func completion() Feature {
	return OnDocument("textDocument/completion",
		func(caps *protocol.ServerCapabilities, _ *Client) {
			yes := true
			caps.CompletionProvider = &protocol.CompletionOptions{
				TriggerCharacters: []string{".", ":", ",", "(", "/", `"`, " "}, ResolveProvider: &yes,
			}
		},
		func(p *protocol.CompletionParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.CompletionParams) (*protocol.CompletionList, error) {
			can := func(what string) bool { return r.Client.Can("textDocument.completion.completionItem." + what) }
			snippets := can("snippetSupport")
			got, err := complete.At(ctx, r.View, r.Offset(p.Position), complete.Options{Snippets: snippets})
			if err != nil {
				return nil, err
			}
			keeps := can("insertReplaceSupport")
			indents := slices.Contains(r.Client.Numbers("textDocument.completion.completionItem.insertTextModeSupport.valueSet"),
				int(protocol.InsertTextModeAdjustIndentation))
			list := &protocol.CompletionList{IsIncomplete: got.Incomplete, Items: make([]protocol.CompletionItem, len(got.Items))}
			for i, it := range got.Items {
				out, err := completionItem(r, p.TextDocument.URI, it, keeps)
				if err != nil {
					return nil, err
				}
				if it.Snippet && indents {
					out.InsertTextMode = protocol.InsertTextModeAdjustIndentation
				}
				list.Items[i] = out
			}
			return list, nil
		})
}

func completionItem(r *Request, document uri.URI, it complete.Item, keeps bool) (protocol.CompletionItem, error) {
	out := protocol.CompletionItem{
		Label: it.Label, Kind: convert.ItemKind(it.Kind),
		SortText: protocol.NewOptional(it.Sort), FilterText: protocol.NewOptional(it.Filter),
		TextEdit: &protocol.TextEdit{Range: r.Text.Range(it.Replace), NewText: it.Text},
	}
	if keeps {
		out.TextEdit = &protocol.InsertReplaceEdit{NewText: it.Text, Insert: r.Text.Range(it.Insert), Replace: r.Text.Range(it.Replace)}
	}
	if it.Detail != "" {
		out.Detail = protocol.NewOptional(it.Detail)
	}
	if it.Snippet {
		out.InsertTextFormat = protocol.InsertTextFormatSnippet
	}
	if it.More.What != "" {
		data, err := json.Marshal(completionData{document, it.More})
		if err != nil {
			return out, err
		}
		out.Data = protocol.LSPAny(data)
	}
	return out, nil
}

// resolveCompletion adds what there is to tell of an item.
func resolveCompletion() Feature {
	return OnWorkspace("completionItem/resolve", nil,
		func(ctx context.Context, r *Request, p *protocol.CompletionItem) (*protocol.CompletionItem, error) {
			var data completionData
			if len(p.Data) == 0 || json.Unmarshal(p.Data, &data) != nil || data.URI == "" {
				return p, nil
			}
			view, err := r.ViewOf(ctx, data.URI)
			if view == nil || err != nil {
				return p, err
			}
			text, err := complete.Resolve(ctx, view, data.Item)
			if err != nil {
				return nil, err
			}
			if len(text) > 0 {
				p.Documentation = r.Markup("textDocument.completion.completionItem.documentationFormat", text)
			}
			return p, nil
		})
}

package server

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lang/source"
	"pintle/lsp/ide/action"
	"pintle/lsp/server/rpc"
)

// actionData is what finds an action again when its edit is asked for: the action is
// looked for anew in the text that it was offered for.
type actionData struct {
	URI     uri.URI           `json:"uri"`
	Version *int32            `json:"version"`
	Start   int               `json:"start"` // byte offsets
	End     int               `json:"end"`
	Kind    action.ActionKind `json:"kind"`
	Title   string            `json:"title"`
}

// resolveCodeAction works out the edit of an action that was offered without one.
func resolveCodeAction() Feature {
	return OnWorkspace("codeAction/resolve", nil,
		func(ctx context.Context, r *Request, p *protocol.CodeAction) (*protocol.CodeAction, error) {
			var data actionData
			if len(p.Data) == 0 || json.Unmarshal(p.Data, &data) != nil || data.URI == "" {
				return p, nil // it came with its edit
			}
			view, err := r.ViewOf(ctx, data.URI)
			if err != nil {
				return nil, err
			}
			gone := rpc.Errorf(rpc.ContentModified, "the text is another one by now")
			if view == nil || data.Start < 0 || data.End < data.Start || data.End > len(view.Src().Text) {
				return nil, gone
			}
			if v, ok := r.Version(view.Src().Name); ok != (data.Version != nil) || ok && v != *data.Version {
				return nil, gone
			}
			list, err := action.Actions(ctx, view, action.ActionRequest{
				Span: source.Span{Start: data.Start, End: data.End}, Only: []action.ActionKind{data.Kind},
			})
			if err != nil {
				return nil, err
			}
			for i := range list {
				if list[i].Title != data.Title {
					continue
				}
				edits, err := list[i].Change(ctx)
				if err != nil {
					return nil, refusal(err)
				}
				p.Edit = r.WorkspaceEdit(edits)
				return p, nil
			}
			return nil, gone
		})
}

package server

import (
	"context"
	"errors"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide"
	"pintle/lsp/ide/navigate"
	"pintle/lsp/server/rpc"
)

func rename() Feature {
	return OnDocument("textDocument/rename",
		func(caps *protocol.ServerCapabilities, c *Client) {
			if !c.Can("textDocument.rename.prepareSupport") {
				caps.RenameProvider = protocol.Boolean(true)
				return
			}
			yes := true
			caps.RenameProvider = &protocol.RenameOptions{PrepareProvider: &yes}
		},
		func(p *protocol.RenameParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.RenameParams) (*protocol.WorkspaceEdit, error) {
			edits, err := navigate.Rename(ctx, r.View, r.Offset(p.Position), p.NewName)
			if err != nil {
				return nil, refusal(err)
			}
			return r.WorkspaceEdit(edits), nil
		})
}

func prepareRename() Feature {
	return OnDocument("textDocument/prepareRename", nil,
		func(p *protocol.PrepareRenameParams) uri.URI { return p.TextDocument.URI },
		func(ctx context.Context, r *Request, p *protocol.PrepareRenameParams) (any, error) {
			got, err := navigate.PrepareRename(ctx, r.View, r.Offset(p.Position))
			if err != nil {
				return nil, refusal(err)
			}
			return &protocol.PrepareRenamePlaceholder{Range: r.Text.Range(got.Span), Placeholder: got.Name}, nil
		})
}

// refusal tells the client why something is not done: editors show the message.
func refusal(err error) error {
	if r, ok := errors.AsType[*ide.RefusedError](err); ok {
		return rpc.Errorf(rpc.RequestFailed, "%s", r.Why)
	}
	return err
}

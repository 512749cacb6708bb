package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/checker/run"
	"pintle/lsp/convert"
	"pintle/lsp/ide/navigate"
)

// willRenameFiles keeps the `use` lines in step with files and folders that get other
// names.
func willRenameFiles() Feature {
	return OnWorkspace("workspace/willRenameFiles",
		func(caps *protocol.ServerCapabilities, c *Client) {
			if !c.Can("workspace.fileOperations.willRename") {
				return
			}
			scheme := "file"
			if caps.Workspace == nil {
				caps.Workspace = &protocol.WorkspaceOptions{}
			}
			if caps.Workspace.FileOperations == nil {
				caps.Workspace.FileOperations = &protocol.FileOperationOptions{}
			}
			caps.Workspace.FileOperations.WillRename = protocol.FileOperationRegistrationOptions{Filters: []protocol.FileOperationFilter{
				{Scheme: &scheme, Pattern: protocol.FileOperationPattern{Glob: "**/*" + run.Extension, Matches: protocol.FileOperationPatternKindFile}},
				{Scheme: &scheme, Pattern: protocol.FileOperationPattern{Glob: "**", Matches: protocol.FileOperationPatternKindFolder}},
			}}
		},
		func(ctx context.Context, r *Request, p *protocol.RenameFilesParams) (*protocol.WorkspaceEdit, error) {
			var moved []navigate.Moved
			for _, f := range p.Files {
				from, to := uri.URI(f.OldURI), uri.URI(f.NewURI)
				if convert.IsFile(from) && convert.IsFile(to) {
					moved = append(moved, navigate.Moved{Old: convert.Name(from), New: convert.Name(to)})
				}
			}
			if len(moved) == 0 {
				return nil, nil
			}
			edits, err := navigate.RenameFiles(ctx, r.Snapshot, moved)
			if err != nil || len(edits) == 0 {
				return nil, err
			}
			return r.WorkspaceEdit(edits), nil
		})
}

package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"
)

// workspaceDiagnostic answers a client that asks for the diagnostics of all files.
func workspaceDiagnostic() Feature {
	return OnWorkspace("workspace/diagnostic", nil,
		func(ctx context.Context, r *Request, p *protocol.WorkspaceDiagnosticParams) (*protocol.WorkspaceDiagnosticReport, error) {
			s := r.server
			progress := r.Progress(p.WorkDoneToken, "Checking")
			defer progress.End()
			reports, err := r.Snapshot.Reports(ctx, progress.Report)
			if err != nil {
				return nil, err
			}
			had := map[uri.URI]string{}
			for _, prev := range p.PreviousResultIds {
				had[prev.URI] = prev.Value
			}
			out := &protocol.WorkspaceDiagnosticReport{}
			d := s.diagnostics(r.Snapshot)
			add := func(name string, items []protocol.Diagnostic, id string) {
				u := r.URI(name)
				var version *int32
				if doc := r.Snapshot.Document(name); doc != nil {
					version = &doc.Version
				}
				s.push.told(name, id)
				if had[u] == id {
					out.Items = append(out.Items, &protocol.WorkspaceUnchangedDocumentDiagnosticReport{
						URI: u, Version: version,
						UnchangedDocumentDiagnosticReport: protocol.UnchangedDocumentDiagnosticReport{Kind: "unchanged", ResultID: id},
					})
					return
				}
				out.Items = append(out.Items, &protocol.WorkspaceFullDocumentDiagnosticReport{
					URI: u, Version: version,
					FullDocumentDiagnosticReport: protocol.FullDocumentDiagnosticReport{Kind: "full", ResultID: &id, Items: items},
				})
			}
			for _, rep := range reports {
				items, id := s.items(d, rep.Src, rep.Findings)
				add(rep.Name, items, id)
				delete(had, r.URI(rep.Name))
			}
			for _, prev := range p.PreviousResultIds {
				// What had something and has nothing any more, or is gone, is told once.
				if id, left := had[prev.URI]; left {
					if items, empty := s.items(d, nil, nil); id != empty {
						add(nameOf(r.Snapshot, prev.URI), items, empty)
					}
				}
			}
			return out, nil
		})
}

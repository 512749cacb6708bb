package server

import (
	"context"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/ide"
)

// documentDiagnostic answers a client that asks for the diagnostics of a document. One
// that can be told to ask again gets what is known at once, and is told when there is
// more; any other one waits for the full verdict.
func documentDiagnostic() Feature {
	return OnWorkspace("textDocument/diagnostic",
		func(caps *protocol.ServerCapabilities, c *Client) {
			if c.Pull {
				caps.DiagnosticProvider = &protocol.DiagnosticOptions{InterFileDependencies: true, WorkspaceDiagnostics: true}
			}
		},
		func(ctx context.Context, r *Request, p *protocol.DocumentDiagnosticParams) (protocol.DocumentDiagnosticReport, error) {
			view, err := r.ViewOf(ctx, p.TextDocument.URI)
			if err != nil {
				return nil, err
			}
			if view == nil { // no design: there is nothing to say of it
				return &protocol.RelatedFullDocumentDiagnosticReport{
					FullDocumentDiagnosticReport: protocol.FullDocumentDiagnosticReport{Kind: "full"},
				}, nil
			}
			name := view.Src().Name
			first := r.Client.Can("workspace.diagnostics.refreshSupport")
			fs, complete, err := r.Snapshot.FirstFindings(ctx, name)
			if err == nil && !complete && !first {
				fs, _, err = r.Snapshot.Findings(ctx, name)
			}
			if err != nil {
				return nil, err
			}
			s := r.server
			d := s.diagnostics(r.Snapshot)
			items, id := s.items(d, view.Src(), fs)
			s.push.told(name, id)
			if !complete && first {
				// Whatever is settled from now on is held against what was told. What was settled
				// just before was not.
				if fs, complete, err = r.Snapshot.FirstFindings(ctx, name); err != nil {
					return nil, err
				} else if complete {
					items, id = s.items(d, view.Src(), fs)
					s.push.told(name, id)
				}
			}
			related := relatedDocuments(r, view)
			if p.PreviousResultID != nil && *p.PreviousResultID == id {
				return &protocol.RelatedUnchangedDocumentDiagnosticReport{
					UnchangedDocumentDiagnosticReport: protocol.UnchangedDocumentDiagnosticReport{Kind: "unchanged", ResultID: id},
					RelatedDocuments:                  related,
				}, nil
			}
			return &protocol.RelatedFullDocumentDiagnosticReport{
				FullDocumentDiagnosticReport: protocol.FullDocumentDiagnosticReport{Kind: "full", ResultID: &id, Items: items},
				RelatedDocuments:             related,
			}, nil
		})
}

type relatedReport = protocol.FullDocumentDiagnosticReportOrUnchangedDocumentDiagnosticReport

// relatedDocuments are reports on the files that the document uses and that are not open
// themselves, as far as they are known.
func relatedDocuments(r *Request, view *ide.View) map[uri.URI]relatedReport {
	known := view.Roots[0].Known()
	if known == nil || !r.Client.Can("textDocument.diagnostic.relatedDocumentSupport") {
		return nil
	}
	s := r.server
	d := s.diagnostics(r.Snapshot)
	out := map[uri.URI]relatedReport{}
	for _, f := range known.Findings {
		if f.File == nil || f.File.Name == view.Src().Name || r.Snapshot.Document(f.File.Name) != nil {
			continue
		}
		if _, done := out[r.URI(f.File.Name)]; done {
			continue
		}
		items, id := s.items(d, f.File, ide.In(f.File.Name, known.Findings))
		out[r.URI(f.File.Name)] = &protocol.FullDocumentDiagnosticReport{Kind: "full", ResultID: &id, Items: items}
	}
	return out
}

package server

import (
	"cmp"
	"slices"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lsp/ide"
	"pintle/lsp/ide/navigate"
)

// Markup is a text as the client shows it, by the formats that it lists at a path of its
// capabilities: Markdown if it knows that, otherwise plain.
func (r *Request) Markup(path string, t ide.Text) *protocol.MarkupContent {
	if slices.Contains(r.Client.Words(path), string(protocol.MarkupKindMarkdown)) {
		return &protocol.MarkupContent{Kind: protocol.MarkupKindMarkdown, Value: t.Markdown()}
	}
	return &protocol.MarkupContent{Kind: protocol.MarkupKindPlainText, Value: t.Plain()}
}

// Range of a span in any file.
func (r *Request) Range(f *source.File, s source.Span) protocol.Range {
	if r.Text != nil && r.Text.File == f {
		return r.Text.Range(s)
	}
	return r.Encoding.Text(f).Range(s)
}

// Locations of places in any files.
func (r *Request) Locations(places []diag.Place) []protocol.Location {
	out := make([]protocol.Location, len(places))
	for i, p := range places {
		out[i] = r.Location(p)
	}
	return out
}

// Targets are places to go to, with what leads there where the client shows that; can is
// the path of the capability.
func (r *Request) Targets(list []navigate.Target, can string) any {
	if !r.Client.Can(can) {
		out := make([]protocol.Location, len(list))
		for i, t := range list {
			out[i] = protocol.Location{URI: r.URI(t.File.Name), Range: r.Range(t.File, t.Name)}
		}
		return out
	}
	out := make([]protocol.LocationLink, len(list))
	for i, t := range list {
		origin := r.Text.Range(t.Origin)
		out[i] = protocol.LocationLink{
			OriginSelectionRange: &origin, TargetURI: r.URI(t.File.Name),
			TargetRange: r.Range(t.File, t.Full), TargetSelectionRange: r.Range(t.File, t.Name),
		}
	}
	return out
}

// WorkspaceEdit makes edits of any files, tied to the versions that they were made for
// where the client can tell versions.
func (r *Request) WorkspaceEdit(edits []diag.Edit) *protocol.WorkspaceEdit {
	var names []string
	by := map[string][]diag.Edit{}
	for _, e := range edits {
		if by[e.File.Name] == nil {
			names = append(names, e.File.Name)
		}
		by[e.File.Name] = append(by[e.File.Name], e)
	}
	slices.Sort(names)
	versioned := r.Client.Can("workspace.workspaceEdit.documentChanges")
	out := &protocol.WorkspaceEdit{}
	if !versioned {
		out.Changes = map[uri.URI][]protocol.TextEdit{}
	}
	for _, n := range names {
		list := by[n]
		slices.SortStableFunc(list, func(a, b diag.Edit) int { return cmp.Compare(a.Start, b.Start) })
		text := r.Encoding.Text(list[0].File)
		plain := make([]protocol.TextEdit, len(list))
		tied := make([]protocol.TextDocumentEditElement, len(list))
		for i, e := range list {
			plain[i] = protocol.TextEdit{Range: text.Range(e.Span), NewText: e.New}
			tied[i] = &plain[i]
		}
		if !versioned {
			out.Changes[r.URI(n)] = plain
			continue
		}
		id := protocol.OptionalVersionedTextDocumentIdentifier{TextDocumentIdentifier: protocol.TextDocumentIdentifier{URI: r.URI(n)}}
		if v, ok := r.Version(n); ok {
			id.Version = &v
		}
		out.DocumentChanges = append(out.DocumentChanges, &protocol.TextDocumentEdit{TextDocument: id, Edits: tied})
	}
	return out
}

package server

import (
	"go.lsp.dev/protocol"

	"pintle/lang/diag"
)

// textEdits are edits of the document itself. The list is never nil.
func (r *Request) textEdits(edits []diag.Edit) []protocol.TextEdit {
	out := make([]protocol.TextEdit, len(edits))
	for i, e := range edits {
		out[i] = protocol.TextEdit{Range: r.Text.Range(e.Span), NewText: e.New}
	}
	return out
}

package server

import (
	"context"
	"encoding/json"
	"slices"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lang/diag"
	"pintle/lsp/convert"
	"pintle/lsp/ide"
	"pintle/lsp/server/rpc"
	"pintle/lsp/session"
)

// Features is the one table of what the server answers. A feature in it is advertised,
// and nothing else is.
func Features() []Feature {
	return append([]Feature{
		documentDiagnostic(), workspaceDiagnostic(),
		completion(), resolveCompletion(),
		hovering(), signatureHelp(),
		definition(), declaration(), typeDefinition(), implementation(),
		references(), documentHighlight(),
		rename(), prepareRename(), willRenameFiles(),
		documentSymbol(), workspaceSymbol(), documentLink(),
		prepareCallHierarchy(), incomingCalls(), outgoingCalls(),
		codeAction(), resolveCodeAction(),
		formatting(), rangeFormatting(), rangesFormatting(), onTypeFormatting(),
		foldingRange(), selectionRange(),
		inlayHint(),
		codeLens(), resolveCodeLens(), executeCommand(), documentContent(),
		documentColor(), colorPresentation(),
	}, semanticTokens()...)
}

// Feature is a request that the server answers. Make one by [OnDocument], [OnItem] or
// [OnWorkspace].
type Feature struct {
	Method string
	// offer adds what the server says of it to its capabilities; nil for a method that
	// goes with another one (resolve).
	offer  func(*protocol.ServerCapabilities, *Client)
	answer func(context.Context, *Server, *session.Snapshot, json.RawMessage) (json.RawMessage, error)
}

// notifications is the table of those.
var notifications map[string]func(*Server, json.RawMessage) error

func init() {
	notifications = map[string]func(*Server, json.RawMessage) error{
		"initialized":                         (*Server).initialized,
		"$/cancelRequest":                     (*Server).cancelRequest,
		"$/setTrace":                          (*Server).setTrace,
		"window/workDoneProgress/cancel":      (*Server).cancelProgress,
		"textDocument/didOpen":                (*Server).didOpen,
		"textDocument/didChange":              (*Server).didChange,
		"textDocument/didClose":               (*Server).didClose,
		"textDocument/didSave":                (*Server).didSave,
		"workspace/didChangeConfiguration":    (*Server).didChangeConfiguration,
		"workspace/didChangeWatchedFiles":     (*Server).didChangeWatchedFiles,
		"workspace/didChangeWorkspaceFolders": (*Server).didChangeWorkspaceFolders,
	}
}

// Request is what a feature is given beside the params.
type Request struct {
	// View of the document; nil for a request that is about none.
	View *ide.View
	// Text converts places of the document.
	Text     *convert.Text
	Snapshot *session.Snapshot
	Encoding convert.Encoding
	Client   *Client

	server *Server
}

// Offset of a position in the document.
func (r *Request) Offset(p protocol.Position) int { return r.Text.Offset(p) }

// URI is what the client calls a file.
func (r *Request) URI(name string) uri.URI { return uriOf(r.Snapshot, name) }

// Location of a place in any file.
func (r *Request) Location(p diag.Place) protocol.Location {
	return r.Encoding.Location(p, r.URI)
}

// ViewOf returns the view of another document; nil where there is none.
func (r *Request) ViewOf(ctx context.Context, u uri.URI) (*ide.View, error) {
	return r.Snapshot.View(ctx, nameOf(r.Snapshot, u))
}

// Version of the document, or of another one, for versioned edits; ok is false where it
// is not open.
func (r *Request) Version(name string) (version int32, ok bool) {
	if d := r.Snapshot.Document(name); d != nil {
		return d.Version, true
	}
	return 0, false
}

// Settled waits until everything in scope was checked, and published, with the texts of
// this request or newer ones.
func (r *Request) Settled(ctx context.Context) error { return r.Snapshot.Settled(ctx) }

// Progress begins to show the progress of this request, if the client gave a token for
// it; call End in any case.
func (r *Request) Progress(token protocol.ProgressToken, title string) *Progress {
	return beginProgress(r.server, token, title)
}

// OnDocument makes a feature that is asked about a document. It is not called for one
// that stands for no design; the answer is then the zero value, null or []. offer may be
// nil.
func OnDocument[P, R any](
	method string,
	offer func(*protocol.ServerCapabilities, *Client),
	document func(*P) uri.URI,
	answer func(context.Context, *Request, *P) (R, error),
) Feature {
	return Feature{method, offer, func(ctx context.Context, s *Server, v *session.Snapshot, params json.RawMessage) (json.RawMessage, error) {
		var p P
		if err := decode(params, &p); err != nil {
			return nil, err
		}
		view, err := v.View(ctx, nameOf(v, document(&p)))
		if err != nil {
			return nil, err
		}
		var result R
		if view != nil {
			r := s.request(v)
			r.View, r.Text = view, s.encoding.Text(view.Src())
			if result, err = answer(ctx, r, &p); err != nil {
				return nil, err
			}
		}
		return encode(result)
	}}
}

// OnWorkspace makes a feature that is about no one document. offer may be nil.
func OnWorkspace[P, R any](
	method string,
	offer func(*protocol.ServerCapabilities, *Client),
	answer func(context.Context, *Request, *P) (R, error),
) Feature {
	return Feature{method, offer, func(ctx context.Context, s *Server, v *session.Snapshot, params json.RawMessage) (json.RawMessage, error) {
		var p P
		if err := decode(params, &p); err != nil {
			return nil, err
		}
		result, err := answer(ctx, s.request(v), &p)
		if err != nil {
			return nil, err
		}
		return encode(result)
	}}
}

func (s *Server) request(v *session.Snapshot) *Request {
	return &Request{Snapshot: v, Encoding: s.encoding, Client: s.client.Load(), server: s}
}

// decode reads params. Lists that are empty stand for objects that are: some clients
// can't tell the two apart.
func decode(params json.RawMessage, into any) error {
	if params == nil || slices.Equal(params, json.RawMessage("[]")) {
		params = json.RawMessage("{}")
	}
	params = convert.FromWire(params)
	err := protocol.Unmarshal(params, into)
	if err == nil {
		return nil
	}
	var members map[string]json.RawMessage
	if json.Unmarshal(params, &members) == nil {
		for k, v := range members {
			if string(v) == "[]" {
				members[k] = json.RawMessage("{}")
			}
		}
		if again, mErr := json.Marshal(members); mErr == nil && protocol.Unmarshal(again, into) == nil {
			return nil
		}
	}
	return rpc.Errorf(rpc.InvalidParams, "the params are not those of the method: %s", err.Error())
}

func encode(result any) (json.RawMessage, error) {
	b, err := protocol.Marshal(result)
	return json.RawMessage(convert.ToWire(b)), err
}

// nameOf is the name of a document by what the client calls it.
func nameOf(_ *session.Snapshot, u uri.URI) string { return convert.Name(u) }

// uriOf is what the client calls a document, or would.
func uriOf(v *session.Snapshot, name string) uri.URI {
	if d := v.Document(name); d != nil {
		return uri.URI(d.URI)
	}
	return convert.URI(name)
}

package server

import (
	"encoding/json"
	"fmt"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"
	"go.uber.org/zap"

	"pintle/lang/source"
	"pintle/lsp/convert"
)

func (s *Server) didOpen(params json.RawMessage) error {
	var p protocol.DidOpenTextDocumentParams
	if err := decode(params, &p); err != nil {
		return err
	}
	d := p.TextDocument
	if d.URI == "" {
		return fmt.Errorf("no document is named")
	}
	name := convert.Name(d.URI)
	if s.session.Current().Document(name) != nil {
		s.log.Warn("opened twice", zap.String("uri", string(d.URI)))
	}
	if len(d.Text) > s.session.MostText() {
		s.session.OpenTooLarge(string(d.URI), name, d.Version, len(d.Text))
		return nil
	}
	s.session.Open(string(d.URI), d.Version, source.NewFile(name, d.Text))
	return nil
}

func (s *Server) didChange(params json.RawMessage) error {
	var p protocol.DidChangeTextDocumentParams
	if err := decode(params, &p); err != nil {
		return err
	}
	name := convert.Name(p.TextDocument.URI)
	old := s.session.Current().Document(name)
	switch {
	case old == nil:
		return fmt.Errorf("%s is not open", p.TextDocument.URI)
	case p.TextDocument.Version <= old.Version:
		return fmt.Errorf("version %d of %s comes after version %d; it is passed over",
			p.TextDocument.Version, p.TextDocument.URI, old.Version)
	}
	if old.TooLarge && !whole(p.ContentChanges) {
		s.session.Skip(name, p.TextDocument.Version) // its text is not held
		return nil
	}
	s.session.Change(name, p.TextDocument.Version, s.encoding.Apply(old.Src, p.ContentChanges))
	return nil
}

// cut takes a notification of which only the beginnings of its texts were read, since it is too
// long: the text of a document that it is about is not known from then on.
func (s *Server) cut(method string, params json.RawMessage) error {
	var p struct {
		TextDocument struct {
			URI     uri.URI `json:"uri"`
			Version int32   `json:"version"`
		} `json:"textDocument"`
	}
	if err := decode(params, &p); err != nil {
		return err
	}
	d := p.TextDocument
	name := convert.Name(d.URI)
	old := s.session.Current().Document(name)
	opens, changes := method == "textDocument/didOpen" && d.URI != "", method == "textDocument/didChange"
	if !opens && !(changes && old != nil && old.Version < d.Version) {
		return fmt.Errorf("it is too long to be read")
	}
	s.session.OpenTooLarge(string(d.URI), name, d.Version, 0)
	return nil
}

// whole reports whether changes begin with a new text altogether.
func whole(changes []protocol.TextDocumentContentChangeEvent) bool {
	if len(changes) == 0 {
		return false
	}
	_, ok := changes[0].(*protocol.TextDocumentContentChangeWholeDocument)
	return ok
}

func (s *Server) didClose(params json.RawMessage) error {
	var p protocol.DidCloseTextDocumentParams
	if err := decode(params, &p); err != nil {
		return err
	}
	name := convert.Name(p.TextDocument.URI)
	if !s.session.Close(name) {
		return fmt.Errorf("%s is not open", p.TextDocument.URI)
	}
	return nil
}

// didSave is when editors that watch no files may have written more than one.
func (s *Server) didSave(json.RawMessage) error {
	s.session.Touched()
	return nil
}

func (s *Server) didChangeWatchedFiles(params json.RawMessage) error {
	var p protocol.DidChangeWatchedFilesParams
	if err := decode(params, &p); err != nil {
		return err
	}
	var names []string
	for _, c := range p.Changes {
		if !convert.IsFile(c.URI) {
			continue
		}
		// Anything may be deleted near a design; what counts is what was read.
		if name := convert.Name(c.URI); c.Type != protocol.FileChangeTypeDeleted || s.session.Read(name) {
			names = append(names, name)
		}
	}
	if len(names) > 0 {
		s.session.Touched(names...)
	}
	return nil
}

func (s *Server) didChangeWorkspaceFolders(params json.RawMessage) error {
	var p protocol.DidChangeWorkspaceFoldersParams
	if err := decode(params, &p); err != nil {
		return err
	}
	gone := map[string]bool{}
	for _, f := range p.Event.Removed {
		gone[convert.Name(f.URI)] = true
	}
	var folders []string
	for _, f := range s.session.Current().Folders() {
		if !gone[f] {
			folders = append(folders, f)
		}
	}
	for _, f := range p.Event.Added {
		if convert.IsFile(f.URI) {
			folders = append(folders, convert.Name(f.URI))
		}
	}
	s.session.SetFolders(folders)
	return nil
}

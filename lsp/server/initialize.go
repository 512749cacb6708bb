package server

import (
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"slices"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"
	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"

	"pintle/checker/run/files"
	"pintle/lsp/convert"
	"pintle/lsp/server/rpc"
)

// initializeParams is what is read of those; what is odd in them is passed over.
type initializeParams struct {
	ProcessID  *int `json:"processId"`
	ClientInfo struct {
		Name    string `json:"name"`
		Version string `json:"version"`
	} `json:"clientInfo"`
	RootPath     string                     `json:"rootPath"`
	RootURI      uri.URI                    `json:"rootUri"`
	Capabilities map[string]json.RawMessage `json:"capabilities"`
	Options      json.RawMessage            `json:"initializationOptions"`
	Trace        string                     `json:"trace"`
	Folders      []protocol.WorkspaceFolder `json:"workspaceFolders"`
}

// startOptions are the initializationOptions that matter at the start only; the others
// are those of the configuration.
type startOptions struct {
	LogLevel string `json:"logLevel"`
	// Diagnostics is "push", "pull" or, as if it were not there, "auto": pulled by clients
	// that can.
	Diagnostics string `json:"diagnosticsMode"`
	// Allow are folders that designs may use files from beside their workspace. It can't be
	// had by the configuration, which a folder may bring along.
	Allow []string `json:"allow"`
}

func (s *Server) initialize(raw json.RawMessage) (json.RawMessage, error) {
	if s.state != stateNew {
		return nil, rpc.Errorf(rpc.InvalidRequest, "the server is initialized already")
	}
	var p initializeParams
	s.lenient("initialize", raw, &p)
	var o startOptions
	s.lenient("initializationOptions", p.Options, &o)
	s.setLevel(o.LogLevel)

	c := &Client{Name: p.ClientInfo.Name, capabilities: p.Capabilities}
	switch o.Diagnostics {
	case "push":
	case "pull":
		c.Pull = true
	default:
		c.Pull = c.Says("textDocument.diagnostic")
	}
	s.client.Store(c)
	s.encoding = convert.Negotiate(c.Words("general.positionEncodings"))
	s.setTraceValue(protocol.TraceValue(p.Trace))
	s.session.Allow(s.allowed(o.Allow))
	s.session.SetFolders(foldersOf(&p))
	s.configure(p.Options)
	s.state = stateUp
	if p.ProcessID != nil {
		s.watchParent(*p.ProcessID)
	}
	s.log.Info("initialize", zap.String("client", c.Name+" "+p.ClientInfo.Version),
		zap.String("positions", string(s.encoding)), zap.Strings("folders", s.session.Current().Folders()))
	return encode(&protocol.InitializeResult{
		Capabilities: s.capabilities(c),
		ServerInfo:   protocol.ServerInfo{Name: "pintle", Version: protocol.NewOptional(s.opts.Version)},
	})
}

// capabilities are what the sync of documents needs, and what the features offer.
func (s *Server) capabilities(c *Client) protocol.ServerCapabilities {
	yes, change := true, protocol.TextDocumentSyncKindIncremental
	caps := protocol.ServerCapabilities{
		PositionEncoding: protocol.PositionEncodingKind(s.encoding),
		TextDocumentSync: &protocol.TextDocumentSyncOptions{
			OpenClose: &yes, Change: &change, Save: &protocol.SaveOptions{},
		},
		Workspace: &protocol.WorkspaceOptions{WorkspaceFolders: &protocol.WorkspaceFoldersServerCapabilities{
			Supported: &yes, ChangeNotifications: protocol.Boolean(true),
		}},
	}
	for _, f := range append(Features(), s.opts.Extra...) {
		if f.offer != nil {
			f.offer(&caps, c)
		}
	}
	return caps
}

// allowed are the folders that the command line and the client allow, with slashes.
func (s *Server) allowed(folders []string) []string {
	var out []string
	for _, f := range append(slices.Clone(s.opts.Allow), folders...) {
		if !filepath.IsAbs(filepath.FromSlash(f)) {
			s.tell(protocol.MessageTypeWarning, fmt.Sprintf("`allow` takes whole paths; %q is none and is passed over", f))
			continue
		}
		out = append(out, files.Clean(filepath.ToSlash(f)))
	}
	return out
}

func foldersOf(p *initializeParams) []string {
	var out []string
	for _, f := range p.Folders {
		if convert.IsFile(f.URI) {
			out = append(out, convert.Name(f.URI))
		}
	}
	if len(out) == 0 && p.RootURI != "" && convert.IsFile(p.RootURI) {
		out = append(out, convert.Name(p.RootURI))
	}
	if len(out) == 0 && p.RootPath != "" {
		out = append(out, convert.Name(uri.File(p.RootPath)))
	}
	return out
}

// lenient reads JSON as far as it has the wanted shape; what has another one keeps its
// value, and is logged.
func (s *Server) lenient(what string, raw json.RawMessage, into any) {
	if len(raw) == 0 || slices.Equal(raw, json.RawMessage("[]")) {
		return
	}
	err := json.Unmarshal(convert.FromWire(raw), into)
	if _, odd := errors.AsType[*json.UnmarshalTypeError](err); odd {
		s.log.Warn("odd "+what, zap.Error(err))
	} else if err != nil {
		s.log.Error("unreadable "+what, zap.Error(err))
	}
}

func (s *Server) setLevel(name string) {
	if name == "" || s.opts.Level == nil {
		return
	}
	level, err := zapcore.ParseLevel(name)
	if err != nil {
		s.tell(protocol.MessageTypeWarning, "logLevel is one of debug, info, warn, error; "+name+" is not")
		return
	}
	s.opts.Level.SetLevel(level)
}

// initialized asks the client for what it can only be asked for now.
func (s *Server) initialized(json.RawMessage) error {
	s.register()
	s.askConfiguration()
	return nil
}

func (s *Server) shutdown(json.RawMessage) (json.RawMessage, error) {
	s.state = stateDown
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, c := range s.live {
		c.cancel()
	}
	return nil, nil
}

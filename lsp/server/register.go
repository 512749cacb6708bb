package server

import (
	"encoding/json"

	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"pintle/checker/run"
	"pintle/checker/settings"
)

// register asks to be told of files that change on disk and of the configuration, where
// the client lets itself be asked.
func (s *Server) register() {
	c := s.client.Load()
	var wanted []protocol.Registration
	if c.Can("workspace.didChangeWatchedFiles.dynamicRegistration") {
		options, err := encode(&protocol.DidChangeWatchedFilesRegistrationOptions{Watchers: []protocol.FileSystemWatcher{
			{GlobPattern: protocol.Pattern("**/*" + run.Extension)},
			{GlobPattern: protocol.Pattern("**/" + settings.FileName)},
		}})
		if err != nil {
			s.log.Error("register", zap.Error(err))
			return
		}
		wanted = append(wanted, protocol.Registration{
			ID: "watched-files", Method: "workspace/didChangeWatchedFiles", RegisterOptions: protocol.LSPAny(options),
		})
	}
	if c.Can("workspace.didChangeConfiguration.dynamicRegistration") {
		wanted = append(wanted, protocol.Registration{
			ID: "configuration", Method: "workspace/didChangeConfiguration",
			RegisterOptions: protocol.LSPAny(`{"section":"` + configurationSection + `"}`),
		})
	}
	if len(wanted) > 0 {
		s.ask("client/registerCapability", &protocol.RegistrationParams{Registrations: wanted}, func(json.RawMessage) {})
	}
}

// ask sends a request to the client and hands its answer on, not on the goroutine that
// reads: the answer comes over it.
func (s *Server) ask(method string, params any, then func(json.RawMessage)) {
	var raw json.RawMessage
	if params != nil {
		var err error
		if raw, err = encode(params); err != nil {
			s.log.Error(method, zap.Error(err))
			return
		}
	}
	s.work.Go(func() {
		result, err := s.conn.Call(s.ctx, method, raw)
		if err != nil {
			if s.ctx.Err() == nil {
				s.log.Warn("the client refused", zap.String("method", method), zap.Error(err))
			}
			return
		}
		defer func() {
			if r := recover(); r != nil {
				s.fault(method, r)
			}
		}()
		then(result)
	})
}

package server

import (
	"encoding/json"

	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"pintle/checker/run"
	"pintle/checker/run/settings"
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
			// A folder that is deleted is told of once, not with all that was in it.
			{GlobPattern: protocol.Pattern("**"), Kind: protocol.WatchKindDelete},
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

// question is a request of ours.
type question struct {
	params json.RawMessage
	then   func(json.RawMessage, error)
	next   *question // to be asked when this one was answered; the newest
}

// ask sends a request to the client and hands its answer on, not on the goroutine that
// reads: the answer comes over it. Of each method one waits for its answer at a time, and one,
// the newest, to be sent after it: a client that never answers is asked once.
func (s *Server) ask(method string, params any, then func(json.RawMessage)) {
	s.askAbout("", method, params, func(result json.RawMessage, err error) {
		if err == nil {
			then(result)
		}
	})
}

// askAbout is ask for one of several things, each of which waits by itself. An error is that of
// the client: it refused.
func (s *Server) askAbout(what, method string, params any, then func(json.RawMessage, error)) {
	key := method + " " + what
	q := &question{then: then}
	if params != nil {
		var err error
		if q.params, err = encode(params); err != nil {
			s.log.Error(method, zap.Error(err))
			return
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if open := s.asked[key]; open != nil {
		open.next = q
		return
	}
	s.asked[key] = q
	s.work.Go(func() {
		for q := q; q != nil; {
			s.askOne(method, q)
			s.mu.Lock()
			q = q.next
			if s.asked[key] = q; q == nil {
				delete(s.asked, key)
			}
			s.mu.Unlock()
		}
	})
}

func (s *Server) askOne(method string, q *question) {
	result, err := s.conn.Call(s.ctx, method, q.params)
	if err != nil && s.ctx.Err() == nil {
		s.log.Warn("the client refused", zap.String("method", method), zap.Error(err))
	}
	defer func() {
		if r := recover(); r != nil {
			s.fault(method, r)
		}
	}()
	q.then(result, err)
}

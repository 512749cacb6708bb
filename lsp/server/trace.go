package server

import (
	"encoding/json"

	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"pintle/lang/escape"
)

// tell says something that the person at the editor should know.
func (s *Server) tell(kind protocol.MessageType, message string) {
	s.notify("", "window/logMessage", &protocol.LogMessageParams{Type: kind, Message: escape.Lines(message)})
}

// notify sends a notification; see rpc.Conn.Notify for the key.
func (s *Server) notify(key, method string, params any) {
	raw, err := encode(params)
	if err != nil {
		s.log.Error(method, zap.Error(err))
		return
	}
	s.conn.Notify(key, method, raw)
}

func (s *Server) setTrace(params json.RawMessage) error {
	var p protocol.SetTraceParams
	if err := decode(params, &p); err != nil {
		return err
	}
	s.setTraceValue(p.Value)
	return nil
}

func (s *Server) setTraceValue(v protocol.TraceValue) {
	switch v {
	case protocol.TraceValueOff, protocol.TraceValueMessages, protocol.TraceValueVerbose:
		s.trace.Store(v)
	}
}

// tracef tells the client what goes on, if it wants to know: a message, and more of it
// where it wants more.
func (s *Server) tracef(what func() (message, more string)) {
	level := s.trace.Load().(protocol.TraceValue)
	if level == protocol.TraceValueOff {
		return
	}
	p := &protocol.LogTraceParams{}
	message, more := what()
	p.Message = message
	if level == protocol.TraceValueVerbose {
		p.Verbose = &more
	}
	s.notify("", "$/logTrace", p)
}

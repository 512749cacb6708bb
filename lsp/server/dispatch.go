package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"runtime/debug"
	"strings"
	"time"

	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"pintle/lsp/server/rpc"
	"pintle/lsp/session"
)

// take handles one message in the order of the wire.
func (s *Server) take(m *rpc.Message) {
	if m.ID == "" {
		s.notified(m)
		return
	}
	switch {
	case m.Method == "initialize":
		s.inOrder(m, s.initialize)
	case s.state == stateNew:
		s.conn.Answer(m.ID, nil, rpc.Errorf(rpc.ServerNotInitialized, "initialize comes first"))
	case s.state == stateDown:
		s.conn.Answer(m.ID, nil, rpc.Errorf(rpc.InvalidRequest, "the server is shut down; only exit can follow"))
	case m.Method == "shutdown":
		s.inOrder(m, s.shutdown)
	default:
		f, ok := s.features[m.Method]
		if !ok {
			s.conn.Answer(m.ID, nil, rpc.Errorf(rpc.MethodNotFound, "there is no method %q", m.Method))
			return
		}
		s.start(m, f)
	}
}

// notified handles a notification. One that fails is logged: there is nobody to answer.
func (s *Server) notified(m *rpc.Message) {
	handle, ok := notifications[m.Method]
	switch {
	case !ok:
		if !strings.HasPrefix(m.Method, "$/") {
			s.log.Debug("unknown notification", zap.String("method", m.Method))
		}
		return
	case s.state != stateUp:
		s.log.Debug("notification outside of the session", zap.String("method", m.Method))
		return
	}
	defer func() {
		if r := recover(); r != nil {
			s.fault(m.Method, r)
		}
	}()
	if m.Cut {
		handle = func(s *Server, params json.RawMessage) error { return s.cut(m.Method, params) }
	}
	if err := handle(s, m.Params); err != nil {
		s.log.Warn("notification", zap.String("method", m.Method), zap.Error(err))
	}
}

// inOrder answers a request before the next message is looked at.
func (s *Server) inOrder(m *rpc.Message, handle func(json.RawMessage) (json.RawMessage, error)) {
	result, err := s.guard(m.Method, func() (json.RawMessage, error) { return handle(m.Params) })
	s.conn.Answer(m.ID, result, s.asError(err, false))
}

// start answers a request by itself, on the texts as they are now.
func (s *Server) start(m *rpc.Message, f Feature) {
	ctx, cancel := context.WithCancel(s.ctx)
	c := &call{cancel: cancel}
	if refused := s.admit(m, c); refused != nil {
		cancel()
		s.conn.Answer(m.ID, nil, refused)
		return
	}
	snapshot := s.session.Current()
	began := time.Now()
	// One that is cancelled is answered at once: it may be waiting for a disk that does not
	// answer, or for somebody who does. What it leaves behind ends by itself.
	type outcome struct {
		result json.RawMessage
		err    error
	}
	done := make(chan outcome, 1)
	s.work.Go(func() {
		result, err := s.guard(m.Method, func() (json.RawMessage, error) {
			if err := s.conn.HasRoom(ctx); err != nil {
				return nil, err
			}
			leave, err := s.front.enter(ctx)
			if err != nil {
				return nil, err
			}
			defer leave()
			return f.answer(ctx, s, snapshot, m.Params)
		})
		s.mu.Lock()
		s.busy--
		s.held -= len(m.Params)
		s.mu.Unlock()
		done <- outcome{result, err}
	})
	s.work.Go(func() {
		defer cancel()
		var o outcome
		select {
		case o = <-done:
		case <-ctx.Done():
			o.err = ctx.Err()
		}
		s.mu.Lock()
		delete(s.live, m.ID.Key())
		s.mu.Unlock()
		s.conn.Answer(m.ID, o.result, s.asError(o.err, c.cancelled.Load()))
		s.tracef(func() (string, string) {
			return m.Method + " answered", fmt.Sprintf("id %s, %v", m.ID, time.Since(began))
		})
	})
}

// admit enters a request into those that are being answered, unless its id is among them
// or there are too many.
func (s *Server) admit(m *rpc.Message, c *call) *rpc.Error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.live[m.ID.Key()] != nil {
		return rpc.Errorf(rpc.InvalidRequest, "a request with this id is still being answered")
	}
	if s.busy >= mostRequests || s.held > 0 && s.held+len(m.Params) > rpc.MaxBody {
		return rpc.Errorf(rpc.ServerCancelled, "%d requests are being answered already", s.busy)
	}
	s.live[m.ID.Key()] = c
	s.busy++
	s.held += len(m.Params)
	return nil
}

// guard turns a panic into an error, so that one request that fails costs no other.
func (s *Server) guard(method string, answer func() (json.RawMessage, error)) (result json.RawMessage, err error) {
	defer func() {
		if r := recover(); r != nil {
			s.fault(method, r)
			result, err = nil, rpc.Errorf(rpc.InternalError, "a fault of Pintle itself in %s; its log tells more", method)
		}
	}()
	return answer()
}

// fault tells of a fault of Pintle itself.
func (s *Server) fault(where string, r any) {
	s.log.Error("internal fault", zap.String("in", where), zap.Any("panic", r), zap.ByteString("stack", debug.Stack()))
	s.tell(protocol.MessageTypeError, fmt.Sprintf("a fault of Pintle itself in %s: %v", where, r))
}

// asError is how an error is answered.
func (s *Server) asError(err error, cancelled bool) *rpc.Error {
	var own *rpc.Error
	switch {
	case err == nil:
		return nil
	case errors.As(err, &own):
		return own
	case cancelled:
		return rpc.Errorf(rpc.RequestCancelled, "cancelled")
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return rpc.Errorf(rpc.ServerCancelled, "the server gave it up")
	case errors.Is(err, session.ErrNoDocument):
		return rpc.Errorf(rpc.InvalidParams, "%s", err.Error())
	}
	return rpc.Errorf(rpc.RequestFailed, "%s", err.Error())
}

// cancelRequest ends the context of a request that is being answered.
func (s *Server) cancelRequest(params json.RawMessage) error {
	var p struct {
		ID json.RawMessage `json:"id"`
	}
	if err := json.Unmarshal(params, &p); err != nil {
		return err
	}
	id, ok := rpc.ParseID(p.ID)
	if !ok {
		return errors.New("no id")
	}
	s.mu.Lock()
	c := s.live[id.Key()]
	s.mu.Unlock()
	if c != nil {
		c.cancelled.Store(true)
		c.cancel()
	}
	return nil
}

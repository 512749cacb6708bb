package server

import (
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"go.lsp.dev/protocol"
)

// Progress shows how far a long piece of work is. A nil Progress shows nothing.
type Progress struct {
	server *Server
	token  protocol.ProgressToken
}

// beginProgress begins to show progress under a token that the client knows.
func beginProgress(s *Server, token protocol.ProgressToken, title string) *Progress {
	if token == nil {
		return nil
	}
	p := &Progress{s, token}
	cancellable := false
	p.send(&protocol.WorkDoneProgressBegin{Kind: "begin", Title: title, Cancellable: &cancellable})
	return p
}

// Report shows how many of all steps are done.
func (p *Progress) Report(done, all int) {
	if p == nil || all == 0 {
		return
	}
	message, percent := fmt.Sprintf("%d of %d", done, all), uint32(100*done/all)
	p.send(&protocol.WorkDoneProgressReport{Kind: "report", Message: &message, Percentage: &percent})
}

// End takes it away.
func (p *Progress) End() {
	if p != nil {
		p.send(&protocol.WorkDoneProgressEnd{Kind: "end"})
	}
}

func (p *Progress) send(value any) {
	raw, err := encode(value)
	if err != nil {
		return
	}
	p.server.notify("", "$/progress", &protocol.ProgressParams{Token: p.token, Value: protocol.LSPAny(raw)})
}

// checkProgress shows the checking of the session when it takes longer than people wait
// without wondering. It goes on through edits until a check comes to its end.
type checkProgress struct {
	server *Server

	mu      sync.Mutex
	timer   *time.Timer // runs: a check has begun and nothing is shown yet
	shown   *Progress
	count   int
	done    int
	all     int
	stopped bool
}

// at is told how many of all roots are checked.
func (c *checkProgress) at(done, all int) {
	s := c.server
	if !s.client.Load().Can("window.workDoneProgress") {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.done, c.all = done, all
	switch {
	case c.stopped:
	case c.shown != nil:
		c.shown.Report(done, all)
	case c.timer == nil:
		c.timer = time.AfterFunc(s.opts.Patience, c.begin)
	}
}

// begin asks the client for room and begins to show.
func (c *checkProgress) begin() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.timer == nil || c.stopped {
		return
	}
	c.count++
	token := protocol.String(fmt.Sprintf("pintle-check-%d", c.count))
	timer := c.timer
	c.server.ask("window/workDoneProgress/create", &protocol.WorkDoneProgressCreateParams{Token: token},
		func(json.RawMessage) {
			c.mu.Lock()
			defer c.mu.Unlock()
			if c.timer == timer && !c.stopped { // not over in the meantime
				c.shown = beginProgress(c.server, token, "Checking")
				c.shown.Report(c.done, c.all)
			}
		})
}

// settled is told that the check came to its end.
func (c *checkProgress) settled() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.timer != nil {
		c.timer.Stop()
	}
	c.shown.End()
	c.timer, c.shown = nil, nil
}

// end is called once, when the server ends.
func (c *checkProgress) end() {
	c.settled()
	c.mu.Lock()
	defer c.mu.Unlock()
	c.stopped = true
}

// cancelProgress: the one thing that is shown can't be cancelled, it ends by itself or
// with the next edit.
func (s *Server) cancelProgress(json.RawMessage) error { return nil }

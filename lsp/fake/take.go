package fake

import (
	"context"
	"encoding/json"
	"path/filepath"

	"go.lsp.dev/uri"
)

// take handles one message of the server.
func (c *Client) take(body []byte) {
	if !c.opts.Trust {
		err := c.model.FromServer(body, func(id string) string {
			c.mu.Lock()
			defer c.mu.Unlock()
			return c.asked[id]
		})
		if err != nil {
			c.problem("against the protocol: %v\n%s", err, shorten(body))
		}
	}
	var m struct {
		ID     json.RawMessage `json:"id"`
		Method string          `json:"method"`
		Params json.RawMessage `json:"params"`
		Result json.RawMessage `json:"result"`
		Error  *ResponseError  `json:"error"`
	}
	if err := json.Unmarshal(body, &m); err != nil {
		return // told already
	}
	switch {
	case m.Method == "":
		c.answered(string(m.ID), answer{m.Result, m.Error})
	case m.ID != nil:
		go c.reply(m.ID, m.Method, m.Params)
	}
	if m.Method == "window/logMessage" && !c.opts.Faults && !c.opts.Trust {
		var p struct {
			Type    int    `json:"type"`
			Message string `json:"message"`
		}
		if json.Unmarshal(m.Params, &p) == nil && p.Type == 1 {
			c.problem("the server says: %s", p.Message)
		}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if m.Method != "" && c.opts.Remember {
		c.messages = append(c.messages, Message{m.Method, m.Params})
	}
	if m.Method == "textDocument/publishDiagnostics" {
		var p Published
		if json.Unmarshal(m.Params, &p) == nil {
			c.latest[p.URI] = p
		}
	}
	close(c.arrived)
	c.arrived = make(chan struct{})
}

func (c *Client) answered(id string, a answer) {
	c.mu.Lock()
	wait := c.waiting[id]
	delete(c.waiting, id)
	c.mu.Unlock()
	switch {
	case wait != nil:
		wait <- a
	case id == "null" && a.err != nil: // to what could not be read
		c.mu.Lock()
		c.messages = append(c.messages, Message{"error", json.RawMessage(a.err.Error())})
		c.mu.Unlock()
	default:
		c.problem("a second answer to %s", id)
	}
}

func (c *Client) reply(id json.RawMessage, method string, params json.RawMessage) {
	var result any
	if f := c.opts.Answers[method]; f != nil {
		result = f(params)
	} else if method == "workspace/configuration" {
		result = []any{nil}
	}
	c.send(map[string]any{"jsonrpc": "2.0", "id": id, "result": result})
}

func shorten(b []byte) []byte {
	if len(b) > 600 {
		return append(b[:600:600], "…"...)
	}
	return b
}

// Published returns what was pushed last of a document.
func (c *Client) Published(uri string) (Published, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	p, ok := c.latest[uri]
	return p, ok
}

// AllPublished returns what was pushed last of each document.
func (c *Client) AllPublished() map[string]Published {
	c.mu.Lock()
	defer c.mu.Unlock()
	out := make(map[string]Published, len(c.latest))
	for u, p := range c.latest {
		out[u] = p
	}
	return out
}

// Messages returns the notifications and requests of the server with a method, in
// order, and, as "error", the errors that were answered to nobody.
func (c *Client) Messages(method string) []Message {
	c.mu.Lock()
	defer c.mu.Unlock()
	var out []Message
	for _, m := range c.messages {
		if m.Method == method {
			out = append(out, m)
		}
	}
	return out
}

// Until waits until a condition holds, looking at it whenever a message comes in. It is
// called without locks.
func (c *Client) Until(ctx context.Context, holds func() bool) error {
	for {
		c.mu.Lock()
		next := c.arrived
		c.mu.Unlock()
		if holds() {
			return nil
		}
		select {
		case <-next:
		case <-c.ended:
			if holds() {
				return nil
			}
			return context.Canceled
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// URI of a path.
func URI(path string) string {
	abs, err := filepath.Abs(path)
	if err != nil {
		return path
	}
	return string(uri.File(abs))
}

// Open opens a document with version 1.
func (c *Client) Open(uri, text string) {
	c.Notify("textDocument/didOpen", map[string]any{"textDocument": map[string]any{
		"uri": uri, "languageId": "pintle", "version": 1, "text": text,
	}})
}

// Change is one change of a document: of a range, or, without one, of all of it.
type Change struct {
	Range *Range `json:"range,omitempty"`
	Text  string `json:"text"`
}

// Edit changes a document.
func (c *Client) Edit(uri string, version int, changes ...Change) {
	c.Notify("textDocument/didChange", map[string]any{
		"textDocument":   map[string]any{"uri": uri, "version": version},
		"contentChanges": changes,
	})
}

// Close closes a document.
func (c *Client) Close(uri string) {
	c.Notify("textDocument/didClose", map[string]any{"textDocument": map[string]any{"uri": uri}})
}

// Settle waits until everything that was sent so far is checked and published.
func (c *Client) Settle() {
	c.t.Helper()
	c.Request(settled, map[string]any{}, nil)
}

// Diagnostics returns what was pushed last of a document, once everything is settled.
func (c *Client) Diagnostics(uri string) []Diagnostic {
	c.t.Helper()
	c.Settle()
	p, _ := c.Published(uri)
	return p.Diagnostics
}

// Shutdown ends the session as the protocol asks and returns the exit status.
func (c *Client) Shutdown() int {
	c.t.Helper()
	c.Request("shutdown", nil, nil)
	c.Notify("exit", nil)
	return c.Status()
}

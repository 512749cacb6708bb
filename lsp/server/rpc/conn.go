package rpc

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"sync"
)

// Conn is a connection to a client. Next is called by one goroutine, all else by any.
type Conn struct {
	frames *frames
	out    io.Writer

	mu      sync.Mutex
	wake    *sync.Cond
	queue   []outgoing
	closed  bool  // nothing more is queued
	failed  error // of writing
	next    int64
	pending map[ID]chan *Message
	written chan struct{} // closed when the writer has ended
}

// outgoing is a message to be written. One with the same key that was not written yet is
// replaced.
type outgoing struct {
	key  string
	body []byte
}

// NewConn makes a connection and starts writing what is sent. Close ends that.
func NewConn(in io.Reader, out io.Writer) *Conn {
	c := &Conn{frames: newFrames(in), out: out, pending: map[ID]chan *Message{}, written: make(chan struct{})}
	c.wake = sync.NewCond(&c.mu)
	go c.write()
	return c
}

// Next returns the next request or notification. What can't be read as one is answered
// here, and answers to our own requests go to those who wait. The error is io.EOF at the
// end of the stream; after any other one nothing more can be read.
func (c *Conn) Next() (*Message, error) {
	for {
		body, err := c.frames.next()
		if large, ok := errors.AsType[TooLarge](err); ok {
			c.Answer("", nil, Errorf(InvalidRequest, "%s", large.Error()))
			continue
		}
		if broken, ok := errors.AsType[BrokenHeader](err); ok {
			c.Answer("", nil, Errorf(ParseError, "%s", broken.Error()))
		}
		if err != nil {
			return nil, err
		}
		m, id, bad := parse(body)
		switch {
		case bad != nil:
			c.Answer(id, nil, bad)
		case m.IsAnswer():
			c.answered(m)
		default:
			return m, nil
		}
	}
}

func (c *Conn) answered(m *Message) {
	c.mu.Lock()
	wait := c.pending[m.ID]
	delete(c.pending, m.ID)
	c.mu.Unlock()
	if wait != nil {
		wait <- m
	}
}

// Answer answers a request. Result is JSON; it counts if err is nil.
func (c *Conn) Answer(id ID, result json.RawMessage, err *Error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, `{"jsonrpc":"2.0","id":%s,`, id.json())
	if err != nil {
		text, _ := json.Marshal(err) // numbers and texts can be written
		fmt.Fprintf(&b, `"error":%s}`, text)
	} else {
		if len(result) == 0 {
			result = json.RawMessage("null")
		}
		fmt.Fprintf(&b, `"result":%s}`, result)
	}
	c.send("", b.Bytes())
}

// Notify sends a notification. If key is not empty, one with the same key that was not
// written yet is replaced: a client that is slow to read gets the newest.
func (c *Conn) Notify(key, method string, params json.RawMessage) {
	c.send(key, call("", method, params))
}

// Call sends a request and waits for its answer. The error is that of the context, an
// *Error as the client answered it, or io.ErrClosedPipe where the connection ended.
func (c *Conn) Call(ctx context.Context, method string, params json.RawMessage) (json.RawMessage, error) {
	c.mu.Lock()
	if c.closed {
		c.mu.Unlock()
		return nil, io.ErrClosedPipe
	}
	c.next++
	id := ID(strconv.FormatInt(c.next, 10))
	wait := make(chan *Message, 1)
	c.pending[id] = wait
	c.mu.Unlock()
	c.send("", call(id, method, params))
	select {
	case m, ok := <-wait:
		switch {
		case !ok:
			return nil, io.ErrClosedPipe
		case m.Error != nil:
			return nil, m.Error
		}
		return m.Result, nil
	case <-ctx.Done():
		c.mu.Lock()
		delete(c.pending, id)
		c.mu.Unlock()
		return nil, ctx.Err()
	}
}

func call(id ID, method string, params json.RawMessage) []byte {
	var b bytes.Buffer
	b.WriteString(`{"jsonrpc":"2.0",`)
	if id != "" {
		fmt.Fprintf(&b, `"id":%s,`, id.json())
	}
	fmt.Fprintf(&b, `"method":%q`, method)
	if params != nil {
		fmt.Fprintf(&b, `,"params":%s`, params)
	}
	b.WriteByte('}')
	return b.Bytes()
}

func (c *Conn) send(key string, body []byte) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed || c.failed != nil {
		return
	}
	if key != "" {
		for i := range c.queue {
			if c.queue[i].key == key {
				c.queue = append(c.queue[:i], c.queue[i+1:]...)
				break
			}
		}
	}
	c.queue = append(c.queue, outgoing{key, body})
	c.wake.Signal()
}

// write writes what is queued until the connection is closed or the client is gone.
func (c *Conn) write() {
	defer close(c.written)
	for {
		c.mu.Lock()
		for len(c.queue) == 0 && !c.closed {
			c.wake.Wait()
		}
		if len(c.queue) == 0 {
			c.mu.Unlock()
			return
		}
		next := c.queue[0]
		c.queue[0] = outgoing{}
		c.queue = c.queue[1:]
		c.mu.Unlock()
		frame := fmt.Appendf(make([]byte, 0, len(next.body)+40), "Content-Length: %d\r\n\r\n", len(next.body))
		if _, err := c.out.Write(append(frame, next.body...)); err != nil {
			c.mu.Lock()
			c.failed, c.queue = err, nil
			c.mu.Unlock()
			return
		}
	}
}

// Close ends the calls that wait for an answer, writes what is queued, as long as the
// context lasts, and ends the writer.
func (c *Conn) Close(ctx context.Context) {
	c.mu.Lock()
	c.closed = true
	for id, wait := range c.pending {
		close(wait)
		delete(c.pending, id)
	}
	c.wake.Signal()
	c.mu.Unlock()
	select {
	case <-c.written:
	case <-ctx.Done():
	}
}

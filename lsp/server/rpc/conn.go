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
	"time"
)

// Conn is a connection to a client. Next is called by one goroutine, all else by any.
type Conn struct {
	frames *frames
	out    io.Writer

	mu      sync.Mutex
	wake    *sync.Cond
	queue   []outgoing
	queued  int   // bytes in queue
	closed  bool  // nothing more is queued
	failed  error // of writing
	next    int64
	pending map[string]chan *Message // by the key of the id
	written chan struct{}            // closed when the writer has ended
	lost    chan struct{}            // closed when the client takes nothing any more
	room    chan struct{}            // closed when less than Room waits again; nil: there is room
	stuck   time.Duration
	timer   *time.Timer // runs while there is no room
}

const (
	// MaxQueue is the most bytes that wait for a client that does not read. One message alone
	// may be longer.
	MaxQueue = 64 << 20
	// Room is from how many waiting bytes on no new request is to begin.
	Room = 16 << 20
	// Stuck is how long a client may take for one message while more than Room waits for it.
	Stuck = time.Minute
)

// errBehind is why a connection ends whose client does not read.
var errBehind = fmt.Errorf("the client does not read: more than %d MiB wait for it", MaxQueue>>20)

// Lost is closed when nothing that is sent reaches the client any more: it is gone, or it
// has not read for so long that MaxQueue is full. Why tells the reason then.
func (c *Conn) Lost() <-chan struct{} { return c.lost }

// Why is the reason why the client was lost; nil: it is there.
func (c *Conn) Why() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.failed
}

// HasRoom waits until less than Room waits to be written. The error is that of the context,
// or tells why the client was lost.
func (c *Conn) HasRoom(ctx context.Context) error {
	c.mu.Lock()
	room, failed := c.room, c.failed
	c.mu.Unlock()
	if failed != nil || room == nil {
		return failed
	}
	select {
	case <-room:
		return c.Why()
	case <-ctx.Done():
		return ctx.Err()
	}
}

// measure is called when the queue became longer or shorter, or when a message was written.
// c is locked.
func (c *Conn) measure() {
	full := c.queued > Room && c.failed == nil && !c.closed
	switch {
	case full && c.room == nil:
		c.room = make(chan struct{})
		c.timer = time.AfterFunc(c.stuck, func() {
			c.mu.Lock()
			defer c.mu.Unlock()
			if c.room != nil && !c.closed {
				c.lose(errBehind)
			}
		})
	case !full && c.room != nil:
		c.timer.Stop()
		close(c.room)
		c.room = nil
	}
}

// lose gives the client up. c is locked.
func (c *Conn) lose(why error) {
	if c.failed != nil {
		return
	}
	c.failed, c.queue, c.queued = why, nil, 0
	close(c.lost)
	c.measure()
	c.wake.Signal()
}

// outgoing is a message to be written. One with the same key that was not written yet is
// replaced.
type outgoing struct {
	key  string
	body []byte
}

// NewConn makes a connection and starts writing what is sent. Close ends that. A client that
// takes nothing for the time of stuck, while more than Room waits for it, is lost; zero: Stuck.
func NewConn(in io.Reader, out io.Writer, stuck time.Duration) *Conn {
	if stuck == 0 {
		stuck = Stuck
	}
	c := &Conn{frames: newFrames(in), out: out, pending: map[string]chan *Message{}, written: make(chan struct{}), lost: make(chan struct{}), stuck: stuck}
	c.wake = sync.NewCond(&c.mu)
	go c.write()
	return c
}

// Next returns the next request or notification. What can't be read as one is answered
// here, and answers to our own requests go to those who wait. The error is io.EOF at the
// end of the stream; after any other one nothing more can be read.
func (c *Conn) Next() (*Message, error) {
	for {
		body, length, err := c.frames.next()
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
		case length > MaxBody && m.ID != "":
			c.Answer(m.ID, nil, Errorf(InvalidRequest, "%s", TooLarge{length}.Error()))
		default:
			m.Cut = length > MaxBody
			return m, nil
		}
	}
}

func (c *Conn) answered(m *Message) {
	c.mu.Lock()
	wait := c.pending[m.ID.Key()]
	delete(c.pending, m.ID.Key())
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
	c.pending[id.Key()] = wait
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
		delete(c.pending, id.Key())
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
				c.queued -= len(c.queue[i].body)
				c.queue = append(c.queue[:i], c.queue[i+1:]...)
				break
			}
		}
	}
	if c.queued > 0 && c.queued+len(body) > MaxQueue {
		c.lose(errBehind)
		return
	}
	c.queue, c.queued = append(c.queue, outgoing{key, body}), c.queued+len(body)
	c.measure()
	c.wake.Signal()
}

// write writes what is queued until the connection is closed or the client is gone.
func (c *Conn) write() {
	defer close(c.written)
	for {
		c.mu.Lock()
		for len(c.queue) == 0 && !c.closed && c.failed == nil {
			c.wake.Wait()
		}
		if len(c.queue) == 0 {
			c.mu.Unlock()
			return
		}
		next := c.queue[0]
		c.queue[0] = outgoing{}
		c.queue, c.queued = c.queue[1:], c.queued-len(next.body)
		if c.room != nil {
			c.timer.Reset(c.stuck) // it took one
		}
		c.measure()
		c.mu.Unlock()
		frame := fmt.Appendf(make([]byte, 0, len(next.body)+40), "Content-Length: %d\r\n\r\n", len(next.body))
		if _, err := c.out.Write(append(frame, next.body...)); err != nil {
			c.mu.Lock()
			c.lose(err)
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
	c.measure()
	for key, wait := range c.pending {
		close(wait)
		delete(c.pending, key)
	}
	c.wake.Signal()
	c.mu.Unlock()
	select {
	case <-c.written:
	case <-ctx.Done():
	}
}

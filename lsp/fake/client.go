package fake

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"

	"pintle/checker/rules"
	"pintle/lsp/fake/metamodel"
	"pintle/lsp/server"
)

// Options say what client it is.
type Options struct {
	// Server options; Catalogue is that of all rules if nil.
	Server server.Options
	// Capabilities as JSON; "": those of Full.
	Capabilities string
	// Folders are paths; none: no workspace.
	Folders []string
	// Init are the initializationOptions as JSON; "": none.
	Init string
	// Answers reports what the client answers to a request of the server, by method; those
	// without an entry are answered null.
	Answers map[string]func(params json.RawMessage) any
	// Command is a server to start as a process; none: one in this process.
	Command []string
	// Trust leaves out to hold messages against the model, which costs time, for
	// benchmarks.
	Trust bool
	// Raw leaves initialize to the test.
	Raw bool
	// Faults says that the test provokes faults of the server; else the test fails when the
	// server tells of one.
	Faults bool
	// Remember keeps every message for Messages.
	Remember bool
}

// Full are the capabilities of a client that can do much; positions are the encodings
// that it offers.
func Full(positions ...string) string {
	list, err := json.Marshal(append([]string{}, positions...))
	if err != nil {
		panic(err) // texts can be written
	}
	return `{"general":{"positionEncodings":` + string(list) + `},
		"window":{"workDoneProgress":true},
		"workspace":{"configuration":true,"workspaceFolders":true,
			"didChangeWatchedFiles":{"dynamicRegistration":true},"didChangeConfiguration":{"dynamicRegistration":true},
			"workspaceEdit":{"documentChanges":true},"diagnostics":{"refreshSupport":true}},
		"textDocument":{"publishDiagnostics":{"relatedInformation":true,"versionSupport":true,
			"codeDescriptionSupport":true,"dataSupport":true,"tagSupport":{"valueSet":[1,2]}}}}`
}

// Client is a client with its server.
type Client struct {
	t      testing.TB
	opts   Options
	model  *metamodel.Model
	toIn   io.WriteCloser
	fromIn io.Reader
	pid    int
	status chan int
	ended  chan struct{} // closed when the server sends nothing more
	gone   chan struct{} // closed when it is no more

	write sync.Mutex

	mu       sync.Mutex
	next     int
	asked    map[string]string // method by id; "-": not of the protocol
	waiting  map[string]chan answer
	messages []Message
	latest   map[string]Published
	arrived  chan struct{} // closed when a message comes in
	extra    map[string]bool
	problems []string

	// Capabilities that the server answered initialize with.
	Capabilities json.RawMessage
}

// Message is a notification or request of the server.
type Message struct {
	Method string
	Params json.RawMessage
}

// Published is what was pushed of a document.
type Published struct {
	URI         string       `json:"uri"`
	Version     *int32       `json:"version"`
	Diagnostics []Diagnostic `json:"diagnostics"`
}

// Diagnostic is one as it came over the wire.
type Diagnostic struct {
	Range    Range  `json:"range"`
	Severity int    `json:"severity"`
	Code     string `json:"code"`
	Message  string `json:"message"`
}

// Range and Position are those of the protocol.
type Range struct {
	Start Position `json:"start"`
	End   Position `json:"end"`
}

// Position is a line and a column, from 0.
type Position struct {
	Line      uint32 `json:"line"`
	Character uint32 `json:"character"`
}

type answer struct {
	result json.RawMessage
	err    *ResponseError
}

// ResponseError is an error that the server answered.
type ResponseError struct {
	Code    int    `json:"code"`
	Message string `json:"message"`
}

func (e *ResponseError) Error() string { return fmt.Sprintf("%s (%d)", e.Message, e.Code) }

// settled is a method outside of the protocol: it is answered when everything was
// checked and published.
const settled = "test/settled"

// Start starts a server with its client and initializes it. Both end with the test,
// which fails if the server sent anything that the protocol does not know.
func Start(t testing.TB, o Options) *Client {
	t.Helper()
	model, err := metamodel.Load()
	if err != nil {
		t.Fatal(err)
	}
	if o.Server.Catalogue == nil {
		// What a rule lacks in its page is a matter of its own test.
		o.Server.Catalogue, _ = rules.All()
	}
	if o.Capabilities == "" {
		o.Capabilities = Full()
	}
	o.Server.Extra = append(o.Server.Extra, server.OnWorkspace(settled, nil,
		func(ctx context.Context, r *server.Request, _ *struct{}) (bool, error) {
			return true, r.Settled(ctx)
		}))
	c := &Client{
		t: t, opts: o, model: model, status: make(chan int, 1), ended: make(chan struct{}),
		gone:  make(chan struct{}),
		asked: map[string]string{}, waiting: map[string]chan answer{}, latest: map[string]Published{},
		arrived: make(chan struct{}), extra: map[string]bool{},
	}
	for _, f := range o.Server.Extra {
		if model.Request(f.Method) == nil {
			c.extra[f.Method] = true
		}
	}
	if len(o.Command) > 0 {
		c.startProcess()
	} else {
		c.startHere()
	}
	t.Cleanup(c.stop)
	if !o.Raw {
		c.Initialize()
	}
	return c
}

func (c *Client) startHere() {
	serverIn, toIn := io.Pipe()
	fromIn, serverOut := io.Pipe()
	c.toIn, c.fromIn, c.pid = toIn, fromIn, os.Getpid()
	go func() {
		defer close(c.gone)
		c.status <- server.Serve(context.Background(), serverIn, serverOut, c.opts.Server)
		serverOut.Close()
	}()
	go c.listen()
}

func (c *Client) startProcess() {
	cmd := exec.Command(c.opts.Command[0], c.opts.Command[1:]...)
	in, inErr := cmd.StdinPipe()
	out, outErr := cmd.StdoutPipe()
	if err := errors.Join(inErr, outErr, cmd.Start()); err != nil {
		c.t.Fatal(err)
	}
	c.toIn, c.fromIn, c.pid = in, out, cmd.Process.Pid
	go func() {
		defer close(c.gone)
		c.listen()
		_ = cmd.Wait() // its status is all that is wanted
		c.status <- cmd.ProcessState.ExitCode()
	}()
}

// PID of the process that the server runs in.
func (c *Client) PID() int { return c.pid }

// Initialize goes through the first steps of the life cycle.
func (c *Client) Initialize() {
	c.t.Helper()
	params := map[string]any{"processId": nil, "rootUri": nil, "capabilities": json.RawMessage(c.opts.Capabilities)}
	if c.opts.Init != "" {
		params["initializationOptions"] = json.RawMessage(c.opts.Init)
	}
	if len(c.opts.Folders) > 0 {
		var folders []map[string]string
		for _, f := range c.opts.Folders {
			folders = append(folders, map[string]string{"uri": URI(f), "name": f})
		}
		params["workspaceFolders"] = folders
	}
	var result struct {
		Capabilities json.RawMessage `json:"capabilities"`
	}
	c.Request("initialize", params, &result)
	c.Capabilities = result.Capabilities
	c.Notify("initialized", map[string]any{})
}

// stop ends the session as a client should, and reports what was wrong with it.
func (c *Client) stop() {
	select {
	case <-c.ended: // it ended already
	default:
		if len(c.opts.Command) > 0 {
			_ = c.Try("shutdown", nil, nil) // it may be that it was not even initialized
			c.Notify("exit", nil)
		}
		c.toIn.Close()
		<-c.ended
	}
	c.toIn.Close()
	<-c.gone
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, p := range c.problems {
		c.t.Error(p)
	}
}

// Status waits for the server to end and returns its exit status.
func (c *Client) Status() int {
	status := <-c.status
	<-c.ended
	return status
}

// Request sends a request, waits for its answer and reads it into result, which may be
// nil. It fails the test if the answer is an error.
func (c *Client) Request(method string, params, result any) {
	c.t.Helper()
	if err := c.Try(method, params, result); err != nil {
		c.t.Fatalf("%s: %v", method, err)
	}
}

// Try is Request for answers that may be errors: a *ResponseError, or io.EOF where the
// server ended.
func (c *Client) Try(method string, params, result any) error {
	return c.Go(method, params).Wait(result)
}

// Pending is a request that was sent.
type Pending struct {
	c    *Client
	ID   int
	done chan answer
}

// Go sends a request and does not wait.
func (c *Client) Go(method string, params any) *Pending {
	c.mu.Lock()
	c.next++
	id := c.next
	p := &Pending{c, id, make(chan answer, 1)}
	key := strconv.Itoa(id)
	c.asked[key] = method
	if c.extra[method] {
		c.asked[key] = "-"
	}
	c.waiting[key] = p.done
	c.mu.Unlock()
	c.send(map[string]any{"jsonrpc": "2.0", "id": id, "method": method, "params": params})
	return p
}

// Wait waits for the answer.
func (p *Pending) Wait(result any) error {
	var a answer
	select {
	case a = <-p.done:
	case <-p.c.ended:
		select {
		case a = <-p.done:
		default:
			return io.EOF
		}
	}
	if a.err != nil {
		return a.err
	}
	if result == nil {
		return nil
	}
	return json.Unmarshal(a.result, result)
}

// Notify sends a notification.
func (c *Client) Notify(method string, params any) {
	c.send(map[string]any{"jsonrpc": "2.0", "method": method, "params": params})
}

func (c *Client) send(message map[string]any) {
	if message["params"] == nil {
		delete(message, "params")
	}
	body, err := json.Marshal(message)
	if err != nil {
		c.problem("can't be sent: %v", err)
		return
	}
	c.WriteRaw(fmt.Appendf(nil, "Content-Length: %d\r\n\r\n%s", len(body), body))
}

// WriteRaw writes bytes as they are. A server that does not read any more is no mistake
// of the client.
func (c *Client) WriteRaw(b []byte) {
	c.write.Lock()
	defer c.write.Unlock()
	if _, err := c.toIn.Write(b); err != nil && !errors.Is(err, io.ErrClosedPipe) && !errors.Is(err, os.ErrClosed) {
		c.problem("write: %v", err)
	}
}

// CloseInput ends the stream to the server, as an editor that dies does.
func (c *Client) CloseInput() { c.toIn.Close() }

func (c *Client) problem(format string, args ...any) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.problems) < 20 {
		c.problems = append(c.problems, fmt.Sprintf(format, args...))
	}
}

// Problems returns what was wrong with the server so far, and takes it off what fails
// the test at its end.
func (c *Client) Problems() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	out := c.problems
	c.problems = nil
	return out
}

// listen takes what the server sends until it ends.
func (c *Client) listen() {
	defer close(c.ended)
	in := bufio.NewReader(c.fromIn)
	for {
		body, err := readFrame(in)
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			c.problem("the server's frames: %v", err)
			return
		}
		c.take(body)
	}
}

// readFrame reads one message; the server is held to the letter of the header.
func readFrame(in *bufio.Reader) ([]byte, error) {
	line, err := in.ReadString('\n')
	if err != nil {
		return nil, err
	}
	digits, ok := strings.CutPrefix(strings.TrimSuffix(line, "\r\n"), "Content-Length: ")
	n, convErr := strconv.Atoi(digits)
	if !ok || convErr != nil {
		return nil, fmt.Errorf("header %q", line)
	}
	if line, err = in.ReadString('\n'); err != nil || line != "\r\n" {
		return nil, fmt.Errorf("after the header %q, %w", line, err)
	}
	body := make([]byte, n)
	_, err = io.ReadFull(in, body)
	return body, err
}

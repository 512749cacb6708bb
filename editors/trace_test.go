//go:build unix

package editors_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/textproto"
	"os"
	"os/exec"
	"os/signal"
	"strconv"
	"sync"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lsp/fake/metamodel"
)

// An editor that finds these in its environment is being tested: what it starts as
// `pintle serve` is this very test binary, which starts the real one and writes down what
// goes to and fro.
const (
	traceEnv  = "PINTLE_TEST_TRACE"  // file to append to
	serverEnv = "PINTLE_TEST_SERVER" // the real pintle
	apartEnv  = "PINTLE_TEST_APART"  // set where the editor can't kill it any more
)

func TestMain(m *testing.M) {
	if file := os.Getenv(traceEnv); file != "" && os.Getenv(apartEnv) != "" {
		os.Exit(tee(file, os.Getenv(serverEnv), os.Args[1:]))
	} else if file != "" {
		os.Exit(apart())
	}
	status := m.Run()
	_ = os.RemoveAll(binDir) // a folder for temporary files is looked after by others too
	os.Exit(status)
}

// apart runs this program once more, out of reach of the editor: some kill what they
// started right after their goodbye, and the end of the server would be seen by nobody.
func apart() int {
	c := exec.Command(os.Args[0], os.Args[1:]...)
	c.Stdin, c.Stdout, c.Stderr = os.Stdin, os.Stdout, os.Stderr
	c.Env = append(os.Environ(), apartEnv+"=1")
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	if err := c.Run(); c.ProcessState == nil {
		fmt.Fprintln(os.Stderr, err)
		return 3
	}
	return c.ProcessState.ExitCode()
}

// record is a line of a trace: some bytes that went by, or how the server ended.
type record struct {
	ToServer bool   `json:"toServer,omitempty"`
	Bytes    []byte `json:"bytes,omitempty"`
	Exit     *int   `json:"exit,omitempty"`
}

// tee runs a server between standard input and output and gives its exit status.
func tee(file, server string, args []string) int {
	trace, err := os.OpenFile(file, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 3
	}
	defer trace.Close()
	// An editor that is gone must not take this along: writing to it is an error then.
	signal.Notify(make(chan os.Signal, 1), syscall.SIGPIPE)
	var mu sync.Mutex
	write := func(r record) {
		mu.Lock()
		defer mu.Unlock()
		if err := json.NewEncoder(trace).Encode(r); err != nil {
			fmt.Fprintln(os.Stderr, err)
		}
	}
	cmd := exec.Command(server, args...)
	cmd.Stdin, cmd.Stderr = nil, os.Stderr
	in, errIn := cmd.StdinPipe()
	out, errOut := cmd.StdoutPipe()
	if err := errors.Join(errIn, errOut, cmd.Start()); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 3
	}
	go func() {
		// An editor that goes away, or a server that does, ends the copying.
		_, _ = io.Copy(in, tap{os.Stdin, func(b []byte) { write(record{ToServer: true, Bytes: b}) }})
		in.Close()
	}()
	// Read to its end before the process is waited for, as os/exec asks.
	sent := tap{out, func(b []byte) { write(record{Bytes: b}) }}
	_, _ = io.Copy(os.Stdout, sent)
	_, _ = io.Copy(io.Discard, sent) // what an editor no longer listens to was said all the same
	_ = cmd.Wait()
	status := cmd.ProcessState.ExitCode()
	write(record{Exit: &status})
	return status
}

// tap reports what is read.
type tap struct {
	io.Reader
	tell func([]byte)
}

func (t tap) Read(b []byte) (int, error) {
	n, err := t.Reader.Read(b)
	if n > 0 {
		t.tell(b[:n])
	}
	return n, err
}

// talk is what an editor and its servers said to each other.
type talk struct {
	Sent     map[string]int // messages of the server, by their method or the one they answer
	Problems []string
	Exits    []int
}

// read reads a trace and holds all that the server sent against the protocol.
func read(t *testing.T, file string) talk {
	t.Helper()
	raw, err := os.ReadFile(file)
	require.NoError(t, err, "the editor never started a server")
	model, err := metamodel.Load()
	require.NoError(t, err)
	out := talk{Sent: map[string]int{}}
	asked, open := map[string]string{}, map[string]string{}
	var toServer, fromServer bytes.Buffer
	for d := json.NewDecoder(bytes.NewReader(raw)); ; {
		var r record
		if err := d.Decode(&r); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			require.NoError(t, err)
		}
		switch {
		case r.Exit != nil:
			out.Exits = append(out.Exits, *r.Exit)
		case r.ToServer:
			toServer.Write(r.Bytes)
			for body := range frames(&toServer, &out) {
				m := envelope(body)
				if m.Method != "" && m.ID != nil {
					asked[string(m.ID)], open[string(m.ID)] = m.Method, m.Method
				}
			}
		default:
			fromServer.Write(r.Bytes)
			for body := range frames(&fromServer, &out) {
				err := model.FromServer(body, func(id string) string { return asked[id] })
				if err != nil {
					out.Problems = append(out.Problems, fmt.Sprintf("%v\n%.600s", err, body))
				}
				out.note(envelope(body), asked)
				delete(open, string(envelope(body).ID))
			}
		}
	}
	for id, method := range open {
		out.Problems = append(out.Problems, fmt.Sprintf("%s (%s) was never answered", method, id))
	}
	if left := toServer.Len() + fromServer.Len(); left > 0 {
		out.Problems = append(out.Problems, fmt.Sprintf("%d bytes are part of no message", left))
	}
	return out
}

type message struct {
	ID     json.RawMessage `json:"id"`
	Method string          `json:"method"`
	Params struct {
		Type    int    `json:"type"`
		Message string `json:"message"`
	} `json:"params"`
	Error *struct {
		Code    int    `json:"code"`
		Message string `json:"message"`
	} `json:"error"`
}

func envelope(body []byte) (m message) {
	_ = json.Unmarshal(body, &m) // params of other shapes are not looked at
	return m
}

// note counts a message of the server, and tells of the faults that it speaks of itself.
func (k *talk) note(m message, asked map[string]string) {
	if m.Method == "" {
		m.Method = asked[string(m.ID)]
	}
	k.Sent[m.Method]++
	const internalError, errorType = -32603, 1
	if m.Error != nil && m.Error.Code == internalError || m.Method == "window/logMessage" && m.Params.Type == errorType {
		k.Problems = append(k.Problems, fmt.Sprintf("a fault of the server: %+v", m))
	}
}

// frames takes the whole messages out of what was read so far.
func frames(b *bytes.Buffer, k *talk) func(yield func([]byte) bool) {
	return func(yield func([]byte) bool) {
		for {
			head, rest, ok := bytes.Cut(b.Bytes(), []byte("\r\n\r\n"))
			if !ok {
				return
			}
			h, err := textproto.NewReader(bufio.NewReader(io.MultiReader(bytes.NewReader(head), bytes.NewReader([]byte("\r\n\r\n"))))).ReadMIMEHeader()
			n, convErr := strconv.Atoi(h.Get("Content-Length"))
			if err := errors.Join(err, convErr); err != nil {
				k.Problems = append(k.Problems, err.Error())
				b.Reset()
				return
			}
			if len(rest) < n {
				return
			}
			body := bytes.Clone(rest[:n])
			b.Next(len(head) + len("\r\n\r\n") + n)
			if !yield(body) {
				return
			}
		}
	}
}

// TestTrace shows that what is wrong in a trace is seen.
func TestTrace(t *testing.T) {
	frame := func(s string) []byte { return fmt.Appendf(nil, "Content-Length: %d\r\n\r\n%s", len(s), s) }
	ask, answer := frame(`{"jsonrpc":"2.0","id":1,"method":"textDocument/hover","params":{}}`), frame(`{"jsonrpc":"2.0","id":1,"result":null}`)
	for what, c := range map[string]struct {
		records []record
		want    string
	}{
		"fine, in pieces": {[]record{{ToServer: true, Bytes: ask[:9]}, {ToServer: true, Bytes: ask[9:]}, {Bytes: answer[:30]}, {Bytes: answer[30:]}}, ""},
		"no answer":       {[]record{{ToServer: true, Bytes: ask}}, "never answered"},
		"unasked":         {[]record{{Bytes: answer}}, "nobody asked"},
		"half a message":  {[]record{{Bytes: answer[:30]}}, "part of no message"},
		"no length":       {[]record{{Bytes: []byte("Length: 3\r\n\r\n{}")}}, "invalid syntax"},
		"of no protocol":  {[]record{{ToServer: true, Bytes: ask}, {Bytes: frame(`{"jsonrpc":"2.0","id":1,"result":{"contents":7}}`)}}, "none of"},
		"a panic":         {[]record{{Bytes: frame(`{"jsonrpc":"2.0","method":"window/logMessage","params":{"type":1,"message":"x"}}`)}}, "a fault of the server"},
	} {
		t.Run(what, func(t *testing.T) {
			var b bytes.Buffer
			for _, r := range c.records {
				require.NoError(t, json.NewEncoder(&b).Encode(r))
			}
			file := t.TempDir() + "/trace"
			require.NoError(t, os.WriteFile(file, b.Bytes(), 0o600))
			problems := fmt.Sprint(read(t, file).Problems)
			if c.want == "" {
				assert.Equal(t, "[]", problems)
			} else {
				assert.Contains(t, problems, c.want)
			}
		})
	}
}

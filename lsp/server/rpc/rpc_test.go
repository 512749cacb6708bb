package rpc

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// TestIDs: the number 1 and the text "1" are two ids; an id comes back to the letter.
func TestIDs(t *testing.T) {
	for raw, key := range map[string]string{
		`1`: `1`, `"1"`: `"1"`, `1.0`: `1`, `-3`: `-3`, `"a\"b"`: `"a\"b"`, `"ä"`: `"ä"`, `"\u00e4"`: `"ä"`, `"a\/b"`: `"a/b"`, `100`: `100`, `-0`: `0`,
		`9007199254740993`: `9007199254740993`, `12345678901234567890123`: `12345678901234567890123`, `1.5`: `1.5`, `1e400`: `1e400`, `""`: `""`,
	} {
		id, ok := ParseID(json.RawMessage(raw))
		require.True(t, ok, raw)
		assert.Equal(t, raw, string(id.json()))
		assert.Equal(t, key, id.Key())
	}
	for _, raw := range []string{``, `{}`, `[1]`, `true`, `"`, `null`, `-`, `1x`} {
		_, ok := ParseID(json.RawMessage(raw))
		assert.False(t, ok, raw)
	}
}

// TestSlowReader: what is sent to a client that does not read waits, without stopping
// the one who sends; of notifications with one key the newest is left.
func TestSlowReader(t *testing.T) {
	in, feed := io.Pipe()
	out, write := io.Pipe()
	c := NewConn(in, write, 0)
	for i := range 1000 {
		c.Notify("k", "m", json.RawMessage(fmt.Sprintf(`{"n":%d}`, i)))
	}
	c.Notify("other", "m", json.RawMessage(`{"n":-1}`))
	closed := make(chan struct{})
	go func() {
		c.Close(context.Background())
		write.Close()
		close(closed)
	}()
	all, err := io.ReadAll(out)
	require.NoError(t, err)
	<-closed
	feed.Close()
	messages := strings.Count(string(all), "Content-Length")
	assert.LessOrEqual(t, messages, 3, "the one that was being written, the newest, the other")
	assert.Contains(t, string(all), `{"n":999}`)
	assert.Contains(t, string(all), `{"n":-1}`)
}

// TestCall: answers find those who asked, in any order; those left are reported at the end.
func TestCall(t *testing.T) {
	in, feed := io.Pipe()
	var out bytes.Buffer
	c := NewConn(in, &out, 0)
	type result struct {
		raw json.RawMessage
		err error
	}
	results := make([]chan result, 3)
	for i := range results {
		results[i] = make(chan result, 1)
		started := make(chan struct{})
		go func() {
			close(started)
			raw, err := c.Call(t.Context(), "m", nil)
			results[i] <- result{raw, err}
		}()
		<-started
		for { // until it is registered: ids follow the order
			c.mu.Lock()
			n := len(c.pending)
			c.mu.Unlock()
			if n == i+1 {
				break
			}
		}
	}
	go func() {
		for _, body := range []string{
			`{"jsonrpc":"2.0","id":2,"error":{"code":-1,"message":"no"}}`,
			`{"jsonrpc":"2.0","id":77,"result":1}`,
			`{"jsonrpc":"2.0","id":1,"result":[1]}`,
		} {
			fmt.Fprintf(feed, "Content-Length: %d\r\n\r\n%s", len(body), body)
		}
		feed.Close()
	}()
	_, err := c.Next()
	require.ErrorIs(t, err, io.EOF)
	one, two := <-results[0], <-results[1]
	require.NoError(t, one.err)
	assert.JSONEq(t, `[1]`, string(one.raw))
	var refused *Error
	require.ErrorAs(t, two.err, &refused)
	assert.Equal(t, -1, refused.Code)
	c.Close(t.Context())
	three := <-results[2]
	require.ErrorIs(t, three.err, io.ErrClosedPipe)
}

// FuzzFrames feeds anything: reading ends with an error, never with a panic, and what
// was well framed is read as it was written.
func FuzzFrames(f *testing.F) {
	f.Add([]byte("Content-Length: 2\r\n\r\n{}"))
	f.Add([]byte("content-length:2\n\n[]Content-Length: 3\r\n\r\n1 2"))
	f.Add([]byte("Content-Length: 99999999999\r\n\r\nx"))
	f.Add([]byte("\r\n\r\n"))
	f.Add([]byte("Content-Length: 45\r\n\r\n{\"jsonrpc\":\"2.0\",\"id\":\"x\",\"method\":\"shutdown\"}"))
	f.Fuzz(func(t *testing.T, stream []byte) {
		fr := newFrames(bytes.NewReader(stream))
		for {
			body, _, err := fr.next()
			if large, ok := errors.AsType[TooLarge](err); ok && large.Bytes > MaxBody {
				continue
			}
			if err != nil {
				break
			}
			m, _, bad := parse(body)
			if (m == nil) == (bad == nil) {
				t.Fatalf("%q is both a message and none", body)
			}
		}
	})
}

package rpc

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestCut: of a message that is too long the texts are cut, between two characters; it is reported
// that it was so, and what comes behind it is read as it is.
func TestCut(t *testing.T) {
	for _, piece := range []string{"x", "é", "🔧", `\n`, `\"`, `\\`, "\\u0041", "\\ud83d\\udd27", `ab\\\"`} {
		long := strings.Repeat(piece, 1+MaxBody/len(piece))
		body := `{"jsonrpc":"2.0","method":"m","params":{"before":"\"a\u0062","text":"` + long + `","after":[1,"` + long[:3*len(piece)] + `"]}}`
		next := `{"jsonrpc":"2.0","method":"n"}`
		f := newFrames(strings.NewReader(fmt.Sprintf("Content-Length: %d\r\n\r\n%sContent-Length: %d\r\n\r\n%s", len(body), body, len(next), next)))
		cut, length, err := f.next()
		require.NoError(t, err)
		assert.Equal(t, int64(len(body)), length)
		assert.Less(t, len(cut), MaxText+200, piece)
		require.True(t, utf8.Valid(cut), piece)
		m, _, bad := parse(cut)
		require.Nil(t, bad, piece)
		var was, is struct {
			Before, Text string
			After        []any
		}
		require.NoError(t, json.Unmarshal(m.Params, &is))
		m, _, bad = parse([]byte(body))
		require.Nil(t, bad)
		require.NoError(t, json.Unmarshal(m.Params, &was))
		assert.Equal(t, was.Before, is.Before)
		assert.Equal(t, was.After, is.After)
		if piece == "\\ud83d\\udd27" { // two codes for one character may be parted; it is cut all the same
			is.Text = strings.TrimSuffix(is.Text, "\ufffd")
		}
		assert.True(t, strings.HasPrefix(was.Text, is.Text) && len(is.Text) > MaxText/10, piece)
		again, _, err := f.next()
		require.NoError(t, err)
		assert.Equal(t, next, string(again))
	}
}

// What has no long texts is written on as it is.
func TestCutterKeeps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.MapOf(rapid.String(), rapid.SliceOf(rapid.String())).Draw(t, "value")
		doc, err := json.Marshal(v)
		require.NoError(t, err)
		var out bytes.Buffer
		c := &cutter{out: &out}
		_, err = c.Write(doc)
		require.NoError(t, err)
		assert.Equal(t, string(doc), out.String())
	})
}

//go:build unix

package convert_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"pintle/lsp/convert"
)

// TestBytesInAddresses: names that are no UTF-8 go there and back, and so do those of files whose
// names look like codes. RFC 3986, section 2.1: a code stands for a byte, in either case.
// On Windows names are UTF-16.
func TestBytesInAddresses(t *testing.T) {
	for address, name := range map[string]string{
		"file:///a/caf%E9.pintle":                         "/a/caf\xe9.pintle",
		"file:///a/caf%25E9.pintle":                       "/a/caf%E9.pintle",
		"file:///a/caf%C3%A9.pintle":                      "/a/café.pintle",
		"file:///a/%FF%FE%C3/%C3%A9%80%20.pintle":         "/a/\xff\xfe\xc3/é\x80 .pintle",
		"file:///a/%F4%8F%BF%BF%F4%8F%BE%80.pintle":       "/a/\U0010FFFF\U0010FF80.pintle",
		"file:///a/%F4%8F%BF%E9.pintle":                   "/a/\xf4\x8f\xbf\xe9.pintle",
		"file:///a/%F4%8F%BD%BF%F0%9F%94%A7%E9%A9.pintle": "/a/\U0010FF7F🔧\xe9\xa9.pintle",
	} {
		message := `{"uri":"` + address + `","text":"` + address + `"}`
		var p struct {
			URI  uri.URI `json:"uri"`
			Text string  `json:"text"`
		}
		require.NoError(t, protocol.Unmarshal(convert.FromWire([]byte(message)), &p))
		assert.Equal(t, name, convert.Name(p.URI), address)
		assert.Equal(t, address, p.Text)
		p.URI = convert.URI(name)
		out, err := protocol.Marshal(p)
		require.NoError(t, err)
		assert.Contains(t, string(convert.ToWire(out)), `"uri":"`+address+`"`)
	}
	lower := convert.FromWire([]byte(`"file:///a/caf%e9.pintle"`))
	assert.Equal(t, `"file:///a/caf%E9.pintle"`, string(convert.ToWire(lower)))
	plain := []byte(`{"text" :"file:///%E9","x":"file: %E9","uri":"file:///a b/%C3%A9"}`)
	assert.Equal(t, string(plain), string(convert.FromWire(plain)))
}

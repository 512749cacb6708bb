package convert_test

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"go.lsp.dev/uri"

	"pintle/lsp/convert"
)

// TestAddresses: the names of files by their addresses, RFC 8089 with the drives and servers
// of Windows (appendix E), in the spellings that editors use.
func TestAddresses(t *testing.T) {
	type pair struct {
		uri  string
		name string
		back string // "": as it was
	}
	all := []pair{
		{"file:///home/a/x.pintle", "/home/a/x.pintle", ""},
		{"file:///home/Gr%C3%BC%C3%9Fe/a%20b.pintle", "/home/Grüße/a b.pintle", ""},
		{"file:///home/./a/../x.pintle", "/home/x.pintle", "file:///home/x.pintle"},
		{"untitled:Untitled-1", "untitled:Untitled-1", ""},
		{"git:/home/a.pintle?%7B%22ref%22%3A%22%22%7D", "git:/home/a.pintle?%7B%22ref%22%3A%22%22%7D", ""},
	}
	if runtime.GOOS == "windows" {
		all = []pair{
			{"file:///c%3A/designs/x.pintle", "c:/designs/x.pintle", ""},
			{"file:///C%3A/designs/x.pintle", "c:/designs/x.pintle", "file:///c%3A/designs/x.pintle"},
			{"file:///C:/designs/a%20b.pintle", "c:/designs/a b.pintle", "file:///c%3A/designs/a%20b.pintle"},
			{"file:///z%3A/Gr%C3%BC%C3%9Fe/x.pintle", "z:/Grüße/x.pintle", ""},
			{"file://server/share/x.pintle", "//server/share/x.pintle", ""},
			{"untitled:Untitled-1", "untitled:Untitled-1", ""},
		}
	}
	for _, p := range all {
		name := convert.Name(uri.URI(p.uri))
		assert.Equal(t, p.name, name, p.uri)
		if p.back == "" {
			p.back = p.uri
		}
		assert.Equal(t, p.back, string(convert.URI(name)))
	}
}

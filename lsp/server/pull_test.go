package server_test

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lsp/fake"
)

type report struct {
	Kind     string            `json:"kind"`
	ResultID string            `json:"resultId"`
	Items    []fake.Diagnostic `json:"items"`
	Related  map[string]report `json:"relatedDocuments"`
	URI      string            `json:"uri"`
}

const pulls = `{"textDocument":{"diagnostic":{"relatedDocumentSupport":true}}}`

func pull(c *fake.Client, uri, previous string) report {
	params := map[string]any{"textDocument": map[string]any{"uri": uri}}
	if previous != "" {
		params["previousResultId"] = previous
	}
	var r report
	c.Request("textDocument/diagnostic", params, &r)
	return r
}

// TestPull: a client that pulls is not pushed to; results that did not change are not
// sent again.
func TestPull(t *testing.T) {
	dir := t.TempDir()
	broken := strings.Replace(fuseParts, "rating\n", "ratting\n", 1)
	write(t, dir, map[string]string{"parts.pintle": broken, "car.pintle": usesLibrary})
	c := fake.Start(t, fake.Options{Folders: []string{dir}, Capabilities: pulls})
	assert.Contains(t, string(c.Capabilities), "diagnosticProvider")
	car := fake.URI(filepath.Join(dir, "car.pintle"))
	parts := fake.URI(filepath.Join(dir, "parts.pintle"))
	c.Open(car, usesLibrary+gap)
	first := pull(c, car, "")
	assert.Equal(t, "full", first.Kind)
	assert.Contains(t, codes(first.Items), "band-gap")
	assert.NotEmpty(t, first.Related[parts].Items)
	assert.Equal(t, "unchanged", pull(c, car, first.ResultID).Kind)
	c.Edit(car, 2, fake.Change{Text: usesLibrary})
	second := pull(c, car, first.ResultID)
	assert.Equal(t, "full", second.Kind)
	assert.NotContains(t, codes(second.Items), "band-gap")
	c.Edit(car, 3, fake.Change{Text: usesLibrary + gap})
	assert.Equal(t, first.ResultID, pull(c, car, second.ResultID).ResultID, "the same is called the same")
	assert.Equal(t, "full", pull(c, "file:///nowhere.pintle", "").Kind)
	c.Settle()
	assert.Empty(t, c.AllPublished())
}

func TestPullWorkspace(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, map[string]string{"a.pintle": gap, "b.pintle": gap, "c.pintle": ""})
	c := fake.Start(t, fake.Options{Folders: []string{dir}, Capabilities: pulls})
	a, b := fake.URI(filepath.Join(dir, "a.pintle")), fake.URI(filepath.Join(dir, "b.pintle"))
	ask := func(previous ...any) map[string]report {
		var r struct {
			Items []report `json:"items"`
		}
		c.Request("workspace/diagnostic", map[string]any{"previousResultIds": append([]any{}, previous...), "workDoneToken": 1}, &r)
		out := map[string]report{}
		for _, i := range r.Items {
			out[i.URI] = i
		}
		return out
	}
	first := ask()
	assert.NotEmpty(t, first[a].Items)
	assert.NotEmpty(t, first[b].Items)
	id := func(uri string) any { return map[string]any{"uri": uri, "value": first[uri].ResultID} }
	second := ask(id(a), id(b))
	assert.Equal(t, "unchanged", second[a].Kind)
	c.Open(a, "")
	third := ask(id(a), id(b))
	assert.Equal(t, "full", third[a].Kind)
	assert.Empty(t, third[a].Items)
	assert.Equal(t, "unchanged", third[b].Kind)
}

// TestPullRefresh: a client that can be told to pull again is answered at once, and told
// when the full verdict says something else.
func TestPullRefresh(t *testing.T) {
	c := fake.Start(t, fake.Options{Remember: true, Capabilities: `{"textDocument":{"diagnostic":{}},"workspace":{"diagnostics":{"refreshSupport":true}}}`})
	const uri = "file:///r.pintle"
	c.Open(uri, usesNothing)
	for {
		r := pull(c, uri, "")
		if strings.Contains(strings.Join(codes(r.Items), " "), "supply-to-ground-short") {
			break
		}
		n := len(c.Messages("workspace/diagnostic/refresh"))
		require.NoError(t, c.Until(t.Context(), func() bool { return len(c.Messages("workspace/diagnostic/refresh")) > n || n > 0 }))
	}
}

// usesNothing is a design whose mistake only the circuit shows.
const usesNothing = `ground block
supply battery: 12.6 V, from block to stud, inside 8 mohm
wire W1: battery.stud to block, red, 4 mm2, 1 m
`

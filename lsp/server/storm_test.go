package server_test

import (
	"context"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lsp/fake"
	"pintle/lsp/server"
)

// textOf adds a request that tells the server's text of a document.
func textOf() server.Feature {
	return server.OnWorkspace("test/textOf", nil, func(_ context.Context, r *server.Request, p *struct {
		Name string `json:"name"`
	}) (string, error) {
		return r.Snapshot.Document(p.Name).Src.Text, nil
	})
}

// TestHundredDocuments opens many documents, edits each, and closes them again.
func TestHundredDocuments(t *testing.T) {
	c := fake.Start(t, fake.Options{})
	uri := func(i int) string { return fmt.Sprintf("file:///many/d%03d.pintle", i) }
	const n = 100
	for i := range n {
		c.Open(uri(i), "")
	}
	for i := range n {
		c.Edit(uri(i), 2, fake.Change{Text: gap})
	}
	c.Settle()
	for i := range n {
		p, _ := c.Published(uri(i))
		require.Contains(t, codes(p.Diagnostics), "band-gap", uri(i))
		require.Equal(t, int32(2), *p.Version)
	}
	for i := range n {
		c.Close(uri(i))
	}
	c.Settle()
	for u, p := range c.AllPublished() {
		require.Empty(t, p.Diagnostics, u)
	}
}

// TestStorm sends 10,000 edits as fast as they go, with requests and cancellations in
// between. What comes out is what follows from the last text, and nothing stays behind.
func TestStorm(t *testing.T) {
	c := fake.Start(t, fake.Options{Server: server.Options{Extra: []server.Feature{textOf()}}})
	const uri, edits = "file:///storm.pintle", 10_000
	c.Open(uri, gap)
	c.Settle()
	before := heap()
	var pending []*fake.Pending
	for i := range edits {
		// One character comes and goes: "2000" is "20000" for every other text, which is outside.
		r := fake.Range{Start: fake.Position{Line: 2, Character: 23}, End: fake.Position{Line: 2, Character: 23}}
		text := "0"
		if i%2 == 1 {
			r.End.Character++
			text = ""
		}
		c.Edit(uri, i+2, fake.Change{Range: &r, Text: text})
		if i%50 == 0 {
			p := c.Go("textDocument/diagnostic", map[string]any{"textDocument": map[string]any{"uri": uri}})
			if i%100 == 0 {
				c.Notify("$/cancelRequest", map[string]any{"id": p.ID})
			}
			pending = append(pending, p)
		}
	}
	for _, p := range pending {
		var r *fake.ResponseError
		if err := p.Wait(nil); err != nil {
			require.ErrorAs(t, err, &r)
		}
	}
	pending = nil
	assert.Equal(t, []string{"band-gap"}, codes(c.Diagnostics(uri)))
	p, _ := c.Published(uri)
	assert.Equal(t, int32(edits+1), *p.Version)
	var text string
	c.Request("test/textOf", map[string]any{"name": "/storm.pintle"}, &text)
	assert.Equal(t, gap, text)
	// Each text is 150 bytes: were all of them kept with their trees it would be tens of
	// megabytes.
	assert.Less(t, int64(heap())-int64(before), int64(8<<20), "memory is left behind")
}

func heap() uint64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// TestCancelEverywhere cancels checks at ever later moments, by edits and by closing:
// whatever they were in the middle of, the next text gets what it deserves.
func TestCancelEverywhere(t *testing.T) {
	c := fake.Start(t, fake.Options{})
	const uri = "file:///cancel.pintle"
	good := usesLibraryHere + strings.Repeat("# a line\n", 10)
	c.Open(uri, good)
	want := codes(c.Diagnostics(uri))
	version := 1
	for wait := range 40 {
		version++
		c.Edit(uri, version, fake.Change{Text: good + gap})
		// The longer the wait the further the check: each round of messages is a moment.
		for range wait {
			_ = c.Try("test/nothing", map[string]any{}, nil) // answered that there is no such method
		}
		version++
		c.Edit(uri, version, fake.Change{Text: good})
		if wait%8 == 7 {
			assert.Equal(t, want, codes(c.Diagnostics(uri)))
		}
	}
	assert.Equal(t, want, codes(c.Diagnostics(uri)))
	assert.Equal(t, server.ExitDone, c.Shutdown())
}

// usesLibraryHere is a small design with all engines at work.
const usesLibraryHere = `quantity revs: 0 to 7000 rpm
setting key: off, run
ground block
supply battery: 12.6 V, from block to stud, inside 8 mohm
fit S1: {
    pin 1, 2
    contact main: 1 to 2, make, made when key is run, up to 10 A
}
fit L1: {
    pin 1, 2
    load filament: 1 to 2, 21 W at 12 V, lit from 60 %
}
fit F1: {
    pin 1, 2
    fuse element: 1 to 2, 5 A
}
wire W0: battery.stud to F1.1, red, 1 mm2, 0.2 m
wire W1: F1.2 to S1.1, red, 1 mm2, 1 m
wire W2: S1.2 to L1.1, red, 1 mm2, 1 m
wire W3: L1.2 to block, brown, 1 mm2, 1 m
require works: L1.filament is lit whenever key is run
`

package server_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"pintle/lsp/fake"
	"pintle/lsp/server"
)

// columns counts as an encoding does, in a way of its own: the tests must not believe
// the package that they test.
func columns(encoding, s string) uint32 {
	switch encoding {
	case "utf-8":
		return uint32(len(s))
	case "utf-32":
		return uint32(utf8.RuneCountInString(s))
	}
	return uint32(len(utf16.Encode([]rune(s))))
}

// position of a byte offset at the beginning of a character.
func position(encoding, text string, off int) fake.Position {
	var p fake.Position
	line := 0
	for i := 0; i < off; i++ {
		if text[i] == '\n' || text[i] == '\r' && (i+1 == len(text) || text[i+1] != '\n') {
			p.Line++
			line = i + 1
		}
	}
	p.Character = columns(encoding, text[line:off])
	return p
}

// pieces are what edits put in: text of the language, half of it, and characters that
// are long in one encoding or another, or join with what is before them.
var pieces = []string{
	"", "\n", "}", "{", "# ", "\"", "0", " ", ",", ":", "x", "°C", "µs", "mm²", "Ω", "é", "e\u0301", "😀", "👩\u200d🔧", "𝄞",
	"setting knob: off, on\n", "wire W9: a to b\n", "part P {\n    pin 1\n}\n", "band b: 0 to 5 rpm\n",
	"quantity t😀: 0 to 90 °C\n", "## doc ä\n", "\r\n", "\u2028", "require never",
}

// edit draws one change and returns it with the text that it makes.
func edit(t *rapid.T, encoding, text string) (fake.Change, string) {
	boundary := func(label string, least int) int {
		at := least + rapid.IntRange(0, len(text)-least).Draw(t, label)
		for at < len(text) && !utf8.RuneStart(text[at]) {
			at++
		}
		if at > 0 && at < len(text) && text[at] == '\n' && text[at-1] == '\r' {
			at++ // there is no position between the two
		}
		return at
	}
	piece := rapid.SampledFrom(pieces).Draw(t, "piece")
	if rapid.IntRange(0, 19).Draw(t, "whole") == 0 {
		return fake.Change{Text: piece}, piece
	}
	start := boundary("start", 0)
	end := start
	if rapid.Bool().Draw(t, "deletes") {
		end = min(boundary("end", start), start+60)
		for end < len(text) && !utf8.RuneStart(text[end]) {
			end++
		}
		if end > start && end < len(text) && text[end] == '\n' && text[end-1] == '\r' {
			end++
		}
	}
	r := fake.Range{Start: position(encoding, text, start), End: position(encoding, text, end)}
	return fake.Change{Range: &r, Text: piece}, text[:start] + piece + text[end:]
}

// TestIncrementalIsFromScratch makes random edits, in each encoding, and compares text
// and diagnostics after each of them with those of a server that sees the text for the
// first time.
func TestIncrementalIsFromScratch(t *testing.T) {
	var starts []string
	for _, dir := range []string{"../../examples", "../../examples/faulty"} {
		files, err := filepath.Glob(filepath.Join(dir, "*.pintle"))
		require.NoError(t, err)
		for _, f := range files {
			text, err := os.ReadFile(f)
			require.NoError(t, err)
			if len(text) < 2500 { // the full verdict is asked for twice an edit
				starts = append(starts, string(text))
			}
		}
	}
	starts = append(starts, "", gap, usesLibraryHere, "# 😀\n"+gap, strings.ReplaceAll(gap, "\n", "\r\n"))
	require.Greater(t, len(starts), 10)
	for _, encoding := range []string{"utf-8", "utf-16", "utf-32"} {
		t.Run(encoding, func(t *testing.T) {
			options := fake.Options{Capabilities: fake.Full(encoding), Server: server.Options{Extra: []server.Feature{textOf()}}}
			edited, fresh := fake.Start(t, options), fake.Start(t, options)
			document := 0
			rapid.Check(t, func(t *rapid.T) {
				document++
				uri := fmt.Sprintf("file:///i/d%d.pintle", document)
				text := rapid.SampledFrom(starts).Draw(t, "text")
				edited.Open(uri, text)
				for version := 2; version < 2+rapid.IntRange(1, 6).Draw(t, "edits"); version++ {
					var changes []fake.Change
					for range rapid.IntRange(1, 3).Draw(t, "changes") {
						var c fake.Change
						c, text = edit(t, encoding, text)
						changes = append(changes, c)
					}
					edited.Edit(uri, version, changes...)
					var got string
					edited.Request("test/textOf", map[string]any{"name": fmt.Sprintf("/i/d%d.pintle", document)}, &got)
					if got != text {
						t.Fatalf("text:\n%q\nwant:\n%q", got, text)
					}
					fresh.Open(uri, text)
					was, is := fresh.Diagnostics(uri), edited.Diagnostics(uri)
					fresh.Close(uri)
					for _, p := range append(edited.Problems(), fresh.Problems()...) {
						t.Fatalf("%s\nof:\n%s", p, text)
					}
					if fmt.Sprint(was) != fmt.Sprint(is) {
						t.Fatalf("after edits:\n%v\nfrom scratch:\n%v\nof:\n%s", is, was, text)
					}
				}
				edited.Close(uri)
			})
		})
	}
}

// FuzzEdits feeds a stream of edits to a server, read from bytes: pairs of places, in or
// out of the text, and a piece. The server must keep its text the way that the editor
// has it, and find the same as from scratch.
func FuzzEdits(f *testing.F) {
	f.Add(gap, []byte{0, 0, 1, 10, 200, 7, 3, 3, 20})
	f.Add(usesLibraryHere, []byte{250, 255, 16, 1, 90, 3, 40, 40, 17})
	f.Add("# 😀é\r\n"+gap, []byte{2, 3, 18, 3, 4, 15, 0, 255, 0})
	options := fake.Options{Server: server.Options{Extra: []server.Feature{textOf()}}}
	// To start a server costs more than all that one input asks of it: two serve all.
	all := &throughout{TB: f}
	edited, fresh := fake.Start(all, options), fake.Start(all, options)
	f.Fuzz(func(t *testing.T, text string, stream []byte) {
		if !utf8.ValidString(text) || len(text) > 1000 || len(stream) > 30 {
			return
		}
		all.now = t
		const uri = "file:///f/d.pintle"
		edited.Open(uri, text)
		for version := 2; len(stream) >= 3; stream, version = stream[3:], version+1 {
			a, b := int(stream[0])*len(text)/200, int(stream[1])*len(text)/200
			start, end := snap(text, min(a, b)), snap(text, max(a, b))
			piece := pieces[int(stream[2])%len(pieces)]
			r := fake.Range{Start: position("utf-16", text, start), End: position("utf-16", text, end)}
			if max(a, b) > len(text) {
				r.End.Line, r.End.Character = 1<<30, 1<<30 // far behind the end
			}
			edited.Edit(uri, version, fake.Change{Range: &r, Text: piece})
			text = text[:start] + piece + text[end:]
		}
		var got string
		edited.Request("test/textOf", map[string]any{"name": "/f/d.pintle"}, &got)
		require.Equal(t, text, got)
		fresh.Open(uri, text)
		require.Equal(t, fresh.Diagnostics(uri), edited.Diagnostics(uri))
		edited.Close(uri)
		fresh.Close(uri)
		require.Empty(t, append(edited.Problems(), fresh.Problems()...), text)
	})
}

// throughout is the test of a client that lives through many inputs of a fuzz target, where
// the target's own testing.F may not be asked: the input of the moment fails.
type throughout struct {
	testing.TB
	now *testing.T
}

func (a *throughout) Helper() {}

func (a *throughout) Fatalf(format string, args ...any) {
	if a.now != nil {
		a.now.Fatalf(format, args...)
	}
	a.TB.Fatalf(format, args...)
}

// snap moves an offset to the next place that an editor can name.
func snap(text string, at int) int {
	at = min(at, len(text))
	for at < len(text) && !utf8.RuneStart(text[at]) {
		at++
	}
	if at > 0 && at < len(text) && text[at] == '\n' && text[at-1] == '\r' {
		at++
	}
	return at
}

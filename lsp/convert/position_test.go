package convert

import (
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"
	"pgregory.net/rapid"

	"pintle/lang/diag"
	"pintle/lang/source"
)

var encodings = []Encoding{UTF8, UTF16, UTF32}

func at(line, character uint32) protocol.Position {
	return protocol.Position{Line: line, Character: character}
}

func TestNegotiate(t *testing.T) {
	for _, c := range []struct {
		offered []string
		want    Encoding
	}{
		{nil, UTF16},
		{[]string{"utf-7"}, UTF16},
		{[]string{"utf-16"}, UTF16},
		{[]string{"utf-32", "utf-16"}, UTF32},
		{[]string{"utf-16", "utf-32", "utf-8"}, UTF8},
	} {
		assert.Equal(t, c.want, Negotiate(c.offered), "%v", c.offered)
	}
}

// TestColumns: 😀 is four bytes, two UTF-16 units and one code point; é with a combining
// accent is two code points.
func TestColumns(t *testing.T) {
	f := source.NewFile("x", "a😀b\ne\u0301 °C\r\nlast\rmac")
	for _, c := range []struct {
		what string
		off  int
		want map[Encoding]protocol.Position
	}{
		{"before the emoji", 1, map[Encoding]protocol.Position{UTF8: at(0, 1), UTF16: at(0, 1), UTF32: at(0, 1)}},
		{"behind it", 5, map[Encoding]protocol.Position{UTF8: at(0, 5), UTF16: at(0, 3), UTF32: at(0, 2)}},
		{"behind the accent", 10, map[Encoding]protocol.Position{UTF8: at(1, 3), UTF16: at(1, 2), UTF32: at(1, 2)}},
		{"before C", 13, map[Encoding]protocol.Position{UTF8: at(1, 6), UTF16: at(1, 4), UTF32: at(1, 4)}},
		{"the line behind \\r\\n", 16, map[Encoding]protocol.Position{UTF8: at(2, 0), UTF16: at(2, 0), UTF32: at(2, 0)}},
		{"the line behind \\r", 21, map[Encoding]protocol.Position{UTF8: at(3, 0), UTF16: at(3, 0), UTF32: at(3, 0)}},
	} {
		for e, want := range c.want {
			assert.Equal(t, want, e.Text(f).Position(c.off), "%s in %s", c.what, e)
			assert.Equal(t, c.off, e.Text(f).Offset(want), "%s in %s", c.what, e)
		}
	}
}

// TestLenient: positions outside of the text, or inside of a character, are moved.
func TestLenient(t *testing.T) {
	f := source.NewFile("x", "ab😀\ncd\r\n")
	text := UTF16.Text(f)
	for what, c := range map[string]struct {
		p    protocol.Position
		want int
	}{
		"behind the end of a line":       {at(0, 99), 6},
		"behind the end of one with \\r": {at(1, 99), 9},
		"behind the last line":           {at(99, 0), 11},
		"far behind":                     {at(1<<32-1, 1<<32-1), 11},
		"inside of the emoji":            {at(0, 3), 2},
	} {
		assert.Equal(t, c.want, text.Offset(c.p), what)
	}
	assert.Equal(t, source.Span{Start: 7, End: 7}, text.Span(protocol.Range{Start: at(1, 0), End: at(0, 0)}), "the wrong way round")
	assert.Equal(t, at(1, 2), text.Position(10), "inside of a line ending")
	assert.Equal(t, at(2, 0), text.Position(99))
	assert.Equal(t, at(0, 0), text.Position(-1))
}

// TestThereAndBack: an offset at the beginning of a character comes back from its
// position, and positions count what they say they count.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("ab°é\u0301😀𝄞\u200d\n\r\u2028"))).Draw(t, "text")
		f := source.NewFile("x", text)
		off := rapid.IntRange(0, len(text)).Draw(t, "offset")
		for off < len(text) && !utf8.RuneStart(text[off]) {
			off++
		}
		if off > 0 && off < len(text) && text[off-1] == '\r' && text[off] == '\n' {
			off++
		}
		for _, e := range encodings {
			p := e.Text(f).Position(off)
			require.Equal(t, off, e.Text(f).Offset(p), "%s %v", e, p)
			line := text[e.Text(f).Offset(at(p.Line, 0)):off]
			want := len(line)
			switch e {
			case UTF16:
				want = len(utf16.Encode([]rune(line)))
			case UTF32:
				want = utf8.RuneCountInString(line)
			}
			require.Equal(t, uint32(want), p.Character, "%s", e)
		}
	})
}

// unitsOf counts the columns of a text in a way of its own.
func unitsOf(e Encoding, s string) uint32 {
	switch e {
	case UTF8:
		return uint32(len(s))
	case UTF16:
		return uint32(len(utf16.Encode([]rune(s))))
	}
	return uint32(utf8.RuneCountInString(s))
}

// FuzzPositions: in any text, positions and offsets fit together as LSP 3.17 says of
// positions and line ends; a position that is drawn, in the text or not, means a place
// between two characters; and edits come to what cutting the text by hand comes to.
func FuzzPositions(f *testing.F) {
	f.Add("a😀b\ne\u0301 °C\r\nlast\rmac", "x", uint32(0), uint32(2), uint32(3), uint32(1))
	f.Add("\r\r\n\n", "\r", uint32(1), uint32(0), uint32(2), uint32(9))
	f.Add("\xff\xf0\x9f\x98", "😀", uint32(0), uint32(1), uint32(1<<31), uint32(1<<32-1))
	f.Add("", "", uint32(0), uint32(0), uint32(0), uint32(0))
	f.Fuzz(func(t *testing.T, text, put string, line, col, line2, col2 uint32) {
		if len(text) > 300 || len(put) > 100 {
			return
		}
		file := source.NewFile("x", text)
		for _, e := range encodings {
			conv := e.Text(file)
			row, begin := uint32(0), 0
			for off := 0; off <= len(text); {
				inEnd := off > 0 && off < len(text) && text[off-1] == '\r' && text[off] == '\n'
				if off > 0 && !inEnd && (text[off-1] == '\n' || text[off-1] == '\r') {
					row, begin = row+1, off
				}
				p := conv.Position(off)
				if inEnd {
					require.Equal(t, at(row, unitsOf(e, text[begin:off-1])), p, "%s at %d", e, off)
				} else {
					require.Equal(t, at(row, unitsOf(e, text[begin:off])), p, "%s at %d", e, off)
					require.Equal(t, off, conv.Offset(p), "%s %v", e, p)
				}
				_, n := utf8.DecodeRuneInString(text[off:])
				off += max(n, 1)
			}
			from, to := at(line, col), at(line2, col2)
			span := conv.Span(protocol.Range{Start: from, End: to})
			for _, off := range []int{span.Start, span.End} {
				require.True(t, off >= 0 && off <= len(text))
				require.Equal(t, off, conv.Offset(conv.Position(off)), "%s: %d is a place", e, off)
			}
			back := conv.Position(span.Start)
			require.True(t, back.Line < from.Line || back.Line == from.Line && back.Character <= from.Character, "%s: %v becomes %v", e, from, back)
			changes := []protocol.TextDocumentContentChangeEvent{
				&protocol.TextDocumentContentChangePartial{Range: protocol.Range{Start: from, End: to}, Text: put},
				&protocol.TextDocumentContentChangePartial{Range: protocol.Range{Start: at(0, 0), End: at(0, 0)}, Text: put},
			}
			require.Equal(t, put+text[:span.Start]+put+text[span.End:], e.Apply(file, changes).Text)
			require.Equal(t, put, e.Apply(file, append(changes, &protocol.TextDocumentContentChangeWholeDocument{Text: put})).Text)
		}
	})
}

// TestNames: a document is known by its path however its URI is written.
func TestNames(t *testing.T) {
	for u, want := range map[uri.URI]string{
		"file:///a/b.pintle":          "/a/b.pintle",
		"file:///a/%C3%A4%20b.pintle": "/a/ä b.pintle",
		"file:///a/x/../b.pintle":     "/a/b.pintle",
		"untitled:Untitled-1":         "untitled:Untitled-1",
		"git:/a/b.pintle?x":           "git:/a/b.pintle?x",
	} {
		assert.Equal(t, want, Name(u), string(u))
	}
	assert.Equal(t, uri.URI("file:///a/%C3%A4%20b.pintle"), URI("/a/ä b.pintle"))
	assert.Equal(t, uri.URI("untitled:Untitled-1"), URI("untitled:Untitled-1"))
}

// TestDiagnostic: a finding in full, and as little of it as a poor client takes.
func TestDiagnostic(t *testing.T) {
	f := source.NewFile("/w/a.pintle", "one\ntwo\n")
	other := source.NewFile("/w/b.pintle", "😀 three\n")
	finding := diag.Finding{
		Rule: "band-gap", Severity: diag.Warning, Message: "a gap", Why: "it matters", Help: "close it",
		Place: diag.Place{File: f, Span: source.Span{Start: 4, End: 7}}, Where: "in /w/root.pintle, fast",
		Related:  []diag.Related{{Place: diag.Place{File: other, Span: source.Span{Start: 5, End: 10}}, Note: "there"}, {Note: "and elsewhere"}},
		Evidence: []diag.Evidence{{Lines: []diag.Line{{Text: "from here", Place: diag.Place{File: f, Span: source.Span{Start: 0, End: 3}}}}}},
		Tags:     []diag.Tag{diag.Unnecessary},
	}
	waived := finding
	waived.Waived = &diag.Waiver{Reason: "as is"}
	full := Diagnostics{
		Encoding: UTF16, Folders: []string{"/w"}, Related: true, Tags: true, Data: true,
		Page: func(rule string) uri.URI { return uri.URI("file:///pages/" + rule) }, URI: URI,
	}
	got := full.All(f, []diag.Finding{finding, waived})
	require.Len(t, got, 1, "what is accepted is not shown")
	d := got[0]
	assert.Equal(t, protocol.Range{Start: at(1, 0), End: at(1, 3)}, d.Range)
	assert.Equal(t, protocol.String("a gap (in root.pintle, fast)\nand elsewhere\nWhy: it matters\nHelp: close it"), d.Message)
	assert.Equal(t, uri.URI("file:///pages/band-gap"), d.CodeDescription.Href)
	require.Len(t, d.RelatedInformation, 2)
	assert.Equal(t, protocol.Range{Start: at(0, 3), End: at(0, 8)}, d.RelatedInformation[0].Location.Range)
	assert.Equal(t, []diag.Finding{finding}, Find(UTF16.Text(f), &d, []diag.Finding{finding}), "and is found again")
	d.Data = nil
	assert.Len(t, Find(UTF16.Text(f), &d, []diag.Finding{finding}), 1, "without its data too")
	d.Range.End.Character--
	assert.Empty(t, Find(UTF16.Text(f), &d, []diag.Finding{finding}), "but not elsewhere")

	poor := (&Diagnostics{Encoding: UTF8, URI: URI}).All(f, []diag.Finding{finding})[0]
	assert.Empty(t, poor.RelatedInformation)
	assert.Zero(t, poor.Tags.Len())
	assert.Nil(t, poor.Data)
	assert.NotNil(t, (&Diagnostics{}).All(f, nil), "a list, even if it is empty")
}

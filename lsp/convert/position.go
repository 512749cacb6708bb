package convert

import (
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"go.lsp.dev/protocol"

	"pintle/lang/source"
)

// Encoding is the unit in which the client counts columns.
type Encoding protocol.PositionEncodingKind

// The encodings.
const (
	UTF8  = Encoding(protocol.PositionEncodingKindUTF8)
	UTF16 = Encoding(protocol.PositionEncodingKindUTF16)
	UTF32 = Encoding(protocol.PositionEncodingKindUTF32)
)

// Negotiate picks from what a client offers: bytes if it can have them, since then
// nothing needs counting, else what it likes best. Without an offer, or with none that
// is known, it is UTF-16, which every client must understand.
func Negotiate(offered []string) Encoding {
	if slices.Contains(offered, string(UTF8)) {
		return UTF8
	}
	for _, o := range offered {
		if e := Encoding(o); e == UTF16 || e == UTF32 {
			return e
		}
	}
	return UTF16
}

// width is how many units the character at the beginning of s takes, and how many bytes.
// A byte that is no text is shown by editors as one replacement character.
func (e Encoding) width(s string) (units, bytes int) {
	r, n := utf8.DecodeRuneInString(s)
	switch {
	case e == UTF8:
		return n, n
	case e == UTF16 && r > 0xFFFF:
		return 2, n
	}
	return 1, n
}

// Text converts places in one text. The protocol ends lines at \n, \r\n and \r.
type Text struct {
	File  *source.File
	enc   Encoding
	lines []int // where lines begin; nil: as in File
}

// Text makes a Text.
func (e Encoding) Text(f *source.File) *Text {
	t := &Text{File: f, enc: e}
	if strings.IndexByte(f.Text, '\r') >= 0 {
		t.lines = lineStarts(f.Text)
	}
	return t
}

func lineStarts(s string) []int {
	starts := []int{0}
	for i := 0; i < len(s); i++ {
		if s[i] == '\n' || s[i] == '\r' && (i+1 == len(s) || s[i+1] != '\n') {
			starts = append(starts, i+1)
		}
	}
	return starts
}

func (t *Text) count() int {
	if t.lines != nil {
		return len(t.lines)
	}
	return t.File.Lines()
}

func (t *Text) start(line int) int {
	if t.lines != nil {
		return t.lines[line]
	}
	return t.File.LineStart(line)
}

func (t *Text) lineOf(off int) int {
	if t.lines != nil {
		return sort.Search(len(t.lines), func(i int) bool { return t.lines[i] > off }) - 1
	}
	return t.File.LineOf(off)
}

// line returns a line without its ending.
func (t *Text) line(n int) string {
	end := len(t.File.Text)
	if n+1 < t.count() {
		end = t.start(n + 1)
	}
	return strings.TrimRight(t.File.Text[t.start(n):end], "\r\n")
}

// Position of a byte offset. Inside of a line ending it is the end of the line.
func (t *Text) Position(off int) protocol.Position {
	off = min(max(off, 0), len(t.File.Text))
	n := t.lineOf(off)
	line, col := t.line(n), off-t.start(n)
	units, at := 0, 0
	for at < col && at < len(line) {
		u, b := t.enc.width(line[at:])
		if at+b > col {
			break
		}
		units, at = units+u, at+b
	}
	return protocol.Position{Line: uint32(n), Character: uint32(units)}
}

// Offset of a position, in bytes. A column behind the end of a line is its end, a line
// behind the last one the end of the text.
func (t *Text) Offset(p protocol.Position) int {
	n := int(min(p.Line, 1<<31-1))
	if n >= t.count() {
		return len(t.File.Text)
	}
	start, line := t.start(n), t.line(n)
	want := int(min(p.Character, 1<<31-1))
	units, at := 0, 0
	for at < len(line) {
		u, b := t.enc.width(line[at:])
		if units+u > want {
			break
		}
		units, at = units+u, at+b
	}
	return start + at
}

// Range of a span.
func (t *Text) Range(s source.Span) protocol.Range {
	return protocol.Range{Start: t.Position(s.Start), End: t.Position(s.End)}
}

// Span of a range. One that ends before it begins is empty.
func (t *Text) Span(r protocol.Range) source.Span {
	start := t.Offset(r.Start)
	return source.Span{Start: start, End: max(start, t.Offset(r.End))}
}

// Apply makes the changes of a didChange notification, one after the other: each range
// is one in the text that the changes before it left.
func (e Encoding) Apply(f *source.File, changes []protocol.TextDocumentContentChangeEvent) *source.File {
	for _, c := range changes {
		switch c := c.(type) {
		case *protocol.TextDocumentContentChangeWholeDocument:
			f = source.NewFile(f.Name, c.Text)
		case *protocol.TextDocumentContentChangePartial:
			s := e.Text(f).Span(c.Range)
			f = source.NewFile(f.Name, f.Text[:s.Start]+c.Text+f.Text[s.End:])
		}
	}
	return f
}

// Package source holds the text of files and turns byte offsets into lines and
// columns, counted in bytes, in Unicode code points or in UTF-16 units.
//
// Everything in Pintle speaks of text in byte offsets; only output (code points)
// and the language server (whatever the editor asked for) convert, and they
// convert here.
package source

import (
	"sort"
	"unicode/utf8"
)

// Span is a half-open stretch [Start, End) of bytes in a file. The zero Span is
// the very beginning of the file, which is where findings about a whole file stand.
type Span struct {
	Start, End int
}

// Contains reports whether the offset lies in the span, its end included: a cursor
// right behind a word is still on it.
func (s Span) Contains(off int) bool { return s.Start <= off && off <= s.End }

// Len is the number of bytes covered.
func (s Span) Len() int { return s.End - s.Start }

// Join returns the smallest span that covers both.
func (s Span) Join(t Span) Span {
	if t.Start < s.Start {
		s.Start = t.Start
	}
	if t.End > s.End {
		s.End = t.End
	}
	return s
}

// File is an immutable text with the name under which people know it.
type File struct {
	// Name is the path as it is shown: slashes, relative to where the user stands
	// if it was given so.
	Name string
	Text string

	lines []int // byte offset of the start of each line
}

// NewFile takes a text as it is; it needs not be valid UTF-8.
func NewFile(name, text string) *File {
	f := &File{Name: name, Text: text}
	n := 1
	for i := 0; i < len(text); i++ {
		if text[i] == '\n' {
			n++
		}
	}
	f.lines = make([]int, 1, n)
	for i := 0; i < len(text); i++ {
		if text[i] == '\n' {
			f.lines = append(f.lines, i+1)
		}
	}
	return f
}

// Lines is the number of lines; an empty file has one.
func (f *File) Lines() int { return len(f.lines) }

// Position is a place for people: both counted from 1, the column in Unicode code
// points (an invalid byte counts as one).
type Position struct {
	Line   int `json:"line"`
	Column int `json:"column"`
}

// Position of a byte offset. Offsets outside the text are moved to its ends, and
// one inside a code point to its beginning.
func (f *File) Position(off int) Position {
	line, start, off := f.locate(off)
	return Position{Line: line + 1, Column: utf8.RuneCountInString(f.Text[start:off]) + 1}
}

// Line returns the text of a line counted from 0, without its line ending.
func (f *File) Line(n int) string {
	if n < 0 || n >= len(f.lines) {
		return ""
	}
	end := len(f.Text)
	if n+1 < len(f.lines) {
		end = f.lines[n+1] - 1
	}
	s := f.Text[f.lines[n]:end]
	if len(s) > 0 && s[len(s)-1] == '\r' {
		s = s[:len(s)-1]
	}
	return s
}

// LineStart is the byte offset at which a line counted from 0 begins; past the last
// line it is the end of the text.
func (f *File) LineStart(n int) int {
	switch {
	case n < 0:
		return 0
	case n >= len(f.lines):
		return len(f.Text)
	}
	return f.lines[n]
}

// LineOf is the line, counted from 0, in which a byte offset lies.
func (f *File) LineOf(off int) int {
	line, _, _ := f.locate(off)
	return line
}

func (f *File) locate(off int) (line, start, clamped int) {
	off = min(max(off, 0), len(f.Text))
	line = sort.Search(len(f.lines), func(i int) bool { return f.lines[i] > off }) - 1
	start = f.lines[line]
	// A position in the middle of a code point is a position before it. Invalid
	// bytes are each a code point of their own, so at most three steps are needed.
	for i := 0; i < utf8.UTFMax-1 && off > start && off < len(f.Text) && !utf8.RuneStart(f.Text[off]); i++ {
		off--
	}
	return line, start, off
}

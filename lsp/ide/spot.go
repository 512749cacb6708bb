package ide

import (
	"sort"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Spot is where a cursor stands in a text that may be broken in any way: the word at
// the cursor, the statement that it belongs to, and the tokens of that before the word.
// It is found by tokens and by what statements begin where, never by a statement having
// been understood.
type Spot struct {
	File *syntax.File
	Off  int

	// Word is the whole path at the cursor, empty (at Off) between words; Part is the
	// name of it at the cursor, between dots, and Before the names ahead of that.
	Word, Part source.Span
	Before     []string

	// Stmt is the statement in whose line the cursor is, nil where one could begin. At
	// its kind word, Stmt is nil too. In is what the statement stands in, or would.
	Stmt  *syntax.Stmt
	In    schema.Context
	Block *syntax.Stmt // the statement whose body that is; nil at the top level

	// Toks are the tokens of the line before the word, without spaces and comments.
	Toks []Token

	Comment bool
	Text    *Token // the text in quotes that the cursor stands in
}

// Token is a token with its text.
type Token struct {
	Kind syntax.TokenKind
	Text string
	source.Span
}

// Wordish reports whether a token may be a name, a path or a number.
func Wordish(k syntax.TokenKind) bool {
	switch k {
	case syntax.NameTok, syntax.PathTok, syntax.Number, syntax.Mixed:
		return true
	}
	return false
}

// TokenAt is the i-th token of a file with its text.
func TokenAt(f *syntax.File, i int) Token {
	s := f.Tokens.Span(i)
	end := min(s.End, len(f.Src.Text))
	return Token{Kind: f.Tokens[i].Kind, Text: f.Src.Text[min(s.Start, end):end], Span: s}
}

// FindSpot looks where a byte offset is.
func FindSpot(f *syntax.File, off int) *Spot {
	off = min(max(off, 0), len(f.Src.Text))
	s := &Spot{File: f, Off: off, Word: source.Span{Start: off, End: off}}
	s.findWord()
	s.Part = s.Word
	if s.Text != nil {
		s.findStmt()
		return s
	}
	text := f.Src.Text
	if i := strings.LastIndexByte(text[s.Word.Start:off], '.'); i >= 0 {
		s.Part.Start = s.Word.Start + i + 1
		s.Before = strings.Split(text[s.Word.Start:s.Part.Start-1], ".")
	}
	if i := strings.IndexByte(text[off:s.Word.End], '.'); i >= 0 {
		s.Part.End = off + i
	}
	s.findStmt()
	return s
}

// Typed is what of the name at the cursor stands before it.
func (s *Spot) Typed() string { return s.File.Src.Text[s.Part.Start:s.Off] }

// findWord finds the path at the cursor. A dot behind which nothing stands yet is a
// token of its own; it belongs to the path all the same.
func (s *Spot) findWord() {
	ts := s.File.Tokens
	if ts.Len() == 0 {
		return
	}
	if s.Off > 0 {
		left := ts.At(s.Off - 1)
		t := TokenAt(s.File, left)
		switch {
		case t.Kind == syntax.Comment:
			s.Comment = true
			return
		case t.Kind == syntax.Text && (t.End > s.Off || len(t.Text) == 1 || !strings.HasSuffix(t.Text, `"`)):
			s.Text = &t
			s.Word = source.Span{Start: t.Start, End: t.Start}
			return
		case Wordish(t.Kind):
			s.Word = t.Span
			return
		case t.Kind == syntax.Foreign && t.Text == "." && left > 0 && Wordish(ts[left-1].Kind):
			s.Word.Start = ts.Span(left - 1).Start
			if left+1 < ts.Len() && Wordish(ts[left+1].Kind) {
				s.Word.End = ts.Span(left + 1).End
			}
			return
		}
	}
	if right := ts.At(s.Off); s.Off < len(s.File.Src.Text) && Wordish(ts[right].Kind) && ts.Span(right).Start == s.Off {
		s.Word = ts.Span(right)
	}
}

// findStmt finds the statement whose line the word is in, and what surrounds it.
func (s *Spot) findStmt() {
	all := s.File.All()
	at := s.Word.Start
	i := sort.Search(len(all), func(i int) bool { return all[i].Span.Start > at }) - 1
	if i < 0 {
		s.In = schema.InTop
		return
	}
	st := all[i]
	if st.Span.Start == at && s.Text == nil {
		s.In, s.Block = st.In, st.Parent
		return
	}
	if s.inLine(st) {
		s.Stmt, s.In, s.Block = st, st.In, st.Parent
		s.Toks = Significant(s.File, st.Span.Start, at)
		return
	}
	s.Block = s.around(st)
	s.In = inside(s.Block)
}

// inLine reports whether the cursor is still in the line of a statement that begins before
// it: nothing ended it, or what would end it leaves it open.
func (s *Spot) inLine(st *syntax.Stmt) bool {
	end := st.Line.End
	if s.Word.Start < end {
		return true
	}
	if opened(st) && s.Word.Start >= st.BodySpan.Start {
		return false
	}
	if !strings.ContainsAny(s.File.Src.Text[end:s.Word.Start], "\r\n") {
		return !strings.ContainsAny(s.File.Src.Text[end:s.Word.Start], "{}")
	}
	toks := Significant(s.File, st.Span.Start, s.Word.Start)
	if len(toks) == 0 {
		return false
	}
	last := toks[len(toks)-1]
	switch last.Kind {
	case syntax.Comma, syntax.Colon, syntax.OpenParen:
		return true
	case syntax.NameTok:
		return len(toks) > 2 && (last.Text == "and" || last.Text == "or")
	}
	depth := 0
	for _, t := range toks {
		switch t.Kind {
		case syntax.OpenParen:
			depth++
		case syntax.CloseParen:
			depth--
		}
	}
	return depth > 0
}

// opened reports whether a statement has the brace of its body, and not only the body.
func opened(st *syntax.Stmt) bool {
	return st.HasBody && st.Line.End > 0 && st.File().Src.Text[st.Line.End-1] == '{'
}

// around finds the body that the cursor is in, from the last statement that begins before
// it outwards. A body that is never closed holds what is indented further than its head.
func (s *Spot) around(st *syntax.Stmt) *syntax.Stmt {
	for b := st; b != nil; b = b.Parent {
		if !b.HasBody || s.Off < b.BodySpan.Start {
			continue
		}
		closed := b.Span.End > b.BodySpan.End
		if closed && s.Off <= b.BodySpan.End || !closed && s.indent(s.Off) > s.indent(b.Span.Start) {
			return b
		}
	}
	return nil
}

// indent is the width of the blanks that a line begins with.
func (s *Spot) indent(off int) int {
	n := 0
	for _, c := range s.File.Src.Line(s.File.Src.LineOf(off)) {
		switch c {
		case ' ':
			n++
		case '\t':
			n += 4
		default:
			return n
		}
	}
	return n
}

// inside is what the body of a statement is.
func inside(block *syntax.Stmt) schema.Context {
	switch {
	case block == nil:
		return schema.InTop
	case block.Kind == nil:
		return 0
	case block.Kind.Inside == 0:
		return block.In
	}
	return block.Kind.Inside
}

// Significant returns the tokens of a stretch that mean something.
func Significant(f *syntax.File, from, to int) []Token {
	var out []Token
	for i := max(f.Tokens.At(from), 0); i < f.Tokens.Len(); i++ {
		t := TokenAt(f, i)
		if t.Start >= to {
			break
		}
		switch t.Kind {
		case syntax.Space, syntax.Newline, syntax.Comment:
		default:
			out = append(out, t)
		}
	}
	return out
}

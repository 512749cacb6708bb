package ide

import (
	"sort"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// spot is where a cursor stands in a text that may be broken in any way: the word at
// the cursor, the statement that it belongs to, and the tokens of that before the word.
// It is found by tokens and by what statements begin where, never by a statement having
// been understood.
type spot struct {
	file *syntax.File
	off  int

	// word is the whole path at the cursor, empty (at off) between words; part is the
	// name of it at the cursor, between dots, and before the names ahead of that.
	word, part source.Span
	before     []string

	// stmt is the statement in whose line the cursor is, nil where one could begin. at
	// its kind word, stmt is nil too. in is what the statement stands in, or would.
	stmt  *syntax.Stmt
	in    schema.Context
	block *syntax.Stmt // the statement whose body that is; nil at the top level

	// toks are the tokens of the line before the word, without spaces and comments.
	toks []token

	comment bool
	text    *token // the text in quotes that the cursor stands in
}

// token is a token with its text.
type token struct {
	kind syntax.TokenKind
	text string
	source.Span
}

// wordish tells whether a token may be a name, a path or a number.
func wordish(k syntax.TokenKind) bool {
	switch k {
	case syntax.NameTok, syntax.PathTok, syntax.Number, syntax.Mixed:
		return true
	}
	return false
}

func tokenAt(f *syntax.File, i int) token {
	s := f.Tokens.Span(i)
	end := min(s.End, len(f.Src.Text))
	return token{kind: f.Tokens[i].Kind, text: f.Src.Text[min(s.Start, end):end], Span: s}
}

// findSpot looks where a byte offset is.
func findSpot(f *syntax.File, off int) *spot {
	off = min(max(off, 0), len(f.Src.Text))
	s := &spot{file: f, off: off, word: source.Span{Start: off, End: off}}
	s.findWord()
	s.part = s.word
	if s.text != nil {
		s.findStmt()
		return s
	}
	text := f.Src.Text
	if i := strings.LastIndexByte(text[s.word.Start:off], '.'); i >= 0 {
		s.part.Start = s.word.Start + i + 1
		s.before = strings.Split(text[s.word.Start:s.part.Start-1], ".")
	}
	if i := strings.IndexByte(text[off:s.word.End], '.'); i >= 0 {
		s.part.End = off + i
	}
	s.findStmt()
	return s
}

// typed is what of the name at the cursor stands before it.
func (s *spot) typed() string { return s.file.Src.Text[s.part.Start:s.off] }

// findWord finds the path at the cursor. A dot behind which nothing stands yet is a
// token of its own; it belongs to the path all the same.
func (s *spot) findWord() {
	ts := s.file.Tokens
	if ts.Len() == 0 {
		return
	}
	if s.off > 0 {
		left := ts.At(s.off - 1)
		t := tokenAt(s.file, left)
		switch {
		case t.kind == syntax.Comment:
			s.comment = true
			return
		case t.kind == syntax.Text && (t.End > s.off || len(t.text) == 1 || !strings.HasSuffix(t.text, `"`)):
			s.text = &t
			s.word = source.Span{Start: t.Start, End: t.Start}
			return
		case wordish(t.kind):
			s.word = t.Span
			return
		case t.kind == syntax.Foreign && t.text == "." && left > 0 && wordish(ts[left-1].Kind):
			s.word.Start = ts.Span(left - 1).Start
			if left+1 < ts.Len() && wordish(ts[left+1].Kind) {
				s.word.End = ts.Span(left + 1).End
			}
			return
		}
	}
	if right := ts.At(s.off); s.off < len(s.file.Src.Text) && wordish(ts[right].Kind) && ts.Span(right).Start == s.off {
		s.word = ts.Span(right)
	}
}

// findStmt finds the statement whose line the word is in, and what surrounds it.
func (s *spot) findStmt() {
	all := s.file.All()
	at := s.word.Start
	i := sort.Search(len(all), func(i int) bool { return all[i].Span.Start > at }) - 1
	if i < 0 {
		s.in = schema.InTop
		return
	}
	st := all[i]
	if st.Span.Start == at && s.text == nil {
		s.in, s.block = st.In, st.Parent
		return
	}
	if s.inLine(st) {
		s.stmt, s.in, s.block = st, st.In, st.Parent
		s.toks = significant(s.file, st.Span.Start, at)
		return
	}
	s.block = s.around(st)
	s.in = inside(s.block)
}

// inLine tells whether the cursor is still in the line of a statement that begins before
// it: nothing ended it, or what would end it leaves it open.
func (s *spot) inLine(st *syntax.Stmt) bool {
	end := st.Line.End
	if s.word.Start < end {
		return true
	}
	if opened(st) && s.word.Start >= st.BodySpan.Start {
		return false
	}
	if !strings.ContainsAny(s.file.Src.Text[end:s.word.Start], "\r\n") {
		return !strings.ContainsAny(s.file.Src.Text[end:s.word.Start], "{}")
	}
	toks := significant(s.file, st.Span.Start, s.word.Start)
	if len(toks) == 0 {
		return false
	}
	last := toks[len(toks)-1]
	switch last.kind {
	case syntax.Comma, syntax.Colon, syntax.OpenParen:
		return true
	case syntax.NameTok:
		return len(toks) > 2 && (last.text == "and" || last.text == "or")
	}
	depth := 0
	for _, t := range toks {
		switch t.kind {
		case syntax.OpenParen:
			depth++
		case syntax.CloseParen:
			depth--
		}
	}
	return depth > 0
}

// opened tells whether a statement has the brace of its body, and not only the body.
func opened(st *syntax.Stmt) bool {
	return st.HasBody && st.Line.End > 0 && st.File().Src.Text[st.Line.End-1] == '{'
}

// around finds the body that the cursor is in, from the last statement that begins before
// it outwards. A body that is never closed holds what is indented further than its head.
func (s *spot) around(st *syntax.Stmt) *syntax.Stmt {
	for b := st; b != nil; b = b.Parent {
		if !b.HasBody || s.off < b.BodySpan.Start {
			continue
		}
		closed := b.Span.End > b.BodySpan.End
		if closed && s.off <= b.BodySpan.End || !closed && s.indent(s.off) > s.indent(b.Span.Start) {
			return b
		}
	}
	return nil
}

// indent is the width of the blanks that a line begins with.
func (s *spot) indent(off int) int {
	n := 0
	for _, c := range s.file.Src.Line(s.file.Src.LineOf(off)) {
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

// significant returns the tokens of a stretch that mean something.
func significant(f *syntax.File, from, to int) []token {
	var out []token
	for i := max(f.Tokens.At(from), 0); i < f.Tokens.Len(); i++ {
		t := tokenAt(f, i)
		if t.Start >= to {
			break
		}
		switch t.kind {
		case syntax.Space, syntax.Newline, syntax.Comment:
		default:
			out = append(out, t)
		}
	}
	return out
}

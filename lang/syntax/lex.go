package syntax

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Classes of bytes.
const (
	classOther = iota
	classSpace
	classLetter
	classDigit
	classHigh // part of a code point beyond ASCII
)

var classes = func() (c [256]uint8) {
	for b := range c {
		switch {
		case b == ' ' || b == '\t' || b == '\v' || b == '\f':
			c[b] = classSpace
		case 'a' <= b && b <= 'z' || 'A' <= b && b <= 'Z' || b == '_':
			c[b] = classLetter
		case '0' <= b && b <= '9':
			c[b] = classDigit
		case b >= utf8.RuneSelf:
			c[b] = classHigh
		}
	}
	return c
}()

// lex appends the tokens of text[from:to] to out, without a sentinel. It never fails:
// what is no token of the language is a Foreign one. from is the beginning of a line,
// to the end of one or of the text: no token reaches over the end of a line, so lines
// can be read anew one by one.
func lex(out Tokens, text string, from, to int) Tokens {
	l := scanner{text: text[:to], at: from}
	for l.at < to {
		start := l.at
		kind := l.next()
		out = append(out, Token{start: int32(start), Kind: kind})
	}
	return out
}

type scanner struct {
	text string
	at   int
}

// peek is the byte n places on, or 0.
func (l *scanner) peek(n int) byte {
	if l.at+n < len(l.text) {
		return l.text[l.at+n]
	}
	return 0
}

// next moves behind the token that begins here.
func (l *scanner) next() TokenKind {
	c := l.text[l.at]
	switch classes[c] {
	case classSpace:
		for l.at++; l.at < len(l.text) && classes[l.text[l.at]] == classSpace; l.at++ {
		}
		return Space
	case classLetter:
		return l.name()
	case classDigit:
		return l.number()
	case classHigh:
		return l.high()
	}
	switch c {
	case '\n':
		l.at++
		return Newline
	case '\r':
		l.at++
		if l.peek(0) == '\n' {
			l.at++
		}
		return Newline
	case '#':
		l.toLineEnd()
		return Comment
	case '"':
		l.quoted()
		return Text
	case '-':
		if classes[l.peek(1)] == classDigit {
			l.at++
			return l.number()
		}
	case '+':
		if l.peek(1) == '-' {
			l.at += 2
			return PlusMinus
		}
	}
	l.at++
	switch c {
	case ',':
		return Comma
	case ':':
		return Colon
	case '(':
		return OpenParen
	case ')':
		return CloseParen
	case '{':
		return OpenBrace
	case '}':
		return CloseBrace
	case '%':
		return Percent
	case '/':
		return Slash
	}
	// Signs that people bring along from other languages stay together.
	if l.at < len(l.text) {
		switch l.text[l.at-1 : l.at+1] {
		case "->", "=>", ">=", "<=", "==", "!=", "<>", "&&", "||":
			l.at++
		}
	}
	return Foreign
}

func (l *scanner) toLineEnd() {
	if n := strings.IndexAny(l.text[l.at:], "\r\n"); n >= 0 {
		l.at += n
	} else {
		l.at = len(l.text)
	}
}

// quoted reads a text. Where the closing quote is missing it ends with the line, but
// gives back a brace or a colon at the end of it: the body that begins there is not
// part of what was mistyped.
func (l *scanner) quoted() {
	start := l.at
	for l.at++; l.at < len(l.text); l.at++ {
		switch l.text[l.at] {
		case '"':
			l.at++
			return
		case '\n', '\r':
			l.giveBack(start)
			return
		}
	}
	l.giveBack(start)
}

func (l *scanner) giveBack(start int) {
	rest := strings.TrimRight(l.text[start+1:l.at], " \t")
	if short := strings.TrimRight(rest, "{:"); len(short) < len(rest) {
		l.at = start + 1 + len(strings.TrimRight(short, " \t"))
	}
}

// wordHere is the length of the code point here if it may be part of a word.
func (l *scanner) wordHere(at int) int {
	if at >= len(l.text) {
		return 0
	}
	switch classes[l.text[at]] {
	case classLetter, classDigit:
		return 1
	case classHigh:
		r, n := utf8.DecodeRuneInString(l.text[at:])
		if isWordRune(r) {
			return n
		}
	}
	return 0
}

// isWordRune reports whether a code point beyond ASCII may be part of a word. The signs
// are those that units are written with.
func isWordRune(r rune) bool {
	switch r {
	case '°', '²', '³', '·', '℃', '℉':
		return true
	case utf8.RuneError:
		return false
	}
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r)
}

// name reads a word or a path from its first letter on.
func (l *scanner) name() TokenKind { return l.wordTail(NameTok) }

// wordTail reads on to the end of a word. A dot makes it a path; hyphens join words;
// a plus or minus may end it, as the trade writes B+ and D-.
func (l *scanner) wordTail(kind TokenKind) TokenKind {
	for l.at < len(l.text) {
		switch c := l.text[l.at]; classes[c] {
		case classLetter, classDigit:
			l.at++
		case classHigh:
			n := l.wordHere(l.at)
			if n == 0 {
				return kind
			}
			l.at += n
		case classSpace:
			return kind
		default:
			switch c {
			case '.':
				if l.wordHere(l.at+1) == 0 {
					return kind
				}
				kind = PathTok
				l.at++
			case '-', '+':
				joined := l.wordHere(l.at+1) > 0
				if joined && c == '-' {
					l.at++
					continue
				}
				if next := l.peek(1); !joined && next != '-' && next != '>' && next != '+' {
					l.at++
				}
				return kind
			default:
				return kind
			}
		}
	}
	return kind
}

// number reads from a digit on: a number, or a word or path that begins with a digit.
func (l *scanner) number() TokenKind {
	l.digits()
	if l.peek(0) == '.' && classes[l.peek(1)] == classDigit {
		l.at++
		l.digits()
	}
	l.at += exponent(l.text[l.at:])
	switch n := l.wordHere(l.at); {
	case n > 0:
		return l.wordTail(Mixed)
	case l.peek(0) == '.' && l.wordHere(l.at+1) > 0,
		l.peek(0) == '-' && l.wordHere(l.at+1) > 0:
		return l.wordTail(Mixed)
	}
	return Number
}

// exponent is the length of an exponent of ten at the beginning of s, or 0: a letter
// or digit right behind it makes it part of a word.
func exponent(s string) int {
	if len(s) < 2 || s[0] != 'e' && s[0] != 'E' {
		return 0
	}
	i := 1
	if s[i] == '-' || s[i] == '+' {
		i++
	}
	digits := i
	for i < len(s) && classes[s[i]] == classDigit {
		i++
	}
	if i == digits {
		return 0
	}
	return i
}

func (l *scanner) digits() {
	for l.at < len(l.text) && classes[l.text[l.at]] == classDigit {
		l.at++
	}
}

// high reads from a code point beyond ASCII on.
func (l *scanner) high() TokenKind {
	r, n := utf8.DecodeRuneInString(l.text[l.at:])
	switch {
	case isWordRune(r):
		return l.name()
	case isBlank(r):
		for l.at += n; l.at < len(l.text); l.at += n {
			if r, n = utf8.DecodeRuneInString(l.text[l.at:]); !isBlank(r) {
				break
			}
		}
		return Space
	case r == '±':
		l.at += n
		return PlusMinus
	}
	l.at += n
	return Foreign
}

// isBlank reports whether a code point is seen as space: a byte order mark (which some
// editors put at the beginning) and the blanks of Unicode, in their non-breaking form
// in what was copied from a web page.
func isBlank(r rune) bool {
	return r == ' ' || r == '\t' || r == '\ufeff' || r >= utf8.RuneSelf && unicode.Is(unicode.Zs, r)
}

// splitNumber cuts a token such as 12V or 1.5mm2 behind its number; ok is false where
// nothing or no unit follows.
func splitNumber(s string) (number, rest string, ok bool) {
	i := 0
	if i < len(s) && s[i] == '-' {
		i++
	}
	digits := func() {
		for i < len(s) && classes[s[i]] == classDigit {
			i++
		}
	}
	digits()
	if i+1 < len(s) && s[i] == '.' && classes[s[i+1]] == classDigit {
		i++
		digits()
	}
	i += exponent(s[i:])
	return s[:i], s[i:], i > 0 && i < len(s)
}

package syntax

import "pintle/lang/source"

// TokenKind says what a token is.
type TokenKind uint8

// The kinds of tokens. The first three carry no meaning for the tree.
const (
	Space   TokenKind = iota // blanks, tabs, a byte order mark at the beginning
	Newline                  // \n, \r\n or \r
	Comment                  // # to the end of the line
	NameTok                  // run, wire-colours-repeat, B+, °C
	PathTok                  // K1.87a, plug.3.tip
	Number                   // 30, 12.6, -30, 1e-3
	Mixed                    // 87a, 12V, 2027-06-30, 1.5mm2
	Text                     // "text", perhaps without its closing quote
	Comma
	Colon
	OpenParen
	CloseParen
	OpenBrace
	CloseBrace
	PlusMinus // +- or ±
	Percent
	Slash
	Foreign // anything else: -> > < = ; and bytes that are no text
)

// Token is the place where a token begins; it ends where the next one does.
type Token struct {
	start int32
	Kind  TokenKind
}

// Tokens are the tokens of a text in order. The last one is a sentinel at its end.
type Tokens []Token

// Len is the number of tokens.
func (ts Tokens) Len() int { return max(len(ts)-1, 0) }

// Span of the i-th token.
func (ts Tokens) Span(i int) source.Span {
	return source.Span{Start: int(ts[i].start), End: int(ts[i+1].start)}
}

// At finds the token that covers a byte offset: the one that begins there, if two
// meet. It returns -1 in an empty text; an offset at the end belongs to the last token.
func (ts Tokens) At(off int) int {
	lo, hi := 0, ts.Len()
	for lo < hi {
		mid := int(uint(lo+hi) >> 1)
		if int(ts[mid].start) <= off {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo - 1
}

// SplitNumber cuts a Mixed token such as 12V or 1.5mm2 behind its number; ok is false
// where the token does not begin with a number.
func SplitNumber(text string) (number, rest string, ok bool) { return splitNumber(text) }

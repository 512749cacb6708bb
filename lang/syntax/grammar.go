package syntax

import (
	"io"
	"strings"
	"sync"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"pintle/lang/schema"
	"pintle/lang/source"
)

// The grammar of heads: what may stand between the kind word and the colon. One struct
// is one form; participle reads them from our own tokens. A plain list of names, which
// most statements have, is read by hand (see plainNames) because the grammar costs more
// for it than all the rest of the statement; a test holds the two against each other.
type (
	gWord struct {
		Pos  lexer.Position
		Text string `parser:"@(Name | Number | Mixed)"`
	}
	gPath struct {
		Pos  lexer.Position
		Text string `parser:"@(Name | Path | Number | Mixed)"`
	}
	gText struct {
		Pos  lexer.Position
		Text string `parser:"@Text"`
	}

	gNames struct {
		Names []gWord `parser:"@@ ( ',' @@ )*"`
	}
	gOptional struct {
		Name *gWord `parser:"@@?"`
	}
	gTitle struct {
		Text gText `parser:"@@"`
	}
	gUse struct {
		Text gText  `parser:"@@"`
		As   *gWord `parser:"( 'as' @@ )?"`
	}
	gEnds struct {
		A gPath `parser:"@@ 'to'"`
		B gPath `parser:"@@"`
	}
	gNamed struct {
		Name gWord `parser:"@@"`
		Text gText `parser:"@@"`
	}
	gMaybe struct {
		Name gWord  `parser:"@@"`
		Text *gText `parser:"@@?"`
	}
	gMove struct {
		Any   bool    `parser:"( @'any'"`
		Names []gWord `parser:"| @@ ( ',' @@ )* ) 'to'"`
		To    gWord   `parser:"@@"`
	}
)

// headLexer is our tokens as participle knows them. Its catch-all is the token kind
// Foreign: lexing never fails.
type headLexer struct{}

// lexerSymbols names the token kinds; participle keeps negative numbers for itself.
var lexerSymbols = map[string]lexer.TokenType{
	"EOF": lexer.EOF, "Name": lexer.TokenType(NameTok), "Path": lexer.TokenType(PathTok),
	"Number": lexer.TokenType(Number), "Mixed": lexer.TokenType(Mixed), "Text": lexer.TokenType(Text),
	"Comma": lexer.TokenType(Comma), "Sign": lexer.TokenType(Foreign),
}

func (headLexer) Symbols() map[string]lexer.TokenType { return lexerSymbols }

// Lex reads a head by itself; the parser feeds tokens that it has already instead.
func (headLexer) Lex(_ string, r io.Reader) (lexer.Lexer, error) {
	var b strings.Builder
	if _, err := io.Copy(&b, r); err != nil {
		return nil, err
	}
	text := b.String()
	sigs := significant(append(lex(nil, text, 0, len(text)), Token{start: int32(len(text))}))
	p := &parser{text: text, sigs: sigs, end: len(sigs) - 1}
	return &headFeed{p: p}, nil
}

// headFeed gives the tokens of a head to participle, up to the colon or the brace.
type headFeed struct {
	p *parser
	i int
}

func (f *headFeed) Next() (lexer.Token, error) {
	pos := lexer.Position{Offset: f.p.spanAt(f.i).Start}
	k := f.p.kindAt(f.i)
	if f.i >= f.p.end || k == Colon || k == OpenBrace {
		return lexer.EOFToken(pos), nil
	}
	t := lexer.Token{Type: lexer.TokenType(k), Value: f.p.textAt(f.i), Pos: pos}
	if k > Foreign || k < NameTok {
		t.Type = lexer.TokenType(Foreign)
	}
	f.i++
	return t, nil
}

// grammar builds the parser of a head form when it is first needed.
func grammar[G any]() func() *participle.Parser[G] {
	return sync.OnceValue(func() *participle.Parser[G] {
		return participle.MustBuild[G](participle.Lexer(headLexer{}), participle.UseLookahead(1))
	})
}

var (
	namesGrammar    = grammar[gNames]()
	optionalGrammar = grammar[gOptional]()
	titleGrammar    = grammar[gTitle]()
	useGrammar      = grammar[gUse]()
	endsGrammar     = grammar[gEnds]()
	namedGrammar    = grammar[gNamed]()
	maybeGrammar    = grammar[gMaybe]()
	moveGrammar     = grammar[gMove]()
)

// readHead lets a grammar read as much of the head as it can; nil if it does not fit.
// p.i is then where it went wrong.
func readHead[G any](p *parser, grammar *participle.Parser[G]) *G {
	start := p.i
	tokens, err := lexer.Upgrade(&headFeed{p: p, i: start})
	if err != nil {
		return nil // headFeed returns no errors
	}
	g, err := grammar.ParseFromLexer(tokens, participle.AllowTrailing(true))
	p.i = start + tokens.Cursor()
	if err != nil {
		if e, ok := err.(participle.Error); ok {
			for p.i = start; p.i < p.end && p.spanAt(p.i).Start < e.Position().Offset; {
				p.i++
			}
		}
		return nil
	}
	return g
}

func (p *parser) word(g gWord) Word {
	start := g.Pos.Offset
	s := source.Span{Start: start, End: start + len(g.Text)}
	return Word{Text: p.between(s.Start, s.End), Span: s}
}

func (p *parser) path(g gPath) *Ref {
	w := p.word(gWord(g))
	return p.pool.refs.one(Ref{Parts: p.parts(w.Text, w.Span), Span: w.Span})
}

func (p *parser) headText(g gText) *Str {
	end := p.i
	for p.i--; p.i > 0 && p.spanAt(p.i).Start > g.Pos.Offset; p.i-- {
	}
	s := p.takeText()
	p.i = end
	return s
}

// grammarHead reads a head of any form but `when COND` through its grammar.
func (p *parser) grammarHead(h *Head, form schema.HeadForm) bool {
	switch form {
	case schema.HeadNames, schema.HeadPins:
		if g := readHead(p, namesGrammar()); g != nil {
			for _, n := range g.Names {
				h.Names = append(h.Names, p.word(n))
			}
			return true
		}
	case schema.HeadOptionalName:
		if g := readHead(p, optionalGrammar()); g != nil {
			if g.Name != nil {
				h.Names = []Word{p.word(*g.Name)}
			}
			return true
		}
	case schema.HeadText:
		if g := readHead(p, titleGrammar()); g != nil {
			h.Text = p.headText(g.Text)
			return true
		}
	case schema.HeadUse:
		if g := readHead(p, useGrammar()); g != nil {
			h.Text = p.headText(g.Text)
			if g.As != nil {
				h.Names = []Word{p.word(*g.As)}
			}
			return true
		}
	case schema.HeadEnds:
		if g := readHead(p, endsGrammar()); g != nil {
			h.From, h.To = p.path(g.A), p.path(g.B)
			return true
		}
	case schema.HeadNameText:
		if g := readHead(p, namedGrammar()); g != nil {
			h.Names, h.Text = []Word{p.word(g.Name)}, p.headText(g.Text)
			return true
		}
	case schema.HeadName, schema.HeadRule, schema.HeadNameMaybe:
		if g := readHead(p, maybeGrammar()); g != nil {
			h.Names = []Word{p.word(g.Name)}
			if g.Text != nil {
				h.Text = p.headText(*g.Text)
			}
			return true
		}
	case schema.HeadMove:
		if g := readHead(p, moveGrammar()); g != nil {
			for _, n := range g.Names {
				h.Names = append(h.Names, p.word(n))
			}
			to := p.word(g.To)
			h.Any, h.To = g.Any, p.pool.refs.one(Ref{Parts: []Word{to}, Span: to.Span})
			return true
		}
	}
	return false
}

package show

import (
	"context"
	"sort"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// TokenType says what a piece of text is, for the eye.
type TokenType uint8

// The types of tokens. Their order is that of [TokenTypes].
const (
	TokenKind     TokenType = iota // the word that a statement begins with
	TokenClause                    // the words of a clause
	TokenOperator                  // the words of a condition: is, and, above
	TokenComment
	TokenText
	TokenNumber
	TokenUnit
	TokenPart
	TokenArgument // what a part takes
	TokenFile     // the short name of a used file
	TokenInput    // quantity, setting, option: what is moved from outside
	TokenPoint    // pin, port, node, ground, splice, terminal, way
	TokenWire     // wire, hose, connector
	TokenThing    // fit, supply, and what is in a body
	TokenLogic    // threshold, timer, condition, modes, result, bands, what is read and driven
	TokenState    // position, level, mode, row, band
	TokenClaim    // requirement, drive, step, symptom, fault, assumption
	TokenRule     // the name of a rule
	TokenColour
)

// TokenTypes are the names of the types by which editors choose colours: all of them are
// those of the protocol, so that themes know them.
var TokenTypes = [...]string{
	TokenKind: "keyword", TokenClause: "modifier", TokenOperator: "operator", TokenComment: "comment",
	TokenText: "string", TokenNumber: "number", TokenUnit: "type", TokenPart: "class", TokenArgument: "parameter",
	TokenFile: "namespace", TokenInput: "variable", TokenPoint: "property", TokenWire: "interface", TokenThing: "struct",
	TokenLogic: "function", TokenState: "enumMember", TokenClaim: "event", TokenRule: "macro", TokenColour: "decorator",
}

// TokenTraits are what can be said of a token besides its type, as bits.
type TokenTraits uint8

// The traits. The order of their bits is that of [TokenModifiers].
const (
	Declares  TokenTraits = 1 << iota // declared here
	FromUsed                          // of a used file, not the one at hand
	Documents                         // a comment that tells of what follows it
)

// TokenModifiers are the names of the traits in the protocol.
var TokenModifiers = [...]string{"declaration", "defaultLibrary", "documentation"}

// Token is a piece of text in one line with its type.
type Token struct {
	source.Span
	Type   TokenType
	Traits TokenTraits
}

// Tokens reports what is what in a stretch of a document, in the order of the text. It looks
// at words where the text is broken, and at what names stand for where it is not.
func Tokens(ctx context.Context, v *ide.View, in source.Span) ([]Token, error) {
	if in.Len() == 0 {
		return nil, nil
	}
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	p := &painter{f: v.Tree, stmts: v.Tree.All(), uses: x.Uses(v.Src()), defs: x.Definitions(v.Src())}
	ts := v.Tree.Tokens
	for i := max(ts.At(in.Start), 0); i < ts.Len(); i++ {
		t := ide.TokenAt(v.Tree, i)
		if t.Start >= in.End {
			break
		}
		if i%4096 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		p.paint(t)
	}
	return p.out, nil
}

// painter goes through the tokens of a text from its beginning to its end.
type painter struct {
	f     *syntax.File
	stmts []*syntax.Stmt
	uses  []name.Use
	defs  []*name.Def
	out   []Token

	stmt *stmtParts
}

// stmtParts are the places in the line of a statement where words are no clause words.
type stmtParts struct {
	*syntax.Stmt
	values, conds, states, colours []source.Span
}

func (p *painter) add(s source.Span, t TokenType, traits TokenTraits) {
	if s.Len() == 0 {
		return
	}
	// A unit of several words, km/h, is one token.
	if n := len(p.out) - 1; t == TokenUnit && n >= 0 && p.out[n].Type == TokenUnit && p.out[n].End == s.Start {
		p.out[n].End = s.End
		return
	}
	p.out = append(p.out, Token{s, t, traits})
}

func (p *painter) paint(t ide.Token) {
	switch t.Kind {
	case syntax.Space, syntax.Newline, syntax.Comma, syntax.Colon, syntax.OpenParen, syntax.CloseParen,
		syntax.OpenBrace, syntax.CloseBrace:
		return
	case syntax.Slash:
		if st := p.at(t.Start); st != nil && ide.Within(st.values, t.Span) {
			p.add(t.Span, TokenUnit, 0)
		}
		return
	case syntax.Comment:
		traits := TokenTraits(0)
		if strings.HasPrefix(t.Text, "##") {
			traits = Documents
		}
		p.add(source.Span{Start: t.Start, End: t.Start + len(strings.TrimRight(t.Text, "\r"))}, TokenComment, traits)
		return
	case syntax.Text:
		p.add(t.Span, TokenText, 0)
		return
	case syntax.PlusMinus, syntax.Foreign:
		if t.Kind == syntax.PlusMinus {
			p.add(t.Span, TokenOperator, 0)
		}
		return
	case syntax.Percent:
		p.add(t.Span, TokenUnit, 0)
		return
	}
	if p.names(t) {
		return
	}
	st := p.at(t.Start)
	if st == nil {
		return
	}
	if w := st.KindWord(); w.Span == t.Span {
		if st.Kind != nil {
			p.add(t.Span, TokenKind, 0)
		}
		return
	}
	p.word(st, t)
}

// names paints a path, name by name; false where no name of it is known.
func (p *painter) names(t ide.Token) bool {
	i := sort.Search(len(p.uses), func(i int) bool { return p.uses[i].Start >= t.Start })
	found := false
	for ; i < len(p.uses) && p.uses[i].Start < t.End; i++ {
		if u := p.uses[i]; u.End <= t.End && (len(p.out) == 0 || p.out[len(p.out)-1].End <= u.Start) {
			p.name(u.Span, u.Def, 0)
			found = true
		}
	}
	i = sort.Search(len(p.defs), func(i int) bool { return p.defs[i].NamePlace.Start >= t.Start })
	if !found && i < len(p.defs) && p.defs[i].NamePlace.Span == t.Span {
		p.name(t.Span, p.defs[i], Declares)
		return true
	}
	return found
}

func (p *painter) name(s source.Span, d *name.Def, traits TokenTraits) {
	if f := d.NamePlace.File; traits == 0 && f != nil && f.Name != p.f.Src.Name {
		traits = FromUsed
	}
	p.add(s, nameType(d), traits)
}

// nameType is the type of token that a definition's name is.
func nameType(d *name.Def) TokenType {
	switch d.Sort {
	case name.Position, name.Level:
		return TokenState
	case name.Terminal, name.Way:
		return TokenPoint
	case name.Short:
		return TokenFile
	case name.Lost:
		return TokenThing
	}
	switch d.Kind {
	case schema.Part:
		return TokenPart
	case schema.Takes:
		return TokenArgument
	case schema.Quantity, schema.Setting, schema.Option:
		return TokenInput
	case schema.Pin, schema.Port, schema.Node, schema.Ground, schema.Splice:
		return TokenPoint
	case schema.Wire, schema.Hose, schema.Connector:
		return TokenWire
	case schema.Threshold, schema.Timer, schema.Beat, schema.Condition, schema.Result, schema.Modes, schema.Bands, schema.Input, schema.Driver:
		return TokenLogic
	case schema.Mode, schema.Band, schema.ResultRow, schema.TimerRow, schema.ChartRow:
		return TokenState
	case schema.Assume, schema.Require, schema.Drive, schema.Step, schema.Symptom, schema.Noticed, schema.Fault, schema.Bench:
		return TokenClaim
	}
	return TokenThing
}

// at is the statement in whose line an offset is, with its parts.
func (p *painter) at(off int) *stmtParts {
	if p.stmt != nil && p.stmt.Line.Start <= off && off < p.stmt.Line.End {
		return p.stmt
	}
	i := sort.Search(len(p.stmts), func(i int) bool { return p.stmts[i].Span.Start > off }) - 1
	if i < 0 || off >= p.stmts[i].Line.End {
		return nil
	}
	st := &stmtParts{Stmt: p.stmts[i]}
	for n := range st.Nodes() {
		switch n := n.(type) {
		case *syntax.Quantity, *syntax.Count:
			st.values = append(st.values, n.Extent())
		case *syntax.Faults:
			for i := range n.List {
				st.states = append(st.states, n.List[i].Mode.Span)
			}
		case *syntax.Cond:
			st.conds = append(st.conds, n.Span)
			for _, w := range n.Words {
				st.states = append(st.states, w.Span)
			}
		}
	}
	for _, c := range st.Clauses() {
		for _, a := range c.Args {
			switch {
			case a.Slot.Type == schema.SlotColour:
				st.colours = append(st.colours, a.Node.Extent())
			case a.Slot.Type == schema.SlotName:
				st.states = append(st.states, a.Node.Extent())
			}
		}
	}
	p.stmt = st
	return st
}

// word paints a word that is no name that is known.
func (p *painter) word(st *stmtParts, t ide.Token) {
	switch {
	case t.Kind == syntax.Number:
		p.add(t.Span, TokenNumber, 0)
	case t.Kind == syntax.Mixed && ide.Within(st.values, t.Span):
		if n, rest, ok := syntax.SplitNumber(t.Text); ok {
			p.add(source.Span{Start: t.Start, End: t.Start + len(n)}, TokenNumber, 0)
			p.add(source.Span{Start: t.End - len(rest), End: t.End}, TokenUnit, 0)
		}
	case t.Kind == syntax.Mixed || t.Kind == syntax.PathTok:
		// A date, or a name that is not known.
		if st.Has(schema.AcceptUntil) && t.Kind == syntax.Mixed {
			p.add(t.Span, TokenNumber, 0)
		}
	case st.Kind == nil:
	case ide.Within(st.colours, t.Span):
		p.add(t.Span, TokenColour, 0)
	case ide.Within(st.values, t.Span):
		if t.Text == "to" || t.Text == "and" {
			p.add(t.Span, TokenClause, 0)
		} else {
			p.add(t.Span, TokenUnit, 0)
		}
	case ide.Within(st.states, t.Span):
		p.add(t.Span, TokenState, 0)
	case ide.Within(st.conds, t.Span):
		p.add(t.Span, TokenOperator, 0)
	case st.Kind.ID == schema.Accept && len(st.Head().Names) > 0 && st.Head().Names[0].Span == t.Span:
		p.add(t.Span, TokenRule, 0)
	case p.inClause(st, t):
		p.add(t.Span, TokenClause, 0)
	}
}

// inClause reports whether a word belongs to what a clause says; in a statement that is
// broken that is asked of the table of clauses.
func (p *painter) inClause(st *stmtParts, t ide.Token) bool {
	for _, c := range st.Clauses() {
		if c.Span.Start <= t.Start && t.End <= c.Span.End && c.Form != nil {
			for _, e := range c.Form.Elems {
				if e.Word == t.Text {
					return true
				}
			}
		}
	}
	for _, c := range st.Clauses() {
		if !c.Broken && c.Span.Start <= t.Start && t.End <= c.Span.End {
			// Arguments of a call, the words of a choice: each is `when`, `of` or a name.
			return t.Text == "when" || t.Text == "of" || t.Text == "each" || t.Text == "swap" || t.Text == "with"
		}
	}
	if h := st.Head().Span; h.Start <= t.Start && t.End <= h.End {
		switch t.Text {
		case "to", "when", "any", "as":
			return true
		}
		return false
	}
	if st.Broken {
		for _, f := range st.Kind.Forms {
			for _, e := range f.Elems {
				if e.Word == t.Text {
					return true
				}
			}
		}
	}
	return false
}

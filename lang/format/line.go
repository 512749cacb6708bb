package format

import (
	"strings"

	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// Where a line may be broken, the better the higher.
const (
	neverBreak = iota
	innerBreak // after `and`, `or`, or a comma in parentheses
	clauseBreak
)

// item is a word of a line as it will be written.
type item struct {
	text     string
	space    bool      // a space before it
	breaks   int       // whether the line may be broken after it
	comments []comment // comments that follow it; the line is broken then in any case
}

// comment is one between the words of a statement, in a line of its own or behind a word.
type comment struct {
	text string
	own  bool
}

// canonical writes the line of a statement with its brace and returns the comments that
// stand between the two.
func (p *printer) canonical(s *syntax.Stmt, depth int) (late []comment) {
	items := p.words(s)
	if s.HasBody {
		last := &items[len(items)-1]
		late, last.comments = last.comments, nil
		items = append(items, item{text: "{", space: true})
	}
	l := layout{out: &p.out, indent: depth * indentWidth, col: depth * indentWidth}
	l.write(items)
	return late
}

// words are the tokens of a statement's line without its brace.
func (p *printer) words(s *syntax.Stmt) []item {
	r := p.rewrite(s)
	p.skipTo(s.Line.Start)
	items := p.items[:0]
	parens, colon := 0, false
	var prev syntax.TokenKind
	fresh := false // nothing but space stands before in its line
	for ; p.at < p.ts.Len() && p.ts.Span(p.at).Start < s.Line.End; p.at++ {
		span := p.ts.Span(p.at)
		kind := p.ts[p.at].Kind
		switch kind {
		case syntax.Newline:
			fresh = true
			continue
		case syntax.Space:
			continue
		case syntax.Comment:
			last := &items[len(items)-1]
			last.comments = append(last.comments, comment{strings.TrimRight(p.tokenText(p.at), " \t\v\f"), fresh})
			continue
		case syntax.OpenBrace:
			continue
		}
		fresh = false
		text, ok := r.text[span.Start]
		switch {
		case !ok:
			text = p.text[span.Start:span.End]
		case text == "":
			continue
		}
		it := item{text: text, space: len(items) > 0}
		switch kind {
		case syntax.Comma, syntax.Colon, syntax.CloseParen, syntax.Slash:
			it.space = false
		case syntax.OpenParen:
			it.space = it.space && !r.calls[span.Start]
		case syntax.PlusMinus:
			it.text = "+-"
		}
		switch prev {
		case syntax.OpenParen, syntax.Slash, syntax.PlusMinus:
			it.space = false
		}
		switch kind {
		case syntax.OpenParen:
			parens++
		case syntax.CloseParen:
			parens--
		case syntax.Comma:
			it.breaks = innerBreak
			if parens == 0 {
				it.breaks = clauseBreak
			}
		case syntax.Colon:
			if !colon {
				colon = true
				it.breaks = innerBreak
				if onlyClause(s) {
					it.breaks = clauseBreak
				}
			}
		case syntax.NameTok:
			if text == "and" || text == "or" {
				it.breaks = innerBreak
			}
		}
		prev = kind
		items = append(items, it)
	}
	p.items = items
	return items
}

// onlyClause reports whether there is a single clause: then the line is best broken after
// the colon.
func onlyClause(s *syntax.Stmt) bool { return len(s.Clauses()) == 1 }

// rewriting says which tokens are spelled differently in the canonical text.
type rewriting struct {
	text  map[int]string // by offset; "" for a token that the one before covers
	calls map[int]bool   // parentheses that follow a part's name
}

func (p *printer) rewrite(s *syntax.Stmt) rewriting {
	r := p.rewriting
	clear(r.text)
	clear(r.calls)
	for _, c := range s.Clauses() {
		for _, a := range c.Args {
			w, ok := a.Node.(*syntax.Word)
			if !ok || a.Slot.Type != schema.SlotColour && a.Slot.Type != schema.SlotArgType {
				continue
			}
			p.replace(r, p.ts.At(w.Start), w.End, w.Text)
		}
	}
	for n := range s.Nodes() {
		switch n := n.(type) {
		case *syntax.Quantity:
			p.quantity(r, n)
		case *syntax.Call:
			for i := p.ts.At(n.Part.Start) + 1; i < p.ts.Len() && p.ts.Span(i).Start < n.End; i++ {
				if p.ts[i].Kind == syntax.OpenParen {
					r.calls[p.ts.Span(i).Start] = true
					break
				}
			}
		}
	}
	return r
}

// replace lets text stand for the tokens from one up to an offset.
func (p *printer) replace(r rewriting, i, end int, text string) {
	for ; i < p.ts.Len() && p.ts.Span(i).Start < end; i++ {
		if p.ts[i].Kind <= syntax.Comment {
			continue
		}
		r.text[p.ts.Span(i).Start] = text
		text = ""
	}
}

// quantity settles the spelling of units: `12V` is `12 V`, `25 °C` is `25 degC`.
func (p *printer) quantity(r rewriting, q *syntax.Quantity) {
	for i := p.ts.At(q.Start); i < p.ts.Len() && p.ts.Span(i).Start < q.End; i++ {
		switch p.ts[i].Kind {
		case syntax.Mixed:
			number, symbol, ok := syntax.SplitNumber(p.tokenText(i))
			if !ok {
				continue
			}
			end := p.unitEnd(i + 1)
			rest := p.text[p.ts.Span(i).End:p.ts[end-1:].Span(0).End]
			if u, ok := unit.Lookup(symbol + rest); ok {
				p.replace(r, i, p.ts.Span(end-1).End, number+" "+u.Symbol)
			}
			i = end - 1
		case syntax.Number:
			i = p.unitAfter(r, i, q.End)
		}
	}
}

// unitAfter rewrites the unit behind a number and returns the last token of it.
func (p *printer) unitAfter(r rewriting, number, limit int) int {
	i := number + 1
	if p.ts[i].Kind == syntax.Slash { // 2/0 AWG
		return i + 1
	}
	for i < p.ts.Len() && p.ts[i].Kind <= syntax.Comment {
		i++
	}
	if i >= p.ts.Len() || p.ts.Span(i).Start >= limit {
		return number
	}
	if k := p.ts[i].Kind; k != syntax.NameTok && k != syntax.Mixed && k != syntax.Number {
		return number
	}
	end := p.unitEnd(i + 1)
	if u, ok := unit.Lookup(p.text[p.ts.Span(i).Start:p.ts.Span(end-1).End]); ok {
		p.replace(r, i, p.ts.Span(end-1).End, u.Symbol)
		return end - 1
	}
	return number
}

// unitEnd finds the token behind a unit that goes on with slashes: km/h.
func (p *printer) unitEnd(i int) int {
	for i+1 < p.ts.Len() && p.ts[i].Kind == syntax.Slash && (p.ts[i+1].Kind == syntax.NameTok || p.ts[i+1].Kind == syntax.Mixed) {
		i += 2
	}
	return i
}

// layout writes items, breaking the line where it would become too long.
type layout struct {
	out    *strings.Builder
	indent int
	col    int
}

func (l *layout) write(items []item) {
	if l.indent+length(items) <= maxWidth {
		l.pieces(items, neverBreak)
		return
	}
	l.pieces(items, clauseBreak)
}

// length is the width of items in one line; too wide where a comment breaks it.
func length(items []item) int {
	n := 0
	for i, it := range items {
		n += width(it.text)
		if it.space && i > 0 {
			n++
		}
		if len(it.comments) > 0 && i < len(items)-1 {
			return maxWidth + 1
		}
	}
	return n
}

// pieces writes items in pieces that end where the line may be broken at a level; each
// goes into the current line if it fits there, otherwise into a line of its own, and
// where it does not fit into one it is divided at the next level.
func (l *layout) pieces(items []item, level int) {
	for len(items) > 0 {
		n := 1
		for n < len(items) && (level == neverBreak || items[n-1].breaks < level) && len(items[n-1].comments) == 0 {
			n++
		}
		piece := items[:n]
		items = items[n:]
		space := 0
		if piece[0].space && l.col > l.indent {
			space = 1
		}
		wide := length(piece)
		if level != neverBreak && l.col+space+wide > maxWidth && l.begun() {
			l.newLine()
			space = 0
		}
		if level > innerBreak && l.col+space+wide > maxWidth {
			l.pieces(piece, level-1)
			continue
		}
		l.line(piece)
	}
}

// begun reports whether something stands in the current line.
func (l *layout) begun() bool {
	s := l.out.String()
	return len(s) > 0 && s[len(s)-1] != ' ' && s[len(s)-1] != '\n'
}

func (l *layout) newLine() {
	l.out.WriteByte('\n')
	l.col = l.indent + indentWidth
	for range l.col {
		l.out.WriteByte(' ')
	}
}

func (l *layout) line(items []item) {
	for _, it := range items {
		if it.space && l.begun() {
			l.out.WriteByte(' ')
			l.col++
		}
		l.out.WriteString(it.text)
		l.col += width(it.text)
		for _, c := range it.comments {
			switch {
			case l.begun() && c.own:
				l.newLine()
			case l.begun():
				l.out.WriteString("  ")
			}
			l.out.WriteString(c.text)
			l.newLine()
		}
	}
}

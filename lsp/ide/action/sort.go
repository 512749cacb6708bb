package action

import (
	"context"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
	"pintle/lsp/ide/layout"
)

// sortBody offers to put the statements of a body, or of the file, into the order of the
// reference: the world, what joins, fits, what is in a body, controllers, logic, claims.
// Within a kind they stay in their order. Nothing is offered where order has a meaning:
// among transitions, rows, bands and steps.
func (a *actor) sortBody() error {
	st := a.statement()
	body, span := a.f.Stmts, source.Span{Start: 0, End: len(a.f.Src.Text)}
	title := "Sort the file by kind"
	switch {
	case st != nil && st.HasBody && st.Kind != nil && st.Kind.Inside&schema.InBodies != 0:
		body, span = st.Body, st.BodySpan
		title = "Sort this body by kind"
		if n := st.Name().Text; n != "" {
			title = "Sort the body of " + n + " by kind"
		}
		if st.Span.End == st.BodySpan.End {
			return nil // never closed
		}
	case st != nil && st.Parent != nil:
		return nil
	}
	if len(body) < 2 || slices.IsSortedFunc(body, byKind) {
		return nil
	}
	x := Action{Title: title, Kind: RefactorRewrite}
	pieces, why := cutBody(a.f, body, span)
	if why != "" {
		x.Disabled = why
		a.out = append(a.out, x)
		return nil
	}
	src := a.f.Src
	x.Make = func(context.Context) ([]diag.Edit, error) {
		slices.SortStableFunc(pieces, func(a, b piece) int { return byKind(a.stmt, b.stmt) })
		nl := ide.Newline(src)
		var b strings.Builder
		for i, p := range pieces {
			if i > 0 && apartFrom(pieces[i-1], p) {
				b.WriteString(nl)
			}
			b.WriteString(p.text)
		}
		whole := source.Span{Start: pieces[0].from, End: pieces[0].to}
		for _, p := range pieces {
			whole = whole.Join(source.Span{Start: p.from, End: p.to})
		}
		return layout.LineEditsIn(src, whole, b.String()), nil
	}
	a.out = append(a.out, x)
	return nil
}

func byKind(a, b *syntax.Stmt) int {
	rank := func(s *syntax.Stmt) int {
		if s.Kind == nil {
			return -1
		}
		return int(s.Kind.ID)
	}
	return rank(a) - rank(b)
}

// apartFrom reports whether an empty line stands between two statements: between groups,
// around bodies, below title and uses, and where there was one before.
func apartFrom(above, p piece) bool {
	a, b := above.stmt.Kind, p.stmt.Kind
	return a.Group != b.Group || a != b && (a.ID == schema.Title || a.ID == schema.Use) ||
		p.apart || p.stmt.HasBody || above.stmt.HasBody
}

// piece is a statement with the comments above it and all of its lines.
type piece struct {
	stmt     *syntax.Stmt
	from, to int
	text     string
	apart    bool // an empty line stands above it
}

// cutBody cuts a body into the lines of its statements; why says what stands in the way.
func cutBody(f *syntax.File, body []*syntax.Stmt, span source.Span) (pieces []piece, why string) {
	src, nl := f.Src, ide.Newline(f.Src)
	at := span.Start
	for i, st := range body {
		if st.Kind == nil || st.Broken {
			return nil, "a statement in it was not understood"
		}
		lines, ok := ide.WholeLines(src, st.Span)
		if !ok || lines.Start < at && i > 0 {
			return nil, "two statements share a line"
		}
		from := max(ide.WithDocs(src, lines.Start), min(at, lines.Start))
		// Nothing stands between it and the statement before; what is above the first one
		// stays there.
		if between := strings.TrimSpace(src.Text[min(at, from):from]); between != "" && i > 0 {
			return nil, "a comment stands by itself, and nobody knows what it belongs to"
		}
		text := src.Text[from:lines.End]
		if !strings.HasSuffix(text, "\n") {
			text += nl
		}
		pieces = append(pieces, piece{stmt: st, from: from, to: lines.End, text: text,
			apart: i > 0 && strings.TrimSpace(src.Line(max(src.LineOf(from)-1, 0))) == ""})
		at = lines.End
	}
	if strings.TrimSpace(src.Text[min(at, span.End):span.End]) != "" {
		return nil, "a comment stands by itself at the end, and nobody knows what it belongs to"
	}
	return pieces, ""
}

package complete

import (
	"context"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// Signature is what a part takes, and which of it the cursor is at.
type Signature struct {
	Label      string // Fuse(rating: A)
	Doc        ide.Text
	Parameters []Parameter
	Active     int // -1: none
}

// Parameter is one argument of a part.
type Parameter struct {
	Span source.Span // in the label
	Doc  ide.Text
}

// SignatureAt reports what the part takes whose arguments are being written at a byte
// offset; nil where none are.
func SignatureAt(ctx context.Context, v *ide.View, off int) (*Signature, error) {
	s := ide.FindSpot(v.Tree, off)
	if s.Comment || s.Text != nil || s.Stmt == nil || s.Stmt.Kind == nil {
		return nil, nil
	}
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	scope := ide.ScopeIn(x, v.Tree, s.Block)
	var part *name.Def
	from := -1
	switch s.Stmt.Kind.ID {
	case schema.Fit:
		depth := 0
		for i, t := range s.Toks {
			switch t.Kind {
			case syntax.OpenParen:
				if depth++; depth == 1 && i > 0 && ide.Wordish(s.Toks[i-1].Kind) {
					from, part = i+1, ide.FollowText(scope, s.Toks[i-1].Text)
				}
			case syntax.CloseParen:
				if depth--; depth == 0 {
					from = -1
				}
			}
		}
	case schema.Bench:
		for i, t := range s.Toks {
			if t.Kind == syntax.NameTok && t.Text == "with" && i > 0 && s.Toks[i-1].Kind == syntax.Colon {
				from = i + 1
			}
		}
		if p := ide.Enclosing(s.Block, schema.Part); p != nil {
			part = ide.DefOf(ide.ScopeIn(x, v.Tree, p.Parent), p)
		}
	}
	if from < 0 || part == nil || part.Kind != schema.Part {
		return nil, nil
	}
	return signature(part, s, s.Toks[from:]), nil
}

// signature writes what a part takes. Arguments are given by name, so the active one is
// the one whose name stands there, or would be the next in order that is not given yet.
func signature(part *name.Def, s *ide.Spot, toks []ide.Token) *Signature {
	args := ide.ArgumentsOf(part)
	given := map[string]bool{}
	current, depth, begins := "", 0, true
	for _, t := range toks {
		switch t.Kind {
		case syntax.OpenParen:
			depth++
		case syntax.CloseParen:
			depth--
		case syntax.Comma:
			if depth == 0 {
				begins, current = true, ""
				continue
			}
		}
		if begins {
			current, begins = t.Text, false
			given[t.Text] = true
		}
	}
	sig := &Signature{Active: -1}
	if begins {
		current = s.File.Src.Text[s.Word.Start:s.Word.End]
	}
	var label strings.Builder
	label.WriteString(part.Name + "(")
	for i, a := range args {
		if i > 0 {
			label.WriteString(", ")
		}
		start := label.Len()
		label.WriteString(a.Name + ": " + ide.Takes(a))
		var doc ide.Text
		doc.Add(ide.Words, a.Doc())
		for _, form := range [...]schema.FormID{schema.TakesDefault, schema.TakesDefaultWhen} {
			if cl := a.Stmt.Clause(form); cl != nil {
				doc.Add(ide.Words, "`"+ide.TextOf(a.Stmt, cl)+"`")
			}
		}
		if how := argumentType(ide.Takes(a)); how != "" {
			doc.Add(ide.Words, how)
		}
		sig.Parameters = append(sig.Parameters, Parameter{Span: source.Span{Start: start, End: label.Len()}, Doc: doc})
		if a.Name == current {
			sig.Active = i
		}
	}
	label.WriteByte(')')
	sig.Label = label.String()
	sig.Doc.Add(ide.Words, part.Doc())
	for i, a := range args {
		if sig.Active < 0 && begins && !given[a.Name] {
			sig.Active = i
		}
	}
	return sig
}

package ide

import (
	"context"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Signature is what a part takes, and which of it the cursor is at.
type Signature struct {
	Label      string // Fuse(rating: A)
	Doc        Text
	Parameters []Parameter
	Active     int // -1: none
}

// Parameter is one argument of a part.
type Parameter struct {
	Span source.Span // in the label
	Doc  Text
}

// SignatureAt tells what the part takes whose arguments are being written at a byte
// offset; nil where none are.
func SignatureAt(ctx context.Context, v *View, off int) (*Signature, error) {
	s := findSpot(v.Tree, off)
	if s.comment || s.text != nil || s.stmt == nil || s.stmt.Kind == nil {
		return nil, nil
	}
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	scope := scopeIn(x, v.Tree, s.block)
	var part *name.Def
	from := -1
	switch s.stmt.Kind.ID {
	case schema.Fit:
		depth := 0
		for i, t := range s.toks {
			switch t.kind {
			case syntax.OpenParen:
				if depth++; depth == 1 && i > 0 && wordish(s.toks[i-1].kind) {
					from, part = i+1, followText(scope, s.toks[i-1].text)
				}
			case syntax.CloseParen:
				if depth--; depth == 0 {
					from = -1
				}
			}
		}
	case schema.Bench:
		for i, t := range s.toks {
			if t.kind == syntax.NameTok && t.text == "with" && i > 0 && s.toks[i-1].kind == syntax.Colon {
				from = i + 1
			}
		}
		if p := enclosing(s.block, schema.Part); p != nil {
			part = defOf(scopeIn(x, v.Tree, p.Parent), p)
		}
	}
	if from < 0 || part == nil || part.Kind != schema.Part {
		return nil, nil
	}
	return signature(part, s, s.toks[from:]), nil
}

// signature writes what a part takes. Arguments are given by name, so the active one is
// the one whose name stands there, or would be the next in order that is not given yet.
func signature(part *name.Def, s *spot, toks []token) *Signature {
	args := argumentsOf(part)
	given := map[string]bool{}
	current, depth, begins := "", 0, true
	for _, t := range toks {
		switch t.kind {
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
			current, begins = t.text, false
			given[t.text] = true
		}
	}
	sig := &Signature{Active: -1}
	if begins {
		current = s.file.Src.Text[s.word.Start:s.word.End]
	}
	var label strings.Builder
	label.WriteString(part.Name + "(")
	for i, a := range args {
		if i > 0 {
			label.WriteString(", ")
		}
		start := label.Len()
		label.WriteString(a.Name + ": " + takes(a))
		var doc Text
		doc.add(Words, a.Doc())
		for _, form := range [...]schema.FormID{schema.TakesDefault, schema.TakesDefaultWhen} {
			if cl := a.Stmt.Clause(form); cl != nil {
				doc.add(Words, "`"+textOf(a.Stmt, cl)+"`")
			}
		}
		if how := argumentType(takes(a)); how != "" {
			doc.add(Words, how)
		}
		sig.Parameters = append(sig.Parameters, Parameter{Span: source.Span{Start: start, End: label.Len()}, Doc: doc})
		if a.Name == current {
			sig.Active = i
		}
	}
	label.WriteByte(')')
	sig.Label = label.String()
	sig.Doc.add(Words, part.Doc())
	for i, a := range args {
		if sig.Active < 0 && begins && !given[a.Name] {
			sig.Active = i
		}
	}
	return sig
}

package ide

import (
	"slices"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// scopeIn returns the scope of the body of a statement, nil standing for the top level:
// that which names in it are looked up in.
func scopeIn(x *name.Index, f *syntax.File, block *syntax.Stmt) *name.Scope {
	at := 0
	if block != nil {
		at = block.BodySpan.Start
	}
	s := x.ScopeAt(f.Src, at)
	if block == nil {
		for s != nil && s.Owner != nil {
			s = s.Owner.In // something begins at the very first byte
		}
	}
	return naming(s)
}

// naming goes from the inside of modes, bands and the like to what surrounds it.
func naming(s *name.Scope) *name.Scope {
	for s != nil && s.Kind == name.OfMembers && s.Owner != nil {
		s = s.Owner.In
	}
	return s
}

// follow resolves a path that is written as text.
func follow(s *name.Scope, path []string) *name.Def {
	if s == nil || len(path) == 0 {
		return nil
	}
	d := s.Lookup(path[0])
	for _, p := range path[1:] {
		if d == nil {
			return nil
		}
		d = d.Member(p)
	}
	return d
}

func followText(s *name.Scope, path string) *name.Def {
	if path == "" {
		return nil
	}
	return follow(s, strings.Split(path, "."))
}

// defOf finds the definition that a statement makes.
func defOf(s *name.Scope, st *syntax.Stmt) *name.Def {
	if s == nil || st == nil {
		return nil
	}
	for _, list := range [...][]*name.Def{s.Defs, s.Claims} {
		for _, d := range list {
			if d.Stmt == st {
				return d
			}
		}
	}
	return nil
}

// argumentsOf lists what a part takes, in the order of the text.
func argumentsOf(part *name.Def) []*name.Def {
	if part == nil || part.Inner == nil {
		return nil
	}
	var out []*name.Def
	for _, d := range part.Inner.Defs {
		if d.Sort == name.Thing && d.Kind == schema.Takes {
			out = append(out, d)
		}
	}
	return out
}

// enclosing finds the nearest statement of a kind that a body is, or is in.
func enclosing(block *syntax.Stmt, ids ...schema.ID) *syntax.Stmt {
	for ; block != nil; block = block.Parent {
		if block.Kind != nil && slices.Contains(ids, block.Kind.ID) {
			return block
		}
	}
	return nil
}

// statements lists those of a body, those under `only when` too.
func statements(body []*syntax.Stmt) []*syntax.Stmt {
	var out []*syntax.Stmt
	for _, st := range body {
		if st.Kind != nil && st.Kind.ID == schema.Only {
			out = append(out, statements(st.Body)...)
			continue
		}
		out = append(out, st)
	}
	return out
}

// bodyOf lists the statements of a body; nil stands for the top level.
func bodyOf(f *syntax.File, block *syntax.Stmt) []*syntax.Stmt {
	if block == nil {
		return statements(f.Stmts)
	}
	return statements(block.Body)
}

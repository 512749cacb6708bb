package ide

import (
	"slices"
	"strings"

	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// ScopeIn returns the scope of the body of a statement, nil standing for the top level:
// that which names in it are looked up in.
func ScopeIn(x *name.Index, f *syntax.File, block *syntax.Stmt) *name.Scope {
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
	return Naming(s)
}

// Naming goes from the inside of modes, bands and the like to what surrounds it.
func Naming(s *name.Scope) *name.Scope {
	for s != nil && s.Kind == name.OfMembers && s.Owner != nil {
		s = s.Owner.In
	}
	return s
}

// Follow resolves a path that is written as text.
func Follow(s *name.Scope, path []string) *name.Def {
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

func FollowText(s *name.Scope, path string) *name.Def {
	if path == "" {
		return nil
	}
	return Follow(s, strings.Split(path, "."))
}

// DefOf finds the definition that a statement makes.
func DefOf(s *name.Scope, st *syntax.Stmt) *name.Def {
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

// ArgumentsOf lists what a part takes, in the order of the text.
func ArgumentsOf(part *name.Def) []*name.Def {
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

// Enclosing finds the nearest statement of a kind that a body is, or is in.
func Enclosing(block *syntax.Stmt, ids ...schema.ID) *syntax.Stmt {
	for ; block != nil; block = block.Parent {
		if block.Kind != nil && slices.Contains(ids, block.Kind.ID) {
			return block
		}
	}
	return nil
}

// Statements lists those of a body, those under `only when` too.
func Statements(body []*syntax.Stmt) []*syntax.Stmt {
	var out []*syntax.Stmt
	for _, st := range body {
		if st.Kind != nil && st.Kind.ID == schema.Only {
			out = append(out, Statements(st.Body)...)
			continue
		}
		out = append(out, st)
	}
	return out
}

// BodyOf lists the statements of a body; nil stands for the top level.
func BodyOf(f *syntax.File, block *syntax.Stmt) []*syntax.Stmt {
	if block == nil {
		return Statements(f.Stmts)
	}
	return Statements(block.Body)
}

package names

import (
	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/schema"
)

// idleFiles reports files that are used for nothing: they hold parts only, and none of
// them is named.
func (s *search) idleFiles() {
	top := s.p.Read.Index.Files()[0]
	named := map[*name.Scope]bool{}
	for _, u := range s.uses {
		if u.Def.Sort != name.Short {
			named[fileOf(u.Def.In)] = true
		}
	}
	plain := 0
	for i := range top.Items {
		if it := &top.Items[i]; it.Stmt.Kind.ID == schema.Use && len(it.Defs) == 0 {
			plain++
		}
	}
	if plain != len(top.Uses) {
		return // one is used twice: which statement brings in which can't be told
	}
	plain = 0
	for i := range top.Items {
		it := &top.Items[i]
		if it.Stmt.Kind.ID != schema.Use {
			continue
		}
		var used *name.Scope
		if len(it.Defs) > 0 {
			used = it.Defs[0].File()
		} else {
			used = top.Uses[plain]
			plain++
		}
		text := it.Stmt.Head().Text
		if text == nil || used == nil || named[used] || !onlyParts(used, map[*name.Scope]bool{}) {
			continue
		}
		s.p.Report(diag.Finding{
			Place: it.Stmt.Place(it.Stmt.Line), Tags: []diag.Tag{diag.Unnecessary},
			Message: "nothing names a part of the file " + text.Text,
			Why:     "the file is read for nothing, and a reader looks in vain for what this one uses from it",
			Help:    "fit a part of it, or take the line out",
			Fixes:   []diag.Fix{{Title: "take the line out", Edits: []diag.Edit{removalOf(it.Stmt)}}},
		})
	}
}

// fileOf is the scope of the file that a scope stands in.
func fileOf(s *name.Scope) *name.Scope {
	for s != nil && s.Kind != name.OfFile {
		if s.Owner == nil {
			return nil
		}
		s = s.Owner.In
	}
	return s
}

// onlyParts reports whether a file, and those that it uses, declare nothing but parts.
func onlyParts(file *name.Scope, seen map[*name.Scope]bool) bool {
	if seen[file] {
		return true
	}
	seen[file] = true
	for i := range file.Items {
		it := &file.Items[i]
		switch it.Stmt.Kind.ID {
		case schema.Title, schema.Part:
		case schema.Use:
			if len(it.Defs) > 0 && (it.Defs[0].File() == nil || !onlyParts(it.Defs[0].File(), seen)) {
				return false
			}
		default:
			return false
		}
	}
	for _, f := range file.Uses {
		if !onlyParts(f, seen) {
			return false
		}
	}
	return true
}

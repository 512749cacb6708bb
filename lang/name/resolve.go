package name

import (
	"strconv"

	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// CallOf returns the part and arguments that a fit names, or nil.
func CallOf(fit *Def) *syntax.Call {
	if fit.Kind != schema.Fit || fit.Stmt == nil {
		return nil
	}
	for _, form := range [...]schema.FormID{schema.FitPart, schema.FitMany} {
		if c := fit.Stmt.Clause(form); c != nil {
			return c.Call("part")
		}
	}
	return nil
}

// Resolve follows a path from a scope by the text alone, without regard to options
// and to how many of a thing there are. It returns nil where a name is not known.
func Resolve(s *Scope, ref *syntax.Ref) *Def {
	if ref == nil || len(ref.Parts) == 0 {
		return nil
	}
	d := s.Lookup(ref.Parts[0].Text)
	for _, w := range ref.Parts[1:] {
		if d == nil {
			return nil
		}
		d = d.Member(w.Text)
	}
	return d
}

// Member returns what is behind a dot of the definition. The number of one of several
// fits, wires or of a connector's way leads to the definition itself.
func (d *Def) Member(name string) *Def {
	s := d.Inner
	if part := PartOf(d); part != nil {
		s = part.Inner
	}
	if d.Sort == Short {
		s = d.file
	}
	if s != nil {
		if m := s.Own(name); m != nil {
			return m
		}
	}
	switch d.Kind {
	case schema.Fit, schema.Wire, schema.Connector:
		if _, err := strconv.ParseUint(name, 10, 31); err == nil {
			return d
		}
	}
	return nil
}

// UseFile joins a used file to the scope of the one that uses it, by the short name
// that the `use` statement defines or, if short is nil, plainly.
func (s *Scope) UseFile(used *Scope, short *Def) {
	if short != nil {
		short.file = used
		return
	}
	s.Uses = append(s.Uses, used)
}

// File returns the scope of the file that a short name stands for.
func (d *Def) File() *Scope { return d.file }

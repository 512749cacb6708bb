package name

import (
	"iter"

	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// ScopeKind says what a scope is the inside of.
type ScopeKind uint8

// The scopes.
const (
	OfFile    ScopeKind = iota
	OfPart              // sees parts and options of its file, nothing else of it
	OfFit               // a one-off body; sees what surrounds it
	OfBench             // sees the inside of its part
	OfMembers           // positions, modes, rows, bands, levels, terminals, steps
)

// small is the number of names up to which a scope is searched rather than mapped.
const small = 8

// Scope is a set of names. Scopes are made once from the text and then only read.
type Scope struct {
	Kind  ScopeKind
	File  *syntax.File
	Span  source.Span // from brace to brace; of a file all of it
	Outer *Scope      // whose names are seen too; nil for a file and for members
	Owner *Def        // nil for a file
	Items []Item      // the statements, those under `only when` too
	Defs  []*Def      // in the order of the text
	// Claims are the requirements, drives, symptoms, faults and assumptions. Their
	// names stand by themselves: nothing else can be taken for them.
	Claims []*Def
	// Lost are names of statements that could not be told apart.
	Lost []*Def
	// Uses are the files that are used without a short name.
	Uses []*Scope
	// Controller: there is a `powered` line in it.
	Controller bool
	// Shown holds the names that a part shows, besides pins and ports.
	Shown map[string]bool

	byName map[string]*Def
	inner  []*Scope // scopes of bodies in it, in the order of the text
}

// Own finds a name that is defined in the scope itself. Twins follow the first.
func (s *Scope) Own(name string) *Def {
	if s.byName != nil {
		return s.byName[name]
	}
	for _, d := range s.Defs {
		if d.Name == name {
			return d
		}
	}
	return nil
}

// Claim finds a requirement, drive, symptom, fault or assumption.
func (s *Scope) Claim(name string, kind schema.ID) *Def {
	for _, d := range s.Claims {
		if d.Name == name && d.Kind == kind {
			return d
		}
	}
	return nil
}

// Here finds a name that can be used in the scope without a dot for what is defined
// or used there, not what surrounds it.
func (s *Scope) Here(name string) *Def {
	if d := s.Own(name); d != nil {
		return d
	}
	for _, u := range s.Uses {
		if d := u.Own(name); d != nil && d.Sort != Short {
			return d
		}
	}
	return nil
}

// Lookup finds what a name stands for in the scope and around it.
func (s *Scope) Lookup(name string) *Def {
	inPart := false
	for t := s; t != nil; t = t.Outer {
		if d := t.Here(name); d != nil && (!inPart || d.Global()) {
			return d
		}
		inPart = inPart || t.Kind == OfPart
	}
	return nil
}

// Global reports whether the inside of a part sees the definition at the top level:
// parts stand alone and take what they need, but other parts, files and the options
// of the vehicle are the same for all.
func (d *Def) Global() bool {
	return d.Sort == Short || d.Sort == Thing && (d.Kind == schema.Part || d.Kind == schema.Option)
}

// Visible yields every definition that can be named in the scope without a dot,
// nearest first; what is hidden by a nearer one of the same name is left out.
func (s *Scope) Visible() iter.Seq[*Def] {
	return func(yield func(*Def) bool) {
		seen := map[string]bool{}
		each := func(defs []*Def, inPart, used bool) bool {
			for _, d := range defs {
				if seen[d.Name] || inPart && !d.Global() || used && d.Sort == Short {
					continue
				}
				seen[d.Name] = true
				if !yield(d) {
					return false
				}
			}
			return true
		}
		inPart := false
		for t := s; t != nil; t = t.Outer {
			if !each(t.Defs, inPart, false) {
				return
			}
			for _, u := range t.Uses {
				if !each(u.Defs, inPart, true) {
					return
				}
			}
			inPart = inPart || t.Kind == OfPart
		}
	}
}

// SeenFromOutside reports whether a definition inside a part may be named from outside.
func (s *Scope) SeenFromOutside(d *Def) bool {
	if s.Kind != OfPart {
		return true
	}
	return d.Kind == schema.Pin || d.Kind == schema.Port || s.Shown[d.Name]
}

// add enters a definition and returns an earlier one of the same name, if any.
func (s *Scope) add(d *Def) *Def {
	d.In, d.Index = s, len(s.Defs)
	first := s.Own(d.Name)
	s.Defs = append(s.Defs, d)
	switch {
	case first != nil:
		d.Twin, first.Twin = first.Twin, d
	case s.byName != nil:
		s.byName[d.Name] = d
	case len(s.Defs) > small:
		s.byName = make(map[string]*Def, 2*len(s.Defs))
		for _, e := range s.Defs {
			if s.byName[e.Name] == nil {
				s.byName[e.Name] = e
			}
		}
	}
	return first
}

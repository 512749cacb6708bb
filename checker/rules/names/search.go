package names

import (
	"sort"

	"pintle/checker/rule"
	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// search knows which definitions of a root file are named. Files that it uses can't name
// what it declares.
type search struct {
	p        *rule.Pass
	uses     []name.Use // in the root file, in the order of the text
	used     map[*name.Def]bool
	accepted map[*name.Def]bool // named by an acceptance
	design   bool               // the file is a design of its own, not a library
	accepts  []source.Span      // statements
	benches  []source.Span
	read     bool // what is written was looked through too
	fits     map[diag.Place]string
}

func searchIn(p *rule.Pass) *search {
	s := &search{
		p: p, uses: p.Read.Index.Uses(p.Root.Src), design: isDesign(p.Root),
		used: map[*name.Def]bool{}, accepted: map[*name.Def]bool{},
	}
	s.accepts, s.benches = spansOf(p.Root, schema.Accept), spansOf(p.Root, schema.Bench)
	for _, u := range s.uses {
		s.names(u.Span, u.Def)
	}
	return s
}

// names notes that the words in a span of the root file name a definition.
func (s *search) names(span source.Span, d *name.Def) {
	own := d.NamePlace.File == s.p.Root.Src
	switch {
	case within(s.accepts, span):
		s.accepted[d] = true
	case own && inside(d.Stmt.Span, span):
		// A thing that names itself is not used by that.
	case d.Kind == schema.Takes && (!own || !inside(d.In.Span, span) || within(s.benches, span)):
		// To be given is not to be used.
	default:
		s.used[d] = true
	}
}

// readOn looks through what is written as well. The index does not know of names that no
// design came to ask for: what is handed to a part that does nothing with it, what
// stands under options that never hold.
func (s *search) readOn() {
	if s.read {
		return
	}
	s.read = true
	for _, st := range s.p.Root.All() {
		scope := s.p.Read.Index.ScopeAt(s.p.Root.Src, st.Span.Start)
		for scope != nil && scope.Kind == name.OfMembers && scope.Owner != nil {
			scope = scope.Owner.In
		}
		if scope == nil {
			continue
		}
		for n := range st.Nodes() {
			ref, ok := n.(*syntax.Ref)
			if !ok {
				continue
			}
			for i := range ref.Parts {
				if d := name.Resolve(scope, &syntax.Ref{Parts: ref.Parts[:i+1]}); d != nil {
					s.names(ref.Parts[i].Span, d)
				}
			}
		}
	}
}

func inside(outer, inner source.Span) bool {
	return outer.Start <= inner.Start && inner.End <= outer.End
}

// within reports whether a span lies in one of others, which are in order and apart.
func within(all []source.Span, span source.Span) bool {
	i := sort.Search(len(all), func(i int) bool { return all[i].End >= span.End })
	return i < len(all) && inside(all[i], span)
}

// spansOf lists the statements of a kind that does not hold itself.
func spansOf(f *syntax.File, kind schema.ID) []source.Span {
	var out []source.Span
	for _, st := range f.All() {
		if st.Kind != nil && st.Kind.ID == kind {
			out = append(out, st.Span)
		}
	}
	return out
}

// isDesign reports whether a file is a design of its own: it has a title and things of a
// circuit, or it claims something. What another file declares at its top level may be
// there for those that use it.
func isDesign(f *syntax.File) bool {
	title, things := false, false
	for _, st := range f.All() {
		if st.Kind == nil || st.In != schema.InTop {
			continue
		}
		switch st.Kind.ID {
		case schema.Title:
			title = true
		case schema.Require, schema.Drive, schema.Symptom, schema.Noticed:
			return true
		case schema.Use, schema.Part, schema.Option, schema.Quantity, schema.Setting, schema.Condition, schema.Accept, schema.Only:
		default:
			things = true
		}
	}
	return title && things
}

// wholeScope reports whether everything that could name what a scope declares is known: the
// inside of a part or bench, or a file that no other is meant to use.
func (s *search) wholeScope(scope *name.Scope) bool {
	for ; scope != nil; scope = scope.Outer {
		switch scope.Kind {
		case name.OfBench:
			return true
		case name.OfPart:
			return true
		case name.OfFit:
			// What is in a fit that a part shows can be named from outside.
			if in := scope.Owner.In; in.Kind == name.OfPart && in.Shown[scope.Owner.Name] {
				return false
			}
		case name.OfMembers:
			return false
		}
	}
	return s.design
}

// isUsed reports whether anything names a definition or one that stands for the same name
// under other options.
func (s *search) isUsed(d *name.Def) bool {
	if s.named(d) {
		return true
	}
	s.readOn()
	return s.named(d)
}

func (s *search) named(d *name.Def) bool {
	for t := d; t != nil; t = t.Twin {
		if s.used[t] {
			return true
		}
	}
	if first := d.In.Own(d.Name); first != nil && first != d {
		for t := first; t != nil; t = t.Twin {
			if s.used[t] {
				return true
			}
		}
	}
	return false
}

// points are what a wire, a hose or an element may end at.
var points = map[schema.ID]bool{
	schema.Pin: true, schema.Port: true, schema.Node: true, schema.Ground: true, schema.Supply: true,
	schema.Origin: true, schema.Splice: true, schema.Connector: true,
}

// reachesOut reports whether the body of a one-off fit names a point outside of it.
func (s *search) reachesOut(fit *name.Def) bool {
	body := fit.Inner.Span
	from := sort.Search(len(s.uses), func(i int) bool { return s.uses[i].Start >= body.Start })
	for _, u := range s.uses[from:] {
		if u.Start > body.End {
			break
		}
		if points[u.Def.Kind] && !(u.Def.NamePlace.File == s.p.Root.Src && inside(body, u.Def.NamePlace.Span)) {
			return true
		}
	}
	return false
}

// subject is the path by which an acceptance names a definition. What is in a part goes
// by the first fit of it.
func (s *search) subject(d *name.Def) string {
	path := d.Name
	for scope := d.In; scope != nil && scope.Owner != nil; scope = scope.Owner.In {
		switch scope.Kind {
		case name.OfBench:
			return path
		case name.OfPart:
			if fit, ok := s.firstFit(scope.Owner); ok {
				return fit + "." + path
			}
			return path
		}
		path = scope.Owner.Name + "." + path
	}
	return path
}

// firstFit is the path of the first fit of a part, if there is one in some design.
func (s *search) firstFit(part *name.Def) (string, bool) {
	if s.fits == nil {
		s.fits = map[diag.Place]string{}
		for _, d := range s.p.Read.Designs {
			for i := range d.Fits {
				f := &d.Fits[i]
				if _, known := s.fits[f.PartPlace]; !known && f.Part != "" && f.Path != "" {
					s.fits[f.PartPlace] = f.Path
				}
			}
		}
	}
	path, ok := s.fits[part.NamePlace]
	return path, ok
}

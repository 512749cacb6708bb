// Package name says what the names in a text stand for: scopes, and an index of
// definitions and uses that an editor asks.
package name

import (
	"cmp"
	"slices"
	"sort"
	"sync"

	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// Use is a place that names a definition.
type Use struct {
	source.Span
	Def *Def
}

// Index holds the definitions and uses of a root file and all files used by it. It is
// filled while names are resolved, by one goroutine; afterwards many may ask it. What is
// known of a file is put in order when it is first asked for: a check that only wants
// findings never pays for it.
type Index struct {
	files  []*Scope
	byFile map[*source.File]*fileIndex
}

type fileIndex struct {
	scope *Scope
	uses  []Use // sorted by place once in order
	names []*Def
	order sync.Once
}

// NewIndex makes an index of files given by their scopes, the root first.
func NewIndex(files []*Scope) *Index {
	x := &Index{files: files, byFile: make(map[*source.File]*fileIndex, len(files))}
	for _, s := range files {
		x.byFile[s.File.Src] = &fileIndex{scope: s, uses: make([]Use, 0, 3*len(s.Items))}
	}
	return x
}

// Files returns the scopes of all files, the root first.
func (x *Index) Files() []*Scope { return x.files }

// Sink collects the uses found in one file.
type Sink struct{ f *fileIndex }

// Sink returns where to tell the uses in a file.
func (x *Index) Sink(f *syntax.File) Sink { return Sink{x.byFile[f.Src]} }

// Add tells that the words in the span stand for d.
func (s Sink) Add(span source.Span, d *Def) {
	if s.f != nil {
		s.f.uses = append(s.f.uses, Use{span, d})
	}
}

// ordered returns what is known of a file, sorted by place; nil if the file is none of
// the index.
func (x *Index) ordered(file *source.File) *fileIndex {
	f := x.byFile[file]
	if f == nil {
		return nil
	}
	f.order.Do(func() {
		slices.SortFunc(f.uses, func(a, b Use) int {
			if c := cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End)); c != 0 || a.Def == b.Def {
				return c // paths are made anew each time, and seldom needed
			}
			return cmp.Compare(a.Def.Path(), b.Def.Path())
		})
		f.uses = slices.Clip(slices.CompactFunc(f.uses, func(a, b Use) bool { return a.Span == b.Span && a.Def == b.Def }))
		f.scope.collect(&f.names)
		slices.SortStableFunc(f.names, func(a, b *Def) int { return cmp.Compare(a.NamePlace.Start, b.NamePlace.Start) })
	})
	return f
}

// collect gathers every definition of the scope and of those in it.
func (s *Scope) collect(into *[]*Def) {
	for _, list := range [...][]*Def{s.Defs, s.Claims} {
		for _, d := range list {
			*into = append(*into, d)
			if d.Inner != nil {
				d.Inner.collect(into)
			}
		}
	}
}

// Definitions returns every definition of a file in the order of the text.
func (x *Index) Definitions(f *source.File) []*Def {
	if fi := x.ordered(f); fi != nil {
		return fi.names
	}
	return nil
}

// Uses returns every use in a file in the order of the text.
func (x *Index) Uses(f *source.File) []Use {
	if fi := x.ordered(f); fi != nil {
		return fi.uses
	}
	return nil
}

// DefinitionAt returns what the name at a byte offset stands for, be it the place of
// the definition itself or of a use, and the span of that name; nil if there is none.
func (x *Index) DefinitionAt(f *source.File, off int) (*Def, source.Span) {
	fi := x.ordered(f)
	if fi == nil {
		return nil, source.Span{}
	}
	i := sort.Search(len(fi.uses), func(i int) bool { return fi.uses[i].End >= off })
	for ; i < len(fi.uses) && fi.uses[i].Start <= off; i++ {
		if fi.uses[i].Contains(off) {
			return fi.uses[i].Def, fi.uses[i].Span
		}
	}
	i = sort.Search(len(fi.names), func(i int) bool { return fi.names[i].NamePlace.End >= off })
	for ; i < len(fi.names) && fi.names[i].NamePlace.Start <= off; i++ {
		if fi.names[i].NamePlace.Contains(off) {
			return fi.names[i], fi.names[i].NamePlace.Span
		}
	}
	return nil, source.Span{}
}

// UsesOf returns every place that names a definition, in the order of files and text;
// the definition's own place is not among them.
func (x *Index) UsesOf(d *Def) []diag.Place {
	var out []diag.Place
	for _, s := range x.files {
		for _, u := range x.ordered(s.File.Src).uses {
			if u.Def == d && (u.Span != d.NamePlace.Span || s.File.Src != d.NamePlace.File) {
				out = append(out, diag.Place{File: s.File.Src, Span: u.Span})
			}
		}
	}
	return out
}

// ScopeAt returns the innermost scope whose text covers a byte offset.
func (x *Index) ScopeAt(f *source.File, off int) *Scope {
	fi := x.byFile[f]
	if fi == nil {
		return nil
	}
	return fi.scope.at(off)
}

func (s *Scope) at(off int) *Scope {
	i := sort.Search(len(s.inner), func(i int) bool { return s.inner[i].Span.End >= off })
	if i < len(s.inner) && s.inner[i].Span.Start <= off {
		return s.inner[i].at(off)
	}
	return s
}

// InScope returns what can be named at a byte offset without a dot, nearest first.
func (x *Index) InScope(f *source.File, off int) []*Def {
	s := x.ScopeAt(f, off)
	for s != nil && s.Kind == OfMembers && s.Owner != nil {
		s = s.Owner.In // the inside of modes, bands and drives names what surrounds them
	}
	if s == nil {
		return nil
	}
	return slices.Collect(s.Visible())
}

// PartOf returns the part that a fit puts in place; nil for a one-off or a part that
// is not known.
func PartOf(fit *Def) *Def {
	call := CallOf(fit)
	if call == nil || fit.In == nil {
		return nil
	}
	d := Resolve(fit.In, call.Part)
	if d == nil || d.Inner == nil || d.Inner.Kind != OfPart {
		return nil
	}
	return d
}

// Members returns what may be named behind a dot of the definition, from outside.
func Members(d *Def) []*Def {
	s := d.Inner
	if part := PartOf(d); part != nil {
		s = part.Inner
	}
	if d.Sort == Short && d.file != nil {
		s = d.file
	}
	if s == nil {
		return nil
	}
	var out []*Def
	for _, m := range s.Defs {
		if s.SeenFromOutside(m) && m.Sort != Short {
			out = append(out, m)
		}
	}
	return out
}

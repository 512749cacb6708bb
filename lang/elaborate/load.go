package elaborate

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/kinds"
	"pintle/lang/name"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// load reads the root file and everything that it uses, makes their scopes, and joins
// them. A file used twice is read once.
func (e *elaboration) load(root *syntax.File) {
	l := loading{e: e, number: map[*syntax.File]int{}}
	l.add(root, "")
	for _, s := range e.scopes {
		name.Link(s)
	}
}

type loading struct {
	e      *elaboration
	number map[*syntax.File]int
	// stack is the files being read, outermost first, to name the ring of a circle.
	stack []*syntax.File
}

func (l *loading) add(f *syntax.File, prefix string) int {
	e := l.e
	n := len(e.files)
	l.number[f] = n
	s := name.Build(f)
	e.files = append(e.files, f)
	e.scopes = append(e.scopes, s)
	e.prefix = append(e.prefix, prefix)
	l.stack = append(l.stack, f)
	for i := range s.Items {
		it := &s.Items[i]
		if it.Stmt.Kind.ID == kinds.Use && !e.stopped() {
			l.use(s, it, prefix)
		}
	}
	l.stack = l.stack[:len(l.stack)-1]
	return n
}

func (l *loading) use(s *name.Scope, it *name.Item, prefix string) {
	e := l.e
	st := it.Stmt
	text := st.Head().Text
	if text == nil || text.Text == "" || st.Broken {
		return
	}
	var short *name.Def
	if len(it.Defs) > 0 {
		short = it.Defs[0]
	}
	place := st.Place(text.Span)
	used, why := l.read(s.File, text.Text)
	if used == nil {
		if short != nil {
			short.Broken = true
		}
		if short == nil {
			e.missing[s] = true
		}
		e.report(diag.Finding{
			Rule: "import-missing", Place: place,
			Message: "the file `" + text.Text + "` can't be read: " + why,
			Why:     "what it declares is missing here, and everything that names it is unknown",
			Help:    "write the path from the folder of this file, with slashes, ending in .pintle",
		})
		return
	}
	if n, ok := l.number[used]; ok {
		if ring := l.ring(used); ring != "" {
			e.report(diag.Finding{
				Rule: "import-cycle", Place: place,
				Message: "the files use each other in a circle: " + ring,
				Why:     "a file that uses itself has no order in which it could be read",
				Help:    "put what both need into a third file and use that",
			})
		}
		s.UseFile(e.scopes[n], short)
		return
	}
	if short != nil {
		prefix += short.Name + "."
	}
	n := l.add(used, prefix)
	s.UseFile(e.scopes[n], short)
}

func (l *loading) read(from *syntax.File, path string) (f *syntax.File, why string) {
	if l.e.loader == nil {
		return nil, "other files can't be read here"
	}
	f, err := l.e.loader.Load(l.e.ctx, from, path)
	if err != nil {
		return nil, err.Error()
	}
	if f == nil {
		return nil, "there is no such file"
	}
	return f, ""
}

// ring names the files from the one that is used again to the present one and back; it
// is empty when the file is not being read but was read before.
func (l *loading) ring(f *syntax.File) string {
	for i, g := range l.stack {
		if g != f {
			continue
		}
		var names []string
		for _, h := range append(l.stack[i:len(l.stack):len(l.stack)], f) {
			names = append(names, h.Src.Name)
		}
		return strings.Join(names, " uses ")
	}
	return ""
}

// whole is the very beginning of a file, where findings about all of it stand.
func whole(f *syntax.File) diag.Place { return diag.Place{File: f.Src, Span: source.Span{}} }

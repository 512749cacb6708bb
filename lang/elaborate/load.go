package elaborate

import (
	"strings"

	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// load reads the root file and everything that it uses, makes their scopes, and joins
// them. A file used twice is read once.
func (e *elaboration) load(root *syntax.File) {
	l := loading{e: e, number: map[*syntax.File]int{}}
	l.add(root)
	for _, s := range e.scopes {
		name.Link(s)
	}
	l.prefixes()
}

// prefixes names the things of each file by the shortest way that leads from the root
// file to it, as they are written there: a file that is used plainly adds nothing, one
// with a short name adds it.
func (l *loading) prefixes() {
	e := l.e
	e.prefix = make([]string, len(e.files))
	reached := make([]bool, len(e.files))
	reached[0] = true
	for queue := []int{0}; len(queue) > 0; queue = queue[1:] {
		from := queue[0]
		for _, u := range l.uses {
			if u.from != from || reached[u.to] {
				continue
			}
			reached[u.to] = true
			e.prefix[u.to] = e.prefix[from]
			if u.short != nil {
				e.prefix[u.to] += u.short.Name + "."
			}
			queue = append(queue, u.to)
		}
	}
}

type loading struct {
	e      *elaboration
	number map[*syntax.File]int
	// stack is the files being read, outermost first, to name the ring of a circle.
	stack []*syntax.File
	uses  []fileUse
}

// fileUse is one `use` line between two files.
type fileUse struct {
	from, to int
	short    *name.Def // nil: plainly
}

func (l *loading) add(f *syntax.File) int {
	e := l.e
	n := len(e.files)
	l.number[f] = n
	s := name.Build(f)
	e.files = append(e.files, f)
	e.scopes = append(e.scopes, s)
	l.stack = append(l.stack, f)
	for i := range s.Items {
		it := &s.Items[i]
		if it.Stmt.Kind.ID == schema.Use && !e.stopped() {
			l.use(s, it, n)
		}
	}
	l.stack = l.stack[:len(l.stack)-1]
	return n
}

func (l *loading) use(s *name.Scope, it *name.Item, from int) {
	e := l.e
	st := it.Stmt
	text := st.Head().Text
	var short *name.Def
	if len(it.Defs) > 0 {
		short = it.Defs[0]
	}
	if text == nil || text.Text == "" || st.Broken {
		e.missing[s] = e.missing[s] || short == nil
		return
	}
	place := st.Place(text.Span)
	if it.Guard != nil {
		e.onlyForAll(place, "a file is used")
	}
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
				Why:     "there is no order in which such files could be read",
				Help:    "put what both need into a third file and use that",
			})
		}
		l.join(s, short, from, n)
		return
	}
	l.join(s, short, from, l.add(used))
}

// onlyForAll reports what is the same in every variant under an `only when`.
func (e *elaboration) onlyForAll(place diag.Place, what string) {
	e.report(diag.Finding{
		Rule: "wrong-kind", Place: place,
		Message: what + " in every variant or in none",
		Why:     "`only when` chooses what a variant is built of, not what the text is made of",
		Help:    "take this line out of `only when`",
	})
}

func (l *loading) join(s *name.Scope, short *name.Def, from, to int) {
	l.uses = append(l.uses, fileUse{from, to, short})
	s.UseFile(l.e.scopes[to], short)
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

// Package idetest makes the views of documents that tests of editor features ask, from
// texts in which the cursor is marked.
package idetest

import (
	"context"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"sync"
	"testing"

	"pintle/checker/rule"
	"pintle/checker/rules"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// Cursor marks a place in a text.
const Cursor = "‸"

// Folder is where the files of a test are.
const Folder = "/designs/"

var catalogue = sync.OnceValues(rules.All)

// Catalogue is that of all rules.
func Catalogue(t testing.TB) *rule.Catalogue {
	t.Helper()
	c, err := catalogue()
	if err != nil {
		t.Log(err) // what it refuses is the affair of other tests
	}
	return c
}

// At takes the cursor out of a text.
func At(t testing.TB, text string) (string, int) {
	t.Helper()
	before, after, ok := strings.Cut(text, Cursor)
	if !ok {
		t.Fatalf("no %s in %q", Cursor, text)
	}
	return before + after, len(before)
}

// One makes the view of a single text, and the offset of the cursor in it.
func One(t testing.TB, marked string) (*ide.View, int) {
	t.Helper()
	text, off := At(t, marked)
	return Files(t, map[string]string{"main.pintle": text}, "main.pintle"), off
}

// Files makes the view of one of some files.
func Files(t testing.TB, texts map[string]string, name string) *ide.View {
	t.Helper()
	w := &Workspace{trees: map[string]*syntax.File{}, roots: map[string]*ide.Root{}}
	for n, text := range texts {
		full := Folder + n
		w.names = append(w.names, full)
		w.trees[full] = syntax.Parse(source.NewFile(full, text), nil)
	}
	slices.Sort(w.names)
	cat := Catalogue(t)
	for _, n := range w.names {
		w.roots[n] = ide.NewRoot(ide.RootConfig{Tree: w.trees[n], Catalogue: cat, Loader: w})
	}
	v := &ide.View{Tree: w.trees[Folder+name], Workspace: w, Catalogue: cat, Preferences: ide.DefaultPreferences()}
	v.Root = w.roots[Folder+name]
	v.Roots = []*ide.Root{v.Root}
	for _, n := range w.names {
		if n == Folder+name {
			continue
		}
		read, err := w.roots[n].Read(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if slices.Contains(read.Files, v.Tree) {
			v.Roots = append(v.Roots, w.roots[n])
		}
	}
	if own, err := v.Root.Read(t.Context()); err == nil && !designs(own.Files[0]) && len(v.Roots) > 1 {
		v.Root = v.Roots[1]
	}
	return v
}

// designs reports whether a file is a design of its own.
func designs(f *syntax.File) bool {
	return slices.ContainsFunc(f.Stmts, func(s *syntax.Stmt) bool { return s.Kind != nil && s.Kind.Name != "part" && s.Kind.Name != "use" })
}

// Workspace holds the files of a test.
type Workspace struct {
	names []string
	trees map[string]*syntax.File
	roots map[string]*ide.Root
}

// Names implements ide.Workspace.
func (w *Workspace) Names(context.Context) ([]string, error) { return w.names, nil }

// Root implements ide.Workspace.
func (w *Workspace) Root(_ context.Context, name string) (*ide.Root, error) {
	return w.roots[name], nil
}

// Folders implements ide.Workspace.
func (w *Workspace) Folders() []string { return []string{Folder} }

// Load implements elaborate.Loader.
func (w *Workspace) Load(_ context.Context, from *syntax.File, file string) (*syntax.File, error) {
	if f := w.trees[path.Join(path.Dir(from.Src.Name), file)]; f != nil {
		return f, nil
	}
	return nil, fs.ErrNotExist
}

// Examples makes the view of one of the examples of the project, with the others around it.
// dir leads to their folder.
func Examples(t testing.TB, dir, name string) *ide.View {
	t.Helper()
	texts := map[string]string{}
	fsys := os.DirFS(dir)
	err := fs.WalkDir(fsys, ".", func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(p, ".pintle") || strings.HasPrefix(p, "faulty/") {
			return err
		}
		text, err := fs.ReadFile(fsys, p)
		texts[p] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return Files(t, texts, name)
}

// Find returns the offset of a cursor that is marked in a piece of a text which occurs
// just once in it.
func Find(t testing.TB, v *ide.View, marked string) int {
	t.Helper()
	piece, off := At(t, marked)
	if n := strings.Count(v.Src().Text, piece); n != 1 {
		t.Fatalf("%q occurs %d times", piece, n)
	}
	return strings.Index(v.Src().Text, piece) + off
}

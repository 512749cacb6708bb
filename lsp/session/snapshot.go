package session

import (
	"context"
	"errors"
	"maps"
	"path"
	"reflect"
	"slices"
	"strings"
	"sync"
	"weak"

	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/checker/run/settings"
	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

func cmpName(a, b string) int { return strings.Compare(a, b) }

// Snapshot is the state of all texts at one moment.
type Snapshot struct {
	session *Session
	number  uint64
	docs    map[string]*Document // never changed
	folders []string
	allow   files.Bounds
	prefs   ide.Preferences
	scope   Scope
	last    string // the document that was opened or changed last
	over    chan struct{}

	*snapshotMemo
}

// snapshotMemo is what a snapshot found out about the disk; one look each, so that all
// answers agree.
type snapshotMemo struct {
	mu     sync.Mutex
	files  map[string]*diskFile
	names  []string                  // nil: not walked yet
	byID   map[files.Identity]string // of those on disk
	finder *settings.Finder
	wrong  map[string]error          // settings files that can't be used, by name
	passed map[string]string         // settings files that do not count, by name, and why
	open   map[files.Identity]string // the files that open documents lie over
	roots  map[string]weak.Pointer[ide.Root]
}

func newSnapshotMemo() *snapshotMemo {
	return &snapshotMemo{files: map[string]*diskFile{}, wrong: map[string]error{}, passed: map[string]string{}, roots: map[string]weak.Pointer[ide.Root]{}}
}

// Number rises with every change.
func (v *Snapshot) Number() uint64 { return v.number }

// Folders of the workspace.
func (v *Snapshot) Folders() []string { return v.folders }

// Preferences of the client.
func (v *Snapshot) Preferences() ide.Preferences { return v.prefs }

// Document returns an open document, or nil.
func (v *Snapshot) Document(name string) *Document { return v.docs[name] }

// file returns a file as it is on disk.
func (v *Snapshot) file(name string) *diskFile {
	v.mu.Lock()
	f := v.files[name]
	v.mu.Unlock()
	if f != nil {
		return f
	}
	f = v.session.disk.file(name)
	v.mu.Lock()
	defer v.mu.Unlock()
	if first := v.files[name]; first != nil {
		return first
	}
	v.files[name] = f
	return f
}

// content returns what a name stands for; the error is that of the disk.
func (v *Snapshot) content(name string) (*content, error) {
	if d := v.docs[name]; d != nil {
		return d.content, nil
	}
	f := v.file(name)
	return f.content, f.err
}

// Tree of a file, open or on disk.
func (v *Snapshot) Tree(name string) (*syntax.File, error) {
	if d := v.docs[name]; d != nil {
		return d.content.Tree()
	}
	return v.session.disk.tree(v.file(name))
}

// digest of a text; ok is false where there is none.
func (v *Snapshot) digest(name string) (d digest, ok bool) {
	c, err := v.content(name)
	if err != nil {
		return d, false
	}
	return c.digested(), true
}

// Exists reports whether there is such a document or file.
func (v *Snapshot) Exists(name string) bool {
	_, err := v.content(name)
	return err == nil
}

// means is the name by which a file is known, whatever the name that leads to it: that of
// the document that is open on it, else that of the workspace, else the one given.
func (v *Snapshot) means(name string) string {
	if v.docs[name] != nil || !inFile(name) || name == "" {
		return name
	}
	id, ok := v.session.disk.identity(name)
	if !ok {
		return name
	}
	if as, ok := v.opened()[id]; ok {
		return as
	}
	v.mu.Lock()
	as, ok := v.byID[id]
	v.mu.Unlock()
	if ok {
		return as
	}
	return name
}

// opened are the files that open documents lie over.
func (v *Snapshot) opened() map[files.Identity]string {
	v.mu.Lock()
	open := v.open
	v.mu.Unlock()
	if open != nil {
		return open
	}
	open = map[files.Identity]string{}
	for _, n := range slices.Sorted(maps.Keys(v.docs)) {
		if id, ok := v.session.disk.identity(n); ok {
			if _, twice := open[id]; !twice {
				open[id] = n
			}
		}
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	v.open = open
	return open
}

// walk is what was found below a folder.
type walk struct {
	names    []string
	ids      map[files.Identity]string
	failures []run.Failure
}

// Names returns all files of the workspace and all open documents, in order.
func (v *Snapshot) Names(ctx context.Context) ([]string, error) {
	v.mu.Lock()
	names := v.names
	v.mu.Unlock()
	if names != nil {
		return names, nil
	}
	names = []string{}
	byID := map[files.Identity]string{}
	for _, f := range v.folders {
		w, err := v.session.walk(ctx, f)
		if err != nil {
			return nil, err
		}
		names = append(names, w.names...)
		maps.Copy(byID, w.ids)
	}
	for name := range v.docs {
		if path.Base(name) != settings.FileName {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	names = slices.Compact(names)
	v.mu.Lock()
	v.names, v.byID = names, byID
	v.mu.Unlock()
	return names, nil
}

// walk lists the files below a folder, as the command line would check them.
func (s *Session) walk(ctx context.Context, folder string) (walk, error) {
	s.mu.Lock()
	w, ok := s.walked[folder]
	s.mu.Unlock()
	if ok {
		return w, nil
	}
	// Settings that can't be used are reported in their file; what they leave out is then
	// not known.
	found, err := run.Search(ctx, s.disk.files, s.catalogue.Names(), s.disk.limits, []string{folder}, nil)
	if err != nil {
		return w, err
	}
	w.ids = make(map[files.Identity]string, len(found.Roots))
	for _, r := range found.Roots {
		w.names = append(w.names, r.Name)
		w.ids[r.Identity] = r.Name
	}
	w.failures = found.Failures
	s.mu.Lock()
	s.walked[folder] = w
	s.mu.Unlock()
	return w, nil
}

// Settings that hold for a file: those that its folder's pintle.toml has, as it is in
// the editor or else on disk. One that can't be used leaves the last good ones in force;
// see Wrong.
func (v *Snapshot) Settings(name string) *settings.Settings {
	set, _ := v.holds(name)
	return set
}

// holds returns the settings that hold for a file and how far it may reach.
func (v *Snapshot) holds(name string) (*settings.Settings, files.Bounds) {
	v.mu.Lock()
	if v.finder == nil {
		v.finder = settings.NewFinder(settings.Search{
			Files: v.session.disk.files, Open: v.openSettings, Rules: v.session.catalogue.Names(),
			Folders: v.folders, Allow: v.allow, Most: v.session.disk.limits.Settings,
		})
	}
	finder := v.finder
	v.mu.Unlock()
	dir := files.Dir(name)
	if !inFile(name) {
		if len(v.folders) == 0 {
			return settings.Default(), append(files.Bounds{""}, v.allow...) // from nowhere
		}
		dir = v.folders[0]
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	s := v.session
	found, err := finder.For(ctx, dir)
	if err != nil {
		found = &settings.Found{Settings: settings.Default(), Bounds: append(files.Bounds{dir}, v.allow...), Wrong: err}
	}
	v.mu.Lock()
	if found.Wrong != nil && found.File != "" {
		v.wrong[found.File] = found.Wrong
	}
	for _, p := range found.Passed {
		v.passed[p.File] = p.Why
	}
	v.mu.Unlock()
	s.mu.Lock()
	defer s.mu.Unlock()
	last := s.settled[dir]
	switch {
	case found.Wrong != nil && last == nil:
		last = settings.Default()
	case found.Wrong != nil:
	case last != nil && reflect.DeepEqual(last, found.Settings):
	default:
		last = found.Settings
	}
	s.settled[dir] = last
	return last, found.Bounds
}

// openSettings is the text of a settings file that is open.
func (v *Snapshot) openSettings(name string) (string, bool) {
	d := v.docs[name]
	if d == nil {
		return "", false
	}
	return d.Src.Text, true
}

// Passed returns the settings files that were met and do not count, with the reasons.
func (v *Snapshot) Passed() map[string]string {
	v.mu.Lock()
	defer v.mu.Unlock()
	return maps.Clone(v.passed)
}

// Wrong returns the settings files that were met and can't be used, with the reasons.
func (v *Snapshot) Wrong() map[string]error {
	v.mu.Lock()
	defer v.mu.Unlock()
	out := make(map[string]error, len(v.wrong))
	for n, err := range v.wrong {
		out[n] = err
	}
	return out
}

// users returns the files that use a file, however indirectly, in order.
func (v *Snapshot) users(ctx context.Context, name string) ([]string, error) {
	names, err := v.Names(ctx)
	if err != nil {
		return nil, err
	}
	usedBy := map[string][]string{}
	for _, n := range names {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c, err := v.content(n)
		if err != nil {
			continue
		}
		used, err := c.Uses()
		if err != nil {
			continue
		}
		for _, u := range used {
			u = v.means(u)
			usedBy[u] = append(usedBy[u], n)
		}
	}
	seen := map[string]bool{name: true}
	var out []string
	for todo := []string{name}; len(todo) > 0; todo = todo[1:] {
		for _, u := range usedBy[todo[0]] {
			if !seen[u] {
				seen[u] = true
				out = append(out, u)
				todo = append(todo, u)
			}
		}
	}
	slices.Sort(out)
	return out, nil
}

// ErrNoDocument is returned for a name that stands for no design.
var ErrNoDocument = errors.New("there is no such document")

// View returns all about one document or file. It is nil, without an error, where the
// name stands for no design or for nothing.
func (v *Snapshot) View(ctx context.Context, name string) (*ide.View, error) {
	if path.Base(name) == settings.FileName {
		return nil, nil
	}
	own, err := v.Root(ctx, name)
	if own == nil || err != nil {
		return nil, err
	}
	users, err := v.users(ctx, name)
	if err != nil {
		return nil, err
	}
	view := &ide.View{
		Tree: own.Tree, Root: own, Roots: []*ide.Root{own}, Workspace: workspace{v},
		Catalogue: v.session.catalogue, Preferences: v.prefs,
	}
	for _, u := range users {
		r, err := v.Root(ctx, u)
		if err != nil {
			return nil, err
		}
		if r != nil {
			view.Roots = append(view.Roots, r)
		}
	}
	if !standsAlone(own.Tree) && len(view.Roots) > 1 {
		view.Root = view.Roots[1]
		if i := slices.IndexFunc(view.Roots, func(r *ide.Root) bool { return standsAlone(r.Tree) }); i > 0 {
			view.Root = view.Roots[i]
		}
	}
	return view, nil
}

// standsAlone reports whether a file describes a design rather than things for others to
// use: it puts something in place, or gives a supply or a ground.
func standsAlone(f *syntax.File) bool {
	return slices.ContainsFunc(f.Stmts, func(s *syntax.Stmt) bool {
		if s.Kind == nil {
			return false
		}
		switch s.Kind.ID {
		case schema.Fit, schema.Supply, schema.Ground:
			return true
		}
		return false
	})
}

// workspace implements ide.Workspace.
type workspace struct{ *Snapshot }

func (w workspace) Root(ctx context.Context, name string) (*ide.Root, error) {
	return w.Snapshot.Root(ctx, name)
}

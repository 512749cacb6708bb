package session

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"
	"weak"

	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// keptRoots bounds the text, in bytes, of the roots whose designs are kept for the next
// question. The last one is kept however large it is.
const keptRoots = 512 << 10

// kept is a root of which something may be known. The root itself is let go of when
// others were used more recently.
type kept struct {
	weak     weak.Pointer[ide.Root]
	strong   *ide.Root
	number   uint64 // of the snapshot that it was made for
	settings *settings.Settings
	loader   *loader
	size     int
}

// verdict is the full verdict on a root, good as long as the texts are what they were.
type verdict struct {
	settings *settings.Settings
	deps     []dep
	result   *run.FileResult
}

// dep is a file that was loaded, or was to be.
type dep struct {
	name   string
	digest digest
	there  bool
}

// loader answers `use` out of a snapshot and remembers what was asked for.
type loader struct {
	mu       sync.Mutex
	snapshot *Snapshot // nil once the root has been read: it is not asked again
	in       files.Bounds
	size     int // of the texts, in bytes
	trees    map[string]*syntax.File
	byID     map[files.Identity]*syntax.File
	missing  map[string]error // what was asked for and could not be loaded
	deps     []dep
	done     bool
}

func (l *loader) note(v *Snapshot, name string, t *syntax.File) {
	if l.trees[name] != nil || slices.ContainsFunc(l.deps, func(d dep) bool { return d.name == name }) {
		return
	}
	d := dep{name: name}
	if t != nil {
		d.digest, d.there = v.digest(name)
		l.trees[name] = t
	}
	l.deps = append(l.deps, d)
}

// Load implements elaborate.Loader.
func (l *loader) Load(ctx context.Context, from *syntax.File, used string) (*syntax.File, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	name := usedName(from.Src.Name, used)
	if name == "" {
		return nil, errors.New("this text is in no file yet, so a relative path leads nowhere; save it first")
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if t := l.trees[name]; t != nil {
		return t, nil
	}
	if err := l.missing[name]; err != nil {
		return nil, err // the same answer to the same question, as for a tree
	}
	if l.snapshot == nil {
		// Only a text that was changed since can use another file: it is not known what that
		// was when the root was read.
		return nil, fmt.Errorf("%s was not read together with this file", path.Base(name))
	}
	t, err := l.load(name)
	if err != nil {
		l.missing[name] = reason(err)
		return nil, l.missing[name]
	}
	l.trees[name] = t
	return t, nil
}

// load loads a file for the first time under this name, which may not be its only one.
func (l *loader) load(name string) (*syntax.File, error) {
	v := l.snapshot
	if err := v.reachable(l.in, name); err != nil {
		return nil, err
	}
	as := v.means(name)
	id, there := v.session.disk.identity(as)
	if t := l.trees[as]; t != nil {
		return t, nil
	}
	if t := l.byID[id]; t != nil && there {
		return t, nil
	}
	if len(l.deps) >= v.session.disk.limits.Used {
		return nil, &files.UsedError{Files: v.session.disk.limits.Used}
	}
	t, err := v.Tree(as)
	if most := v.session.disk.limits.Total; t != nil && l.size+len(t.Src.Text) > most {
		t, err = nil, &files.UsedError{Bytes: most}
	}
	l.note(v, as, t)
	if t != nil {
		l.size += len(t.Src.Text)
	}
	if t != nil && there {
		l.byID[id] = t
	}
	return t, err
}

// reachable returns why a file may not be used within bounds. One that is not there may.
func (v *Snapshot) reachable(in files.Bounds, name string) error {
	if err := in.Refuse(name); err != nil {
		return err
	}
	if v.docs[name] != nil {
		return nil // the text is the editor's
	}
	_, err := v.session.disk.statIn(in, name)
	if _, outside := errors.AsType[*files.OutsideError](err); outside {
		return err
	}
	return nil
}

// reason is why a file could not be loaded, without its name, which the finding has.
func reason(err error) error { return errors.New(files.Why(err)) }

// read is called when the root was read in full.
func (l *loader) read() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.done, l.snapshot = true, nil
}

// still reports whether everything that was loaded is the same tree in a snapshot.
func (l *loader) still(v *Snapshot) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if !l.done {
		return false
	}
	for _, d := range l.deps {
		if t, err := v.Tree(d.name); d.there != (err == nil) || t != l.trees[d.name] {
			return false
		}
	}
	return true
}

func (l *loader) dependencies() []dep {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.deps
}

// Root returns a file as a root, with what is known of it; nil where there is no such
// file. As long as anybody holds it, it is the same each time.
func (v *Snapshot) Root(ctx context.Context, name string) (*ide.Root, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if v.mayRead(name) != nil {
		return nil, nil
	}
	tree, err := v.Tree(name)
	if err != nil {
		return nil, nil
	}
	v.mu.Lock()
	r := v.roots[name].Value()
	v.mu.Unlock()
	if r == nil {
		r = v.findRoot(name, tree)
		v.mu.Lock()
		if first := v.roots[name].Value(); first != nil {
			r = first
		} else {
			v.roots[name] = weak.Make(r)
		}
		v.mu.Unlock()
	}
	return r, nil
}

// mayRead returns why a file may not be read for its own sake: it is open nowhere, and lies
// or leads out of the folders that the editor is about.
func (v *Snapshot) mayRead(name string) error {
	if v.docs[name] != nil || !inFile(name) {
		return nil
	}
	_, in := v.holds(name)
	near := slices.ContainsFunc(v.folders, func(dir string) bool { return files.Below(dir, name) })
	for doc := range v.docs {
		if near {
			break
		}
		_, about := v.holds(doc)
		near = about.Contain(name)
	}
	if !near {
		return &files.OutsideError{In: in}
	}
	return v.reachable(in, name)
}

// findRoot takes over the root of an earlier snapshot, if nothing of it has changed, or
// makes a new one.
func (v *Snapshot) findRoot(name string, tree *syntax.File) *ide.Root {
	s := v.session
	set, in := v.holds(name)
	s.mu.Lock()
	k := s.kept[name]
	s.mu.Unlock()
	if k != nil && k.settings == set && slices.Equal(k.loader.in, in) {
		if r := k.weak.Value(); r != nil && r.Tree == tree && k.loader.still(v) {
			s.use(k, r)
			return r
		}
	}
	return v.newRoot(name, tree, set, in)
}

func (v *Snapshot) newRoot(name string, tree *syntax.File, set *settings.Settings, in files.Bounds) *ide.Root {
	s := v.session
	l := &loader{snapshot: v, in: in, size: len(tree.Src.Text), byID: map[files.Identity]*syntax.File{}, trees: map[string]*syntax.File{}, missing: map[string]error{}}
	l.note(v, name, tree)
	r := ide.NewRoot(ide.RootConfig{
		Tree: tree, Settings: set, Catalogue: s.catalogue, Today: s.today(), Loader: l, Memo: s.Counts.Circuits, Most: s.disk.limits.Findings,
		Count: counter{s.Counts}, OnRead: l.read, Known: v.verdict(name),
	})
	s.mu.Lock()
	defer s.mu.Unlock()
	if old := s.kept[name]; old != nil && old.number > v.number {
		return r // an old snapshot is being asked; what is kept is newer
	}
	if old := s.kept[name]; old != nil {
		s.forget(old)
	}
	k := &kept{weak: weak.Make(r), number: v.number, settings: set, loader: l, size: len(tree.Src.Text)}
	s.kept[name] = k
	s.hold(k, r)
	return r
}

// use moves a root to the front of those that are kept.
func (s *Session) use(k *kept, r *ide.Root) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.kept[r.Name()] == k {
		s.forget(k)
		s.hold(k, r)
	}
}

func (s *Session) hold(k *kept, r *ide.Root) {
	k.strong = r
	s.strong = slices.Insert(s.strong, 0, k)
	size := 0
	for i, o := range s.strong {
		if size += o.size; i > 0 && size > keptRoots {
			for _, old := range s.strong[i:] {
				old.strong = nil
			}
			clear(s.strong[i:])
			s.strong = s.strong[:i]
			return
		}
	}
}

// release lets go of a root that was only checked, with the trees that it was read from:
// its verdict is all that is needed.
func (s *Session) release(name string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if k := s.kept[name]; k != nil {
		s.forget(k)
		delete(s.kept, name)
	}
}

func (s *Session) forget(k *kept) {
	k.strong = nil
	if i := slices.Index(s.strong, k); i >= 0 {
		s.strong = slices.Delete(s.strong, i, i+1)
	}
}

// verdict returns the full verdict on a root if one is known that still holds.
func (v *Snapshot) verdict(name string) *run.FileResult {
	s := v.session
	s.mu.Lock()
	k := s.verdicts[name]
	s.mu.Unlock()
	if k == nil || k.settings != v.Settings(name) {
		return nil
	}
	for _, d := range k.deps {
		if now, there := v.digest(d.name); there != d.there || now != d.digest {
			return nil
		}
	}
	return k.result
}

// Verdict returns the full verdict on a root, working it out if need be; nil where there
// is no such file.
func (v *Snapshot) Verdict(ctx context.Context, name string) (*run.FileResult, error) {
	if res := v.verdict(name); res != nil {
		v.session.Counts.Reused.Add(1)
		return res, nil
	}
	r, err := v.Root(ctx, name)
	if err != nil {
		return nil, err
	}
	if r == nil {
		err := v.mayRead(name)
		if err == nil {
			_, err = v.Tree(name)
		}
		if fault, ok := errors.AsType[*Fault](err); ok {
			return &run.FileResult{Failures: []run.Failure{{File: name, What: fault.Error(), Stack: fault.Stack}}}, nil
		}
		return unread(name, err), nil
	}
	res, err := r.Check(ctx)
	if err != nil {
		v.session.Counts.Abandoned.Add(1)
		return nil, err
	}
	v.remember(name, r, res)
	return res, nil
}

// unread is what is said of a file that can't be read; nil where there is none.
func unread(name string, err error) *run.FileResult {
	if _, outside := errors.AsType[*files.OutsideError](err); outside || err == nil || errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return &run.FileResult{Findings: []diag.Finding{notRead(name, files.Why(err))}}
}

func notRead(name, why string) diag.Finding {
	return diag.Finding{
		Rule: "syntax", Severity: diag.Error, Place: diag.Place{File: source.NewFile(name, "")},
		Message: "this file can't be read: " + why,
		Why:     "what it describes was not checked",
	}
}

// unfound is what is said of files and folders of the workspace that can't be looked at.
func (v *Snapshot) unfound() []diag.Finding {
	s := v.session
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []diag.Finding
	for _, folder := range v.folders {
		for _, f := range s.walked[folder].failures {
			if path.IsAbs(f.File) && !strings.HasPrefix(path.Base(f.File), settings.FileName) { // its own problems stand in it
				out = append(out, notRead(f.File, f.What))
			}
		}
	}
	return out
}

func (v *Snapshot) remember(name string, r *ide.Root, res *run.FileResult) {
	s := v.session
	s.mu.Lock()
	defer s.mu.Unlock()
	k := s.kept[name]
	if k == nil || k.weak.Value() != r {
		return
	}
	s.verdicts[name] = &verdict{settings: k.settings, deps: k.loader.dependencies(), result: res}
}

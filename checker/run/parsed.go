package run

import (
	"container/list"
	"context"
	"errors"
	"sync"

	"pintle/checker/run/files"
	"pintle/lang/elaborate"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// keptText bounds the text, in bytes, of the used files whose trees are kept for the
// next root that uses them. A tree takes several times its text.
const keptText = 8 << 20

// parsed reads and parses files. Those that are used by others stay, the ones used
// last first, so that a library is parsed once however many roots use it. It may be
// used by many goroutines.
type parsed struct {
	files  files.Files
	limits files.Limits

	mu     sync.Mutex
	known  map[files.Identity]*list.Element // of *entry
	recent *list.List                       // front: used last
	size   int
}

type entry struct {
	name string
	id   files.Identity
	once sync.Once
	file *syntax.File
	err  error
	size int
}

func newParsed(disk files.Files, limits files.Limits) *parsed {
	return &parsed{files: disk, limits: limits, known: map[files.Identity]*list.Element{}, recent: list.New()}
}

// root returns the tree of a file that is checked for its own sake.
func (p *parsed) root(ctx context.Context, r Root) (*syntax.File, error) {
	p.mu.Lock()
	e, ok := p.known[r.Identity]
	p.mu.Unlock()
	if ok && e.Value.(*entry).name == r.Name {
		return p.get(ctx, r.Bounds, e.Value.(*entry))
	}
	return p.parse(ctx, r.Bounds, r.Name)
}

// used returns the tree of a file that another one uses.
func (p *parsed) used(ctx context.Context, in files.Bounds, name string, id files.Identity) (*syntax.File, error) {
	p.mu.Lock()
	e, ok := p.known[id]
	if ok && e.Value.(*entry).name != name {
		// Its own `use` lines and its findings go by the name that led to it.
		p.mu.Unlock()
		return p.parse(ctx, in, name)
	}
	if !ok {
		e = p.recent.PushFront(&entry{name: name, id: id})
		p.known[id] = e
	}
	p.recent.MoveToFront(e)
	p.mu.Unlock()
	return p.get(ctx, in, e.Value.(*entry))
}

func (p *parsed) get(ctx context.Context, in files.Bounds, e *entry) (*syntax.File, error) {
	e.once.Do(func() {
		e.err = errors.New("reading it failed") // stays if parsing panics
		e.file, e.err = p.parse(ctx, in, e.name)
		if e.err == nil {
			p.keep(e)
		}
	})
	return e.file, e.err
}

// keep accounts for a tree and lets go of those that were not used for longest.
func (p *parsed) keep(e *entry) {
	p.mu.Lock()
	defer p.mu.Unlock()
	e.size = len(e.file.Src.Text)
	p.size += e.size
	for last := p.recent.Back(); p.size > keptText && last != nil; {
		before := last.Prev()
		if old := last.Value.(*entry); old != e && old.size > 0 {
			p.size -= old.size
			p.recent.Remove(last)
			delete(p.known, old.id)
		}
		last = before
	}
}

func (p *parsed) parse(ctx context.Context, in files.Bounds, name string) (*syntax.File, error) {
	text, err := p.files.Read(ctx, in, name, p.limits.Text)
	if err != nil {
		return nil, err
	}
	return syntax.Parse(source.NewFile(name, string(text)), nil), nil
}

// loader answers `use` for one root: the same file gives the same tree, by whatever name
// and whatever the others let go of.
type loader struct {
	parsed *parsed
	in     files.Bounds
	size   int64 // of the texts, in bytes
	byName map[string]*syntax.File
	byID   map[files.Identity]*syntax.File
}

func newLoader(p *parsed, root *syntax.File, r Root) *loader {
	l := &loader{parsed: p, in: r.Bounds, size: int64(len(root.Src.Text)), byName: map[string]*syntax.File{r.Name: root}, byID: map[files.Identity]*syntax.File{}}
	if r.Identity != (files.Identity{}) {
		l.byID[r.Identity] = root
	}
	return l
}

// NewLoader reads what a root file uses from files, wherever they are.
func NewLoader(disk files.Files, root *syntax.File) elaborate.Loader {
	return newLoader(newParsed(disk, files.CheckLimits()), root, Root{Name: root.Src.Name})
}

// Load implements elaborate.Loader.
func (l *loader) Load(ctx context.Context, from *syntax.File, name string) (*syntax.File, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	full := files.Clean(name)
	if !files.IsAbs(name) {
		full = files.Join(files.Dir(from.Src.Name), name)
	}
	if f, ok := l.byName[full]; ok {
		return f, nil
	}
	f, err := l.load(ctx, full)
	if err != nil {
		return nil, errors.New(files.Why(err))
	}
	return f, nil
}

func (l *loader) load(ctx context.Context, full string) (*syntax.File, error) {
	info, err := l.parsed.files.Stat(ctx, l.in, full)
	if err != nil {
		return nil, err
	}
	if err := files.Irregular(info); err != nil {
		return nil, err
	}
	id := files.IdentityOf(full, info)
	f, ok := l.byID[id]
	if !ok {
		if len(l.byID) >= l.parsed.limits.Used {
			return nil, &files.UsedError{Files: l.parsed.limits.Used}
		}
		if l.size+info.Size() > int64(l.parsed.limits.Total) {
			return nil, &files.UsedError{Bytes: l.parsed.limits.Total}
		}
		if f, err = l.parsed.used(ctx, l.in, full, id); err != nil {
			return nil, err
		}
		l.byID[id] = f
		l.size += int64(len(f.Src.Text))
	}
	l.byName[full] = f
	return f, nil
}

package run

import (
	"container/list"
	"context"
	"errors"
	"io/fs"
	"path"
	"sync"

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
	files Files

	mu     sync.Mutex
	byName map[string]*list.Element // of *entry
	recent *list.List               // front: used last
	size   int
}

type entry struct {
	name string
	once sync.Once
	file *syntax.File
	err  error
	size int
}

func newParsed(files Files) *parsed {
	return &parsed{files: files, byName: map[string]*list.Element{}, recent: list.New()}
}

// root returns the tree of a file that is checked for its own sake.
func (p *parsed) root(name string) (*syntax.File, error) {
	p.mu.Lock()
	e, ok := p.byName[name]
	p.mu.Unlock()
	if ok {
		return p.get(e.Value.(*entry))
	}
	return p.parse(name)
}

// used returns the tree of a file that another one uses.
func (p *parsed) used(name string) (*syntax.File, error) {
	p.mu.Lock()
	e, ok := p.byName[name]
	if !ok {
		e = p.recent.PushFront(&entry{name: name})
		p.byName[name] = e
	}
	p.recent.MoveToFront(e)
	p.mu.Unlock()
	return p.get(e.Value.(*entry))
}

func (p *parsed) get(e *entry) (*syntax.File, error) {
	e.once.Do(func() {
		e.err = errors.New("reading it failed") // stays if parsing panics
		e.file, e.err = p.parse(e.name)
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
			delete(p.byName, old.name)
		}
		last = before
	}
}

func (p *parsed) parse(name string) (*syntax.File, error) {
	text, err := p.files.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return syntax.Parse(source.NewFile(name, string(text)), nil), nil
}

// loader answers `use` for one root: the same path gives the same tree, whatever the
// others let go of.
type loader struct {
	parsed *parsed
	byName map[string]*syntax.File
}

func newLoader(p *parsed, root *syntax.File) *loader {
	return &loader{p, map[string]*syntax.File{root.Src.Name: root}}
}

// NewLoader reads what a root file uses from files.
func NewLoader(files Files, root *syntax.File) elaborate.Loader {
	return newLoader(newParsed(files), root)
}

// Load implements elaborate.Loader.
func (l *loader) Load(ctx context.Context, from *syntax.File, name string) (*syntax.File, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	full := name
	if !path.IsAbs(name) {
		full = path.Join(path.Dir(from.Src.Name), name)
	}
	if f, ok := l.byName[full]; ok {
		return f, nil
	}
	f, err := l.parsed.used(full)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, errors.New("there is no such file")
	}
	if err != nil {
		return nil, errors.New(why(err))
	}
	l.byName[full] = f
	return f, nil
}

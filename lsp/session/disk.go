package session

import (
	"container/list"
	"context"
	"crypto/sha256"
	"errors"
	"io/fs"
	"strings"
	"sync"
	"time"

	"pintle/checker/run/files"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// keptText bounds the text, in bytes, of the files on disk whose trees are kept for the
// next one who asks. A tree takes several times its text.
const keptText = 1 << 20

// disk reads files and remembers them. A file is looked at again when its epoch is over:
// when the editor says that it changed, or, since not every editor does, when a document
// is opened, saved or closed.
type disk struct {
	files  files.Files
	limits files.Limits
	parsed func(*syntax.File)

	mu     sync.Mutex
	epoch  uint64
	known  map[string]*diskFile
	ids    map[string]identity
	recent *list.List // of held, used last first
	size   int
}

// held keeps a tree.
type held struct {
	file *diskFile
	tree *syntax.File
}

type diskFile struct {
	*content
	name    string
	epoch   uint64 // in which it was looked at last
	changed time.Time
	bytes   int64
	err     error
	item    *list.Element // in recent; nil: not held
}

// identity is what a name stood for in an epoch.
type identity struct {
	epoch uint64
	files.Identity
	there, looked bool
}

// patience is how long a disk may take to answer before it counts as unreadable.
const patience = 5 * time.Second

// errChanged is returned for a file that is not what it was any more, although nobody
// told; the next snapshot sees it as it is.
var errChanged = errors.New("the file changed while it was looked at")

func newDisk(from files.Files, limits files.Limits, parsed func(*syntax.File)) *disk {
	return &disk{files: from, limits: limits, parsed: parsed, known: map[string]*diskFile{}, recent: list.New(), ids: map[string]identity{}}
}

// expire makes the disk look at every file again, or at some.
func (d *disk) expire(names ...string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(names) == 0 {
		d.epoch++
		clear(d.ids)
	}
	for _, n := range names {
		delete(d.ids, n)
		for _, known := range d.below(n) {
			f := d.known[known]
			delete(d.known, known)
			delete(d.ids, known)
			if f.item != nil {
				d.recent.Remove(f.item)
				d.size -= int(f.bytes)
			}
		}
	}
}

// below are the names that were looked at: this one, and, if it is that of a folder, all that
// lie in it. d is locked.
func (d *disk) below(name string) []string {
	var out []string
	if f := d.known[name]; f != nil {
		out = append(out, name)
		if f.err == nil {
			return out
		}
	}
	within := strings.TrimSuffix(name, "/") + "/"
	for n := range d.known {
		if strings.HasPrefix(n, within) {
			out = append(out, n)
		}
	}
	return out
}

// lookedAt reports whether a file, or anything below a folder, was.
func (d *disk) lookedAt(name string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return len(d.below(name)) > 0
}

// file returns what a name stands for on disk; its err tells if that can't be read.
func (d *disk) file(name string) *diskFile {
	d.mu.Lock()
	f, epoch := d.known[name], d.epoch
	fresh := f != nil && f.epoch == epoch
	d.mu.Unlock()
	if fresh {
		return f
	}
	info, err := d.stat(name)
	d.mu.Lock()
	if f != nil && err == nil && f.err == nil && f.changed.Equal(info.ModTime()) && f.bytes == info.Size() {
		f.epoch = epoch
		d.mu.Unlock()
		return f
	}
	d.mu.Unlock()
	next := d.open(name, info, err)
	next.epoch = epoch
	d.mu.Lock()
	defer d.mu.Unlock()
	if now := d.known[name]; now != nil && now != f && now.epoch == epoch {
		return now // somebody else was first
	}
	d.known[name] = next
	return next
}

// identity reports which file a name stands for; ok is false where there is none.
func (d *disk) identity(name string) (id files.Identity, ok bool) {
	d.mu.Lock()
	known, epoch := d.ids[name], d.epoch
	d.mu.Unlock()
	if known.looked && known.epoch == epoch {
		return known.Identity, known.there
	}
	info, err := d.stat(name)
	now := identity{epoch: epoch, there: err == nil, looked: true}
	if err == nil {
		now.Identity = files.IdentityOf(name, info)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.epoch == epoch {
		d.ids[name] = now
	}
	return now.Identity, now.there
}

func (d *disk) stat(name string) (fs.FileInfo, error) {
	if !inFile(name) || name == "" {
		return nil, fs.ErrNotExist
	}
	return d.statIn(nil, name)
}

// statIn describes a file if it may be read within bounds.
func (d *disk) statIn(in files.Bounds, name string) (fs.FileInfo, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	info, err := d.files.Stat(ctx, in, name)
	if err == nil {
		err = files.Irregular(info)
	}
	return info, err
}

func (d *disk) read(name string) ([]byte, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	return d.files.Read(ctx, nil, name, d.limits.Text)
}

func (d *disk) open(name string, info fs.FileInfo, err error) *diskFile {
	f := &diskFile{name: name, err: err}
	if err != nil {
		return f
	}
	f.changed, f.bytes = info.ModTime(), info.Size()
	text, err := d.read(name)
	if err != nil {
		f.err = err
		return f
	}
	sum := digest(sha256.Sum256(text))
	first := source.NewFile(name, string(text))
	f.content = &content{
		parsed:   d.parsed,
		digested: func() digest { return sum },
		text: func() (*source.File, error) {
			if src := first; src != nil {
				first = nil // the tree holds it from now on
				return src, nil
			}
			text, err := d.read(name)
			if err != nil {
				return nil, err
			}
			if sha256.Sum256(text) != sum {
				d.expire(name)
				return nil, errChanged
			}
			return source.NewFile(name, string(text)), nil
		},
	}
	return f
}

// tree returns the tree of a file on disk and holds it for the next one who asks.
func (d *disk) tree(f *diskFile) (*syntax.File, error) {
	if f.err != nil {
		return nil, f.err
	}
	t, err := f.content.Tree()
	if err != nil {
		return nil, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if f.item != nil {
		d.recent.MoveToFront(f.item)
		return t, nil
	}
	f.item = d.recent.PushFront(held{f, t})
	d.size += int(f.bytes)
	for d.size > keptText && d.recent.Len() > 1 {
		old := d.recent.Remove(d.recent.Back()).(held).file
		old.item = nil
		d.size -= int(old.bytes)
	}
	return t, nil
}

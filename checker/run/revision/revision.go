// Package revision reads the files of a git repository as they stood at one of its revisions: with
// the program `git`, which is only asked to list and to show. Nothing is checked out, fetched or
// written, and no hook, filter or pager runs.
package revision

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"pintle/checker/run/files"
)

// Files are those of a revision. Names are those that the files have in the folders of the
// disk: an absolute name, or one from the present folder on.
type Files struct {
	git    string // the program
	dir    string // on the disk, absolute, with slashes
	prefix string // of dir in the repository; empty, or with a slash at its end
	all    map[string]entry
	inside map[string][]fs.DirEntry // by folder
}

var _ files.Files = (*Files)(nil)

// entry is a file or a folder of a revision.
type entry struct {
	name string // the last part
	mode fs.FileMode
	oid  string
	size int64
}

// mostFiles bounds the files of a revision.
const mostFiles = 200_000

// Open lists the files of a revision of the repository that a folder lies in. The errors are
// sentences for the person who asks, and that of the context.
func Open(ctx context.Context, dir, revision string) (*Files, error) {
	git, err := exec.LookPath("git")
	if err != nil {
		return nil, errors.New("the program `git` is not there, and an older revision can be read with it only; compare with a copy of the old file instead")
	}
	abs, err := filepath.Abs(filepath.FromSlash(dir))
	if err != nil {
		return nil, err
	}
	f := &Files{git: git, dir: filepath.ToSlash(abs), all: map[string]entry{}, inside: map[string][]fs.DirEntry{}}
	prefix, err := f.run(ctx, "rev-parse", "--show-prefix")
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, fmt.Errorf("%s lies in no git repository that can be read: %w", dir, err)
	}
	f.prefix = strings.TrimSuffix(string(prefix), "\n")
	commit, err := f.run(ctx, "rev-parse", "--verify", "--quiet", "--end-of-options", revision+"^{commit}")
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, fmt.Errorf("the repository of %s has no revision %q; `git log` lists what there is", dir, revision)
	}
	return f, f.list(ctx, strings.TrimSpace(string(commit)))
}

// run asks git something. It gets no terminal, no configuration that runs programs, and fetches nothing.
func (f *Files) run(ctx context.Context, args ...string) ([]byte, error) {
	c := exec.CommandContext(ctx, f.git, append([]string{"-C", filepath.FromSlash(f.dir), "--no-pager", "--no-replace-objects", "-c", "core.fsmonitor=false", "-c", "core.hooksPath=" + os.DevNull}, args...)...)
	c.Env = append(os.Environ(), "LC_ALL=C", "GIT_TERMINAL_PROMPT=0", "GIT_OPTIONAL_LOCKS=0", "GIT_NO_LAZY_FETCH=1", "GIT_PROTOCOL_FROM_USER=0", "GIT_ALLOW_PROTOCOL=")
	c.WaitDelay = time.Second
	var out, said bytes.Buffer
	c.Stdout, c.Stderr = &out, &said
	if err := c.Run(); err != nil {
		if line, _, _ := strings.Cut(strings.TrimSpace(said.String()), "\n"); line != "" {
			return nil, errors.New(strings.TrimPrefix(line, "fatal: "))
		}
		return nil, err
	}
	return out.Bytes(), nil
}

// list reads what the revision holds.
func (f *Files) list(ctx context.Context, commit string) error {
	text, err := f.run(ctx, "ls-tree", "-r", "-z", "--long", "--full-tree", commit)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return fmt.Errorf("the files of revision %s can't be listed: %w", commit, err)
	}
	f.all["."] = entry{name: ".", mode: fs.ModeDir | 0o755}
	f.folder(".git") // so that it is known where the repository begins
	for line := range bytes.SplitSeq(text, []byte{0}) {
		head, name, ok := strings.Cut(string(line), "\t")
		words := strings.Fields(head) // mode, type, object, size
		if !ok || len(words) != 4 {
			continue
		}
		if len(f.all) > mostFiles {
			return fmt.Errorf("revision %s holds more than %d files, which is the most that are looked at", commit, mostFiles)
		}
		e := entry{name: path.Base(name), oid: words[2], mode: 0o644}
		e.size, _ = strconv.ParseInt(words[3], 10, 64)
		switch words[0] {
		case "120000":
			e.mode = fs.ModeSymlink
		case "160000": // another repository
			e.mode = fs.ModeDir | 0o755
		}
		f.add(name, e)
	}
	for _, list := range f.inside {
		slices.SortFunc(list, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	}
	return nil
}

func (f *Files) add(name string, e entry) {
	f.all[name] = e
	dir := path.Dir(name)
	f.folder(dir)
	f.inside[dir] = append(f.inside[dir], fs.FileInfoToDirEntry(info{e}))
}

func (f *Files) folder(name string) {
	if _, known := f.all[name]; !known {
		f.add(name, entry{name: path.Base(name), mode: fs.ModeDir | 0o755})
	}
}

// Abs implements [files.Files].
func (f *Files) Abs(name string) (string, error) { return files.Disk{}.Abs(name) }

// find finds what a name stands for.
func (f *Files) find(in files.Bounds, name string) (entry, string, error) {
	abs, err := f.Abs(name)
	if err != nil {
		return entry{}, "", err
	}
	if err := in.Refuse(abs); err != nil {
		return entry{}, "", err
	}
	rel, err := filepath.Rel(filepath.FromSlash(f.dir), filepath.FromSlash(abs))
	if err != nil {
		return entry{}, "", &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	at := path.Join(f.prefix, filepath.ToSlash(rel))
	e, ok := f.all[at]
	if !ok {
		return entry{}, at, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return e, at, nil
}

// Stat implements [files.Files].
func (f *Files) Stat(_ context.Context, in files.Bounds, name string) (fs.FileInfo, error) {
	e, _, err := f.find(in, name)
	if err != nil {
		return nil, err
	}
	return info{e}, nil
}

// Read implements [files.Files]. A link is not followed.
func (f *Files) Read(ctx context.Context, in files.Bounds, name string, most int) ([]byte, error) {
	e, _, err := f.find(in, name)
	if err != nil {
		return nil, err
	}
	if err := files.Irregular(info{e}); err != nil {
		return nil, err
	}
	if e.size > int64(most) {
		return nil, &files.SizeError{Size: e.size, Most: most}
	}
	text, err := f.run(ctx, "cat-file", "blob", e.oid)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return text, err
}

// List implements [files.Files].
func (f *Files) List(_ context.Context, name string, most int) ([]fs.DirEntry, error) {
	e, at, err := f.find(nil, name)
	if err != nil {
		return nil, err
	}
	if !e.mode.IsDir() {
		return nil, errors.New("it is a file, not a folder")
	}
	list := f.inside[at]
	if len(list) > most {
		return nil, &files.CountError{Most: most}
	}
	return list, nil
}

// info describes an entry.
type info struct{ e entry }

func (i info) Name() string       { return i.e.name }
func (i info) Size() int64        { return i.e.size }
func (i info) Mode() fs.FileMode  { return i.e.mode }
func (i info) ModTime() time.Time { return time.Time{} }
func (i info) IsDir() bool        { return i.e.mode.IsDir() }
func (i info) Sys() any           { return nil }

package settings

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"slices"
	"strconv"
	"sync"
	"syscall"

	"pintle/checker/run/files"
)

// Search says where settings are looked for.
type Search struct {
	Files files.Files
	// Open, if set, is asked first for the text of a settings file: that of an editor.
	Open func(name string) (text string, ok bool)
	// Rules are the names of all rules.
	Rules []string
	// Folders are those that the user named. Each is the workspace of what lies in it and
	// in no other workspace.
	Folders []string
	// Allow are folders that files may be used from beside the workspace, as the user
	// says, absolute.
	Allow files.Bounds
	// Most bytes of a settings file are read; 0: those of the command line.
	Most int
}

// Found is what holds for the files of a folder.
type Found struct {
	*Settings
	// Bounds are how far the files may reach: the workspace, which is the nearest folder
	// upward with a settings file, else with a repository, else one that the user named,
	// else the folder itself; then what the user allows.
	Bounds files.Bounds
	// File is the settings file, "" if there is none; Wrong is why it can't be used. The
	// default settings hold then.
	File  string
	Wrong error
	// Passed are the settings files above the folder that do not count, because they
	// belong to neither the user nor the owner of the folder, or can't be looked at.
	Passed []Passed
}

// Passed is a settings file that does not count, and why.
type Passed struct{ File, Why string }

// Finder finds what holds for a folder. It remembers what it found and may be used by
// many goroutines.
type Finder struct {
	Search

	mu     sync.Mutex
	looked map[string]look
	found  map[string]*Found
}

// look is what one folder holds itself.
type look struct {
	owner      int
	owned      bool // by owner
	repository bool
	repoOwner  int
	repoOwned  bool
	file       string // the settings file; "": none
	fileOwner  int
	fileOwned  bool
	seen, read bool
	settings   *Settings
	wrong      error
}

// NewFinder makes a Finder.
func NewFinder(s Search) *Finder {
	if s.Most == 0 {
		s.Most = files.CheckLimits().Settings
	}
	return &Finder{Search: s, looked: map[string]look{}, found: map[string]*Found{}}
}

// For returns what holds for a folder, given as an absolute path with slashes (or, in a
// file system with a root of its own, a path from there). An error is that of the context.
func (f *Finder) For(ctx context.Context, dir string) (*Found, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	dir = files.Clean(dir)
	if found := f.found[dir]; found != nil {
		return found, nil
	}
	found := f.find(ctx, dir)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	f.found[dir] = found
	return found, nil
}

func (f *Finder) find(ctx context.Context, start string) *Found {
	own := f.look(ctx, start)
	// Whoever owns the folder may say what holds for it, and the user may.
	counts := func(owner int, owned bool) bool {
		return !owned || !own.owned || owner == own.owner || owner == os.Geteuid()
	}
	out := &Found{}
	repository := ""
	for dir := start; ; dir = files.Dir(dir) {
		l := f.look(ctx, dir)
		switch {
		case l.file == "":
		case dir != start && !l.seen:
			out.Passed = append(out.Passed, Passed{l.file, l.wrong.Error()})
		case dir != start && !counts(l.fileOwner, l.fileOwned):
			out.Passed = append(out.Passed, Passed{l.file, "it belongs to somebody else (user " + strconv.Itoa(l.fileOwner) + ")"})
		default:
			l = f.readIn(ctx, dir, l)
			out.File, out.Settings, out.Wrong = l.file, l.settings, l.wrong
			out.Bounds = files.Bounds{dir}
		}
		if l.repository && repository == "" && (dir == start || counts(l.repoOwner, l.repoOwned)) {
			repository = dir
		}
		if out.Settings != nil || out.Wrong != nil || files.Dir(dir) == dir {
			break
		}
	}
	if out.Settings == nil {
		out.Settings = Default()
	}
	if out.Bounds == nil {
		out.Bounds = files.Bounds{f.workspace(start, repository)}
	}
	out.Bounds = append(out.Bounds, f.Allow...)
	return out
}

// workspace of a folder for which there are no settings. The folder that holds all others
// is one only for what lies directly in it.
func (f *Finder) workspace(dir, repository string) string {
	if repository != "" {
		return repository
	}
	i := slices.IndexFunc(f.Folders, func(named string) bool { return files.Dir(named) != named && files.Below(named, dir) })
	if i >= 0 {
		return f.Folders[i]
	}
	return dir
}

// repositories are the folders and files by which the root of one is known.
var repositories = []string{".git", ".hg", ".svn", ".jj"}

func (f *Finder) look(ctx context.Context, dir string) look {
	if l, ok := f.looked[dir]; ok {
		return l
	}
	var l look
	if info, err := f.Files.Stat(ctx, nil, dir); err == nil {
		l.owner, l.owned = files.Owner(info)
	}
	for _, name := range repositories {
		if info, err := f.Files.Stat(ctx, nil, files.Join(dir, name)); err == nil {
			l.repository = true
			l.repoOwner, l.repoOwned = files.Owner(info)
			break
		}
	}
	name := files.Join(dir, FileName)
	if f.Open != nil {
		if text, ok := f.Open(name); ok {
			l.file, l.read, l.seen = name, true, true
			l.parse(name, text, f)
		}
	}
	if l.file == "" {
		info, err := f.Files.Stat(ctx, f.reach(dir), name)
		switch {
		case err == nil:
			l.file, l.seen = name, true
			l.fileOwner, l.fileOwned = files.Owner(info)
		case !absent(err):
			l.file, l.read, l.wrong = name, true, unreadable(name, err)
		}
	}
	f.looked[dir] = l
	return l
}

func unreadable(name string, err error) error {
	return Problem{name, 1, "the settings can't be read: " + files.Why(err)}
}

// absent reports whether an error means that there is no such file, or none that the user
// could look at.
func absent(err error) bool {
	return errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrPermission) || errors.Is(err, fs.ErrInvalid) ||
		errors.Is(err, syscall.ENOTDIR)
}

// readIn reads the settings file that a look at a folder found.
func (f *Finder) readIn(ctx context.Context, dir string, l look) look {
	if l.read {
		return l
	}
	l.read = true
	text, err := f.Files.Read(ctx, f.reach(dir), l.file, f.Most)
	if err != nil {
		l.wrong = unreadable(l.file, err)
	} else {
		l.parse(l.file, string(text), f)
	}
	f.looked[dir] = l
	return l
}

// reach is how far a settings file may be a link: it may be nowhere else.
func (f *Finder) reach(dir string) files.Bounds { return append(files.Bounds{dir}, f.Allow...) }

func (l *look) parse(name, text string, f *Finder) {
	if len(text) > f.Most {
		l.wrong = unreadable(name, &files.SizeError{Size: int64(len(text)), Most: f.Most})
		return
	}
	s, err := Parse(name, text, f.Rules)
	if err != nil {
		l.wrong = err
		return
	}
	s.Dir = files.Dir(name)
	l.settings = s
}

package settings

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"sync"
)

// Finder finds the settings that hold for a folder: those of the nearest
// pintle.toml in it or above. It remembers what it found and may be used by many
// goroutines.
type Finder struct {
	read  func(path string) ([]byte, error)
	rules []string

	mu    sync.Mutex
	found map[string]answer
}

type answer struct {
	settings *Settings
	err      error
}

// NewFinder makes a Finder that reads files with read, which must report a file
// that is not there as fs.ErrNotExist. Rules are the names of all rules.
func NewFinder(read func(path string) ([]byte, error), rules []string) *Finder {
	return &Finder{read: read, rules: rules, found: map[string]answer{}}
}

// For returns the settings for a folder, given as an absolute path with slashes
// (or, in a file system with a root of its own, a path from there). Without any
// settings file they are the default ones.
func (f *Finder) For(dir string) (*Settings, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.find(path.Clean(dir))
}

func (f *Finder) find(dir string) (*Settings, error) {
	if a, ok := f.found[dir]; ok {
		return a.settings, a.err
	}
	var a answer
	name := path.Join(dir, FileName)
	switch text, err := f.read(name); {
	case err == nil:
		a.settings, a.err = Parse(name, string(text), f.rules)
		if a.settings != nil {
			a.settings.Dir = dir
		}
	case !errors.Is(err, fs.ErrNotExist):
		a.err = fmt.Errorf("the settings can't be read: %w", err)
	case path.Dir(dir) == dir:
		a.settings = Default()
	default:
		a.settings, a.err = f.find(path.Dir(dir))
	}
	f.found[dir] = a
	return a.settings, a.err
}

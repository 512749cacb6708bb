package run

import (
	"context"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"pintle/checker/settings"
)

// Extension of the files that a walk looks for.
const Extension = ".pintle"

// StandardInput is the path that stands for it, and the name under which its text is
// shown.
const StandardInput = "-"

// Root is a file that is to be checked, with the settings that hold for it.
type Root struct {
	Name     string
	Settings *settings.Settings
}

// Discover finds the files that paths stand for: files that are named, and files
// below folders, which are walked in order of names without hidden ones and those
// that the settings leave out. Each file comes once, where it came first. A path that
// is not there, or a folder with nothing to check, is a Failure; an error means that the settings can't be used.
func Discover(ctx context.Context, files Files, finder *settings.Finder, paths []string) ([]Root, []Failure, error) {
	d := discovery{ctx: ctx, files: files, finder: finder, seen: map[string]bool{}}
	for _, p := range paths {
		name := p
		if p != StandardInput {
			name = path.Clean(filepath.ToSlash(p))
		}
		if err := d.named(name); err != nil {
			return nil, nil, err
		}
	}
	return d.roots, d.failures, nil
}

type discovery struct {
	ctx      context.Context
	files    Files
	finder   *settings.Finder
	seen     map[string]bool
	roots    []Root
	failures []Failure
}

func (d *discovery) named(name string) error {
	if name != StandardInput {
		info, err := d.files.Stat(name)
		if err != nil {
			d.failures = append(d.failures, Failure{File: name, What: why(err)})
			return nil
		}
		if info.IsDir() {
			before := len(d.seen) + len(d.failures)
			if err := d.walk(name); err != nil {
				return err
			}
			if before == len(d.seen)+len(d.failures) && !d.anyIn(name) {
				d.failures = append(d.failures, Failure{File: name, What: "no " + Extension + " file to look at in this folder"})
			}
			return nil
		}
	}
	return d.add(name)
}

// anyIn tells whether a folder holds a file that was found already.
func (d *discovery) anyIn(dir string) bool {
	return slices.ContainsFunc(d.roots, func(r Root) bool {
		return dir == "." && !path.IsAbs(r.Name) || strings.HasPrefix(r.Name, dir+"/")
	})
}

func (d *discovery) add(name string) error {
	if d.seen[name] {
		return nil
	}
	d.seen[name] = true
	s, err := d.settings(path.Dir(name))
	if err != nil {
		return err
	}
	d.roots = append(d.roots, Root{name, s})
	return nil
}

func (d *discovery) settings(dir string) (*settings.Settings, error) {
	abs, err := d.files.Abs(dir)
	if err != nil {
		return nil, err
	}
	return d.finder.For(abs)
}

func (d *discovery) walk(dir string) error {
	if err := d.ctx.Err(); err != nil {
		return err
	}
	entries, err := d.files.ReadDir(dir)
	if err != nil {
		d.failures = append(d.failures, Failure{File: dir, What: why(err)})
		return nil
	}
	slices.SortFunc(entries, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	s, err := d.settings(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		name := path.Join(dir, e.Name())
		wanted := e.IsDir() || strings.HasSuffix(e.Name(), Extension)
		if !wanted || strings.HasPrefix(e.Name(), ".") || d.leftOut(s, name) {
			continue
		}
		switch {
		case e.IsDir():
			err = d.walk(name)
		case d.isFile(e, name):
			err = d.add(name)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (d *discovery) leftOut(s *settings.Settings, name string) bool {
	abs, err := d.files.Abs(name)
	if err != nil || len(s.LeaveOut) == 0 {
		return false
	}
	rel, err := filepath.Rel(filepath.FromSlash(s.Dir), filepath.FromSlash(abs))
	return err == nil && s.LeavesOut(filepath.ToSlash(rel))
}

// isFile tells whether an entry can be read to its end. Links to folders are not
// followed, so that a walk ends.
func (d *discovery) isFile(e fs.DirEntry, name string) bool {
	if e.Type().IsRegular() {
		return true
	}
	if e.Type()&fs.ModeSymlink == 0 {
		return false
	}
	info, err := d.files.Stat(name)
	if err != nil {
		d.failures = append(d.failures, Failure{File: name, What: fmt.Sprintf("the link leads nowhere: %s", why(err))})
		return false
	}
	return info.Mode().IsRegular()
}

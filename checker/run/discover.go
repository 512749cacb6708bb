package run

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"pintle/checker/run/files"
	"pintle/checker/run/settings"
)

// Extension of the files that a walk looks for.
const Extension = ".pintle"

// StandardInput is the path that stands for it, and the name under which its text is
// shown.
const StandardInput = "-"

// Root is a file that is to be checked, with the settings that hold for it and how far it
// may reach.
type Root struct {
	Name     string
	Settings *settings.Settings
	Bounds   files.Bounds
	// Link: a walk came to it by a link.
	Link bool
	// Identity of the file; none for [StandardInput].
	files.Identity
}

// Discovery is what was found.
type Discovery struct {
	Roots    []Root
	Failures []Failure
	// Notices are worth saying and keep nothing from being done.
	Notices []Failure
}

// Discover finds the files that paths stand for: files that are named, and files
// below folders, which are walked in order of names without hidden ones and those
// that the settings leave out. Each file comes once, where it came first, whatever its
// names: a link counts for less than the file. A path that is not there, a folder with
// nothing to check, settings that can't be used are Failures, and the rest is found all
// the same. An error is that of the context.
func Discover(ctx context.Context, disk files.Files, finder *settings.Finder, limits files.Limits, paths []string) (*Discovery, error) {
	d := discovery{ctx: ctx, files: disk, finder: finder, limits: limits,
		seen: map[string]bool{}, byID: map[files.Identity]int{}, told: map[string]bool{}}
	for _, p := range paths {
		if p == "" { // a variable of a script that is not set, and not the present folder
			d.fail(`""`, "an empty name is that of no file or folder; . is the present folder")
			continue
		}
		name := p
		if p != StandardInput {
			name = files.Clean(filepath.ToSlash(p))
		}
		if err := d.named(name); err != nil {
			return nil, err
		}
	}
	if d.more > 0 {
		d.Failures = append(d.Failures, Failure{File: "…", What: fmt.Sprintf("and %d more that could not be looked at", d.more)})
	}
	return &d.Discovery, nil
}

// mostFailures is how many are reported one by one.
const mostFailures = 200

type discovery struct {
	Discovery
	ctx    context.Context
	files  files.Files
	finder *settings.Finder
	limits files.Limits
	seen   map[string]bool
	byID   map[files.Identity]int // place among the roots
	told   map[string]bool        // settings files
	walked int                    // entries that walks looked at
	bytes  int64                  // of the designs that walks came to
	full   bool
	more   int // failures that are not told
}

func (d *discovery) fail(name, what string) {
	if len(d.Failures) >= mostFailures {
		d.more++
		return
	}
	d.Failures = append(d.Failures, Failure{File: name, What: what})
}

func (d *discovery) named(name string) error {
	if name == StandardInput {
		return d.add(name, false, files.Identity{})
	}
	info, err := d.files.Stat(d.ctx, nil, name)
	if d.ctx.Err() != nil {
		return d.ctx.Err()
	}
	if err != nil {
		d.fail(name, files.Why(err))
		return nil
	}
	if !info.IsDir() {
		return d.add(name, false, files.IdentityOf(name, info))
	}
	before := len(d.seen) + len(d.Failures)
	if err := d.walk(name); err != nil {
		return err
	}
	if before == len(d.seen)+len(d.Failures) && !d.anyIn(name) {
		d.fail(name, "no "+Extension+" file to look at in this folder")
	}
	return nil
}

// anyIn reports whether a folder holds a file that was found already.
func (d *discovery) anyIn(dir string) bool {
	return slices.ContainsFunc(d.Roots, func(r Root) bool {
		return dir == "." && !files.IsAbs(r.Name) || strings.HasPrefix(r.Name, dir+"/")
	})
}

func (d *discovery) add(name string, link bool, id files.Identity) error {
	if d.seen[name] {
		return nil
	}
	d.seen[name] = true
	at, twice := d.byID[id]
	twice = twice && id != (files.Identity{})
	if twice && (link || !d.Roots[at].Link) {
		return nil
	}
	found, err := d.settings(files.Dir(name))
	if err != nil {
		return err
	}
	r := Root{Name: name, Settings: found.Settings, Bounds: found.Bounds, Link: link, Identity: id}
	if twice {
		d.Roots[at] = r // the file itself takes the place of a link to it
		return nil
	}
	d.byID[id] = len(d.Roots)
	d.Roots = append(d.Roots, r)
	return nil
}

// settings returns what holds in a folder, and tells once what is wrong with it.
func (d *discovery) settings(dir string) (*settings.Found, error) {
	abs, err := d.files.Abs(dir)
	if err != nil {
		return nil, err
	}
	found, err := d.finder.For(d.ctx, abs)
	if err != nil {
		return nil, err
	}
	if found.Wrong != nil && !d.told[found.File] {
		d.told[found.File] = true
		for line := range strings.SplitSeq(found.Wrong.Error(), "\n") {
			at, what, ok := strings.Cut(strings.TrimPrefix(line, found.File), ": ")
			if !ok {
				at, what = "", line
			}
			d.fail(found.File+at, what)
		}
	}
	for _, p := range found.Passed {
		if !d.told[p.File] {
			d.told[p.File] = true
			d.Notices = append(d.Notices, Failure{File: p.File, What: "these settings are passed over: " + p.Why})
		}
	}
	return found, nil
}

func (d *discovery) walk(dir string) error {
	if err := d.ctx.Err(); err != nil {
		return err
	}
	entries, err := d.files.List(d.ctx, dir, d.limits.Entries)
	if d.ctx.Err() != nil {
		return d.ctx.Err()
	}
	if err != nil {
		d.fail(dir, files.Why(err))
		return nil
	}
	found, err := d.settings(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if d.walked++; d.walked%1000 == 0 && d.ctx.Err() != nil {
			return d.ctx.Err()
		}
		name := files.Join(dir, e.Name())
		wanted := e.IsDir() || strings.HasSuffix(e.Name(), Extension)
		if !wanted || strings.HasPrefix(e.Name(), ".") || machinery[name] || d.leftOut(found.Settings, name) {
			continue
		}
		if d.walked > d.limits.Walk || len(d.Roots) >= d.limits.Found || d.bytes > d.limits.Bytes {
			if !d.full {
				d.full = true
				d.fail(name, fmt.Sprintf("from here on nothing more is looked at: up to %d files and folders are, with up to %d designs of %d MB together; name the folders that matter",
					d.limits.Walk, d.limits.Found, d.limits.Bytes>>20))
			}
			return nil
		}
		if e.IsDir() {
			err = d.walk(name)
		} else {
			err = d.entry(e, name, found.Bounds)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// machinery is what Unix systems show of themselves as if it were files: without end, and
// no place for designs.
var machinery = map[string]bool{"/dev": true, "/proc": true, "/sys": true, "/run": true}

func (d *discovery) leftOut(s *settings.Settings, name string) bool {
	if len(s.LeaveOut) == 0 {
		return false
	}
	abs, err := d.files.Abs(name)
	if err != nil {
		return false
	}
	rel, err := filepath.Rel(filepath.FromSlash(s.Dir), filepath.FromSlash(abs))
	return err == nil && s.LeavesOut(filepath.ToSlash(rel))
}

// entry adds what a walk came to if it is a file. Links to folders are not followed, so
// that a walk ends.
func (d *discovery) entry(e fs.DirEntry, name string, in files.Bounds) error {
	link := e.Type()&fs.ModeSymlink != 0
	info, err := d.files.Stat(d.ctx, in, name)
	var outside *files.OutsideError
	switch {
	case d.ctx.Err() != nil:
		return d.ctx.Err()
	case link && errors.Is(err, fs.ErrNotExist):
		d.fail(name, "the link leads nowhere")
	case link && errors.As(err, &outside):
		d.fail(name, "the link is not followed: "+err.Error())
	case err != nil:
		d.fail(name, files.Why(err))
	case info.IsDir():
	case !info.Mode().IsRegular():
		d.fail(name, files.Irregular(info).Error())
	default:
		d.bytes += min(info.Size(), int64(d.limits.Text))
		return d.add(name, link, files.IdentityOf(name, info))
	}
	return nil
}

package files

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"strings"
)

// Files is where texts come from: the disk, or what stands for it. Names have slashes.
// What is not there is [fs.ErrNotExist]. All methods end soon after their context, even
// where the system does not answer.
type Files interface {
	// Read returns the text of a plain file of at most most bytes, if neither its name
	// nor a link leads out of the bounds. Errors: [OutsideError], [SizeError], those of
	// the system, and what the file is if it is no plain one.
	Read(ctx context.Context, in Bounds, name string, most int) ([]byte, error)
	// Stat describes what a name stands for, on the same terms.
	Stat(ctx context.Context, in Bounds, name string) (fs.FileInfo, error)
	// List returns the entries of a folder in order of their names: a [CountError] where
	// there are more than most.
	List(ctx context.Context, name string, most int) ([]fs.DirEntry, error)
	// Abs makes a name that settings are looked for upward from.
	Abs(name string) (string, error)
}

// Bounds are the folders below which files may be read, the workspace first; none: all
// files may be.
type Bounds []string

// Contain reports whether a name, as it is written, lies in the bounds. Links are not
// looked at.
func (b Bounds) Contain(name string) bool { return len(b) == 0 || b.folder(name) != "" }

// Refuse returns why a name, as it is written, may not be looked for within bounds; nil: it may.
func (b Bounds) Refuse(name string) error {
	if err := wellNamed(name); err != nil {
		return err
	}
	if !b.Contain(name) {
		return &OutsideError{b}
	}
	return nil
}

// folder returns the first of the bounds that a name lies in; "" for none.
func (b Bounds) folder(name string) string {
	for _, dir := range b {
		if Below(dir, name) {
			return dir
		}
	}
	return ""
}

// Below reports whether a name, as it is written, lies in a folder or is that folder.
// Both are absolute, or neither is.
func Below(dir, name string) bool {
	rel, err := filepath.Rel(filepath.FromSlash(dir), filepath.FromSlash(name))
	return err == nil && filepath.IsLocal(rel)
}

// OutsideError is returned for a file that a folder may not reach.
type OutsideError struct{ In Bounds }

func (*OutsideError) Error() string {
	return "it lies outside of the workspace, and what lies in a folder may not reach further; " +
		"only you can allow that (--allow FOLDER, or `allow` among the options of the editor)"
}

// SizeError is returned for a file that is larger than what is read.
type SizeError struct {
	Size int64 // in bytes; 0: not known, but more than Most
	Most int
}

func (e *SizeError) Error() string {
	if e.Size > 0 {
		return fmt.Sprintf("it has %s, and %s is the most that is read", size(e.Size), size(int64(e.Most)))
	}
	return fmt.Sprintf("it has more than %s, which is the most that is read", size(int64(e.Most)))
}

// size writes a number of bytes for people.
func size(n int64) string {
	switch {
	case n >= 1<<20:
		return fmt.Sprintf("%d MB", n>>20)
	case n >= 10<<10:
		return fmt.Sprintf("%d kB", n>>10)
	}
	return fmt.Sprintf("%d bytes", n)
}

// CountError is returned for a folder with more entries than are looked at.
type CountError struct{ Most int }

func (e *CountError) Error() string {
	return fmt.Sprintf("it holds more than %d files and folders, which is the most that is looked at", e.Most)
}

// UsedError is returned where a design is made of more files than are read.
type UsedError struct {
	Files int // 0: not the number of files is too large, but their texts are
	Bytes int
}

func (e *UsedError) Error() string {
	if e.Files > 0 {
		return fmt.Sprintf("this design is made of more than %d files, which is the most that are read", e.Files)
	}
	return fmt.Sprintf("with it the texts of this design come to more than %s, which is the most that is read", size(int64(e.Bytes)))
}

// Why says what went wrong with a file without naming it again.
func Why(err error) string {
	if errors.Is(err, fs.ErrNotExist) {
		return "there is no such file"
	}
	if at, ok := errors.AsType[*fs.PathError](err); ok {
		err = at.Err
	}
	return strings.TrimSpace(err.Error())
}

// Irregular returns what is no plain file; nil for one.
func Irregular(info fs.FileInfo) error {
	switch mode := info.Mode(); {
	case mode.IsRegular():
		return nil
	case mode.IsDir():
		return errors.New("it is a folder, not a file")
	case mode&fs.ModeNamedPipe != 0:
		return errors.New("it is a pipe, not a file")
	case mode&fs.ModeSocket != 0:
		return errors.New("it is a socket, not a file")
	case mode&fs.ModeDevice != 0:
		return errors.New("it is a device, not a file")
	case mode&fs.ModeSymlink != 0:
		return errors.New("it is a link")
	}
	return errors.New("it is no plain file")
}

// InFS makes Files of a file system, whose root is where relative names start.
func InFS(fsys fs.FS) Files { return inFS{fsys} }

type inFS struct{ fsys fs.FS }

func (f inFS) Read(ctx context.Context, in Bounds, name string, most int) ([]byte, error) {
	info, err := f.Stat(ctx, in, name)
	if err != nil {
		return nil, err
	}
	if err := Irregular(info); err != nil {
		return nil, err
	}
	if info.Size() > int64(most) {
		return nil, &SizeError{info.Size(), most}
	}
	return fs.ReadFile(f.fsys, path.Clean(name))
}

func (f inFS) List(_ context.Context, name string, most int) ([]fs.DirEntry, error) {
	entries, err := fs.ReadDir(f.fsys, path.Clean(name))
	if err == nil && len(entries) > most {
		return nil, &CountError{most}
	}
	return entries, err
}

func (f inFS) Stat(_ context.Context, in Bounds, name string) (fs.FileInfo, error) {
	name = path.Clean(name)
	if err := in.Refuse(name); err != nil {
		return nil, err
	}
	return fs.Stat(f.fsys, name)
}

func (inFS) Abs(name string) (string, error) { return path.Clean(name), nil }

package run

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// Files is where texts come from: the disk, or what an editor lays over it. Names
// have slashes. Errors for what is not there must be fs.ErrNotExist.
type Files interface {
	ReadFile(name string) ([]byte, error)
	ReadDir(name string) ([]fs.DirEntry, error)
	Stat(name string) (fs.FileInfo, error)
	// Abs makes a name that settings are looked for upward from.
	Abs(name string) (string, error)
}

// Disk is the file system of this machine.
type Disk struct{}

// ReadFile implements [Files].
func (Disk) ReadFile(name string) ([]byte, error) { return os.ReadFile(filepath.FromSlash(name)) }

// ReadDir implements [Files].
func (Disk) ReadDir(name string) ([]fs.DirEntry, error) { return os.ReadDir(filepath.FromSlash(name)) }

// Stat implements [Files].
func (Disk) Stat(name string) (fs.FileInfo, error) { return os.Stat(filepath.FromSlash(name)) }

// Abs implements [Files].
func (Disk) Abs(name string) (string, error) {
	abs, err := filepath.Abs(filepath.FromSlash(name))
	return filepath.ToSlash(abs), err
}

// InFS makes Files of a file system, whose root is where relative names start.
func InFS(fsys fs.FS) Files { return inFS{fsys} }

type inFS struct{ fsys fs.FS }

func (f inFS) ReadFile(name string) ([]byte, error) { return fs.ReadFile(f.fsys, path.Clean(name)) }
func (f inFS) ReadDir(name string) ([]fs.DirEntry, error) {
	return fs.ReadDir(f.fsys, path.Clean(name))
}
func (f inFS) Stat(name string) (fs.FileInfo, error) { return fs.Stat(f.fsys, path.Clean(name)) }
func (f inFS) Abs(name string) (string, error)       { return path.Clean(name), nil }

// withText lays one text over other files.
type withText struct {
	Files
	name string
	text []byte
}

func (f withText) ReadFile(name string) ([]byte, error) {
	if name == f.name {
		return f.text, nil
	}
	return f.Files.ReadFile(name)
}

// why says what went wrong with a file without naming it again.
func why(err error) string {
	switch e := err.(type) {
	case *fs.PathError:
		return e.Err.Error()
	default:
		return strings.TrimSpace(err.Error())
	}
}

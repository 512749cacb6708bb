package session_test

import (
	"io/fs"
	"path"
	"strings"
	"testing/fstest"
)

// rooted gives the files of a map absolute names.
type rooted struct{ files fstest.MapFS }

func inner(name string) string {
	if rel := strings.TrimPrefix(path.Clean(name), "/"); rel != "" {
		return rel
	}
	return "."
}

func (r rooted) ReadFile(name string) ([]byte, error)       { return fs.ReadFile(r.files, inner(name)) }
func (r rooted) ReadDir(name string) ([]fs.DirEntry, error) { return fs.ReadDir(r.files, inner(name)) }
func (r rooted) Stat(name string) (fs.FileInfo, error)      { return fs.Stat(r.files, inner(name)) }
func (r rooted) Abs(name string) (string, error)            { return path.Clean(name), nil }

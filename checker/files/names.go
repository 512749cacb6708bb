package files

import (
	"path"
	"path/filepath"
)

// Names of files have slashes on every system. On Windows they may begin with a drive,
// C:/dir, or with a server and what it shares, //server/share/dir: package path knows neither,
// and takes the root of a drive for a relative name. These functions do, and are those of
// package path elsewhere.

// Clean is the shortest name of the same file.
func Clean(name string) string { return filepath.ToSlash(filepath.Clean(filepath.FromSlash(name))) }

// Dir is the folder that a name stands in; that of a root is the root.
func Dir(name string) string { return filepath.ToSlash(filepath.Dir(filepath.FromSlash(name))) }

// Join is the name of what is called by a relative name in a folder.
func Join(dir, name string) string {
	return filepath.ToSlash(filepath.Join(filepath.FromSlash(dir), filepath.FromSlash(name)))
}

// IsAbs reports whether a name is not relative to a folder. On Windows that is so of one that
// begins with a slash too, though it is of the present drive.
func IsAbs(name string) bool { return path.IsAbs(name) || filepath.IsAbs(filepath.FromSlash(name)) }

//go:build !unix && !windows

package files

import (
	"io/fs"
	"os"
)

// nonblocking is not needed: what is no plain file is not opened, and there is nothing
// beside those that could be put in its place.
const nonblocking = 0

// links is not told by the name of a file here.
func links(*os.File, fs.FileInfo) uint64 { return 1 }

// keep gives the next file the mode of the old one; what else a file has comes from its
// folder.
func keep(_ *os.File, info fs.FileInfo, dir *os.Root, next string, _ *os.File) error {
	return dir.Chmod(next, info.Mode().Perm())
}

// swap gives the file at from the name of another one, which is gone then.
func swap(dir *os.Root, from, to string) error { return dir.Rename(from, to) }

// numbers are those by which the system knows a file: here by its name only.
func numbers(string, fs.FileInfo) (device, number uint64, ok bool) { return 0, 0, false }

// Owner is the number of the user that a file belongs to; ok is false where files have
// none.
func Owner(fs.FileInfo) (user int, ok bool) { return 0, false }

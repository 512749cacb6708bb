//go:build unix

package files

import (
	"fmt"
	"io/fs"
	"os"
	"syscall"
)

// nonblocking keeps the opening of a pipe or a terminal from waiting.
const nonblocking = syscall.O_NONBLOCK | syscall.O_NOCTTY

// links is the number of names that a file has.
func links(_ *os.File, info fs.FileInfo) uint64 {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return uint64(s.Nlink)
	}
	return 1
}

// keep gives the next file what the old one has beside its text.
func keep(old *os.File, info fs.FileInfo, _ *os.Root, _ string, next *os.File) error {
	was, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return fmt.Errorf("its owner is not known")
	}
	fresh, err := next.Stat()
	if err != nil {
		return err
	}
	if now, ok := fresh.Sys().(*syscall.Stat_t); !ok || now.Uid != was.Uid || now.Gid != was.Gid {
		if err := next.Chown(int(was.Uid), int(was.Gid)); err != nil {
			return fmt.Errorf("its owner %d:%d", was.Uid, was.Gid)
		}
	}
	if err := keepAttributes(old, next); err != nil {
		return err
	}
	// Last, since a change of the owner may take bits of the mode away.
	if err := next.Chmod(info.Mode() & (fs.ModePerm | fs.ModeSetuid | fs.ModeSetgid | fs.ModeSticky)); err != nil {
		return fmt.Errorf("its mode: %w", err)
	}
	return nil
}

// swap gives the file at from the name of another one, which is gone then.
func swap(dir *os.Root, from, to string) error { return dir.Rename(from, to) }

// numbers are those by which the system knows a file.
func numbers(_ string, info fs.FileInfo) (device, number uint64, ok bool) {
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return 0, 0, false
	}
	return uint64(s.Dev), uint64(s.Ino), true
}

// Owner is the number of the user that a file belongs to; ok is false where files have
// none.
func Owner(info fs.FileInfo) (user int, ok bool) {
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return 0, false
	}
	return int(s.Uid), true
}

package files

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// ErrChanged is returned by [Replace] for a file that is not what was read any more.
var ErrChanged = errors.New("it changed while it was worked on; nothing was written")

// Write gives a file a text at once or not at all, whether or not there is such a file.
// It is for files of Pintle's own; one of the user's is replaced by [Replace].
func Write(name string, text []byte, perm fs.FileMode) error {
	dir, err := os.OpenRoot(filepath.Dir(name))
	if err != nil {
		return err
	}
	defer closing(dir)
	ready := func(next string, _ *os.File) error { return dir.Chmod(next, perm) }
	return put(dir, filepath.Base(name), text, ready, (*os.Root).Rename)
}

// Replace gives a file a new text at once or not at all. The mode, the owner and the
// extended attributes of the file stay, and a link stays a link. It is refused where
// something of these can't be kept, where the file may not be written, where it has other
// names (hard links), which would go on meaning the old text, where it lies outside of the
// bounds, and where it is not what was read any more: before is that text.
func Replace(in Bounds, name string, before, after []byte) error {
	target, err := filepath.EvalSymlinks(filepath.FromSlash(name))
	if err != nil {
		return err
	}
	dir, err := folderOf(in, target)
	if err != nil {
		return err
	}
	defer closing(dir)
	return replaceIn(dir, filepath.Base(target), before, after)
}

// folderOf opens the folder of a file whose name has no links in it, and none that comes
// into it now leads out of the bounds.
func folderOf(in Bounds, target string) (*os.Root, error) {
	if len(in) == 0 {
		return os.OpenRoot(filepath.Dir(target))
	}
	target, err := filepath.Abs(target)
	if err != nil {
		return nil, err
	}
	for _, folder := range in {
		real, err := filepath.EvalSymlinks(filepath.FromSlash(folder))
		if err == nil {
			real, err = filepath.Abs(real)
		}
		if err != nil || !Below(real, target) {
			continue
		}
		outer, err := os.OpenRoot(real)
		if err != nil {
			return nil, err
		}
		defer closing(outer)
		way, err := filepath.Rel(real, filepath.Dir(target))
		if err != nil {
			return nil, err
		}
		return outer.OpenRoot(way)
	}
	return nil, &OutsideError{in}
}

// replaceIn replaces a file directly in a folder.
func replaceIn(dir *os.Root, base string, before, after []byte) error {
	info, err := dir.Lstat(base)
	if err != nil {
		return err
	}
	if err := Irregular(info); err != nil {
		return err
	}
	if info.Mode().Perm()&0o222 == 0 {
		return errors.New("it is read-only")
	}
	// Nothing is written through this: it shows whether the file may be written, where
	// replacing it would ask the folder only.
	old, err := dir.OpenFile(base, os.O_RDWR|nonblocking, 0)
	if err != nil {
		return err
	}
	defer closing(old)
	if n := links(old, info); n > 1 {
		return fmt.Errorf("it is one file under %d names (hard links), and writing it anew would part them; nothing was written", n)
	}
	ready := func(next string, f *os.File) error {
		if err := keep(old, info, dir, next, f); err != nil {
			return fmt.Errorf("the new text can't have what the file has: %w; nothing was written", err)
		}
		if err := unchanged(dir, base, old, info, before); err != nil {
			return err
		}
		return old.Close() // where a file that is open can't be replaced
	}
	return put(dir, base, after, ready, swap)
}

// unchanged reports, by ErrChanged, whether the open file is still what its name means and
// has the text that was read. It is asked last before the new text takes the name.
func unchanged(dir *os.Root, base string, open *os.File, info fs.FileInfo, before []byte) error {
	now, err := dir.Lstat(base)
	if err != nil {
		return err
	}
	held, err := open.Stat()
	if err != nil {
		return err
	}
	if !os.SameFile(now, held) || !os.SameFile(now, info) || now.Size() != int64(len(before)) {
		return ErrChanged
	}
	text, err := io.ReadAll(io.LimitReader(io.NewSectionReader(open, 0, int64(len(before))+1), int64(len(before))+1))
	if err != nil {
		return err
	}
	if !bytes.Equal(text, before) {
		return ErrChanged
	}
	return nil
}

// put writes a text beside a file and, when it is on the disk and ready agrees, has move
// give it the file's name.
func put(dir *os.Root, base string, text []byte, ready func(next string, f *os.File) error,
	move func(dir *os.Root, from, to string) error) (err error) {
	next := "." + base + "." + rand.Text()[:12] + ".tmp"
	if len(next) > 200 { // the name of a file may have 255 bytes
		next = ".pintle." + rand.Text()[:12] + ".tmp"
	}
	f, err := dir.OpenFile(next, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	open := true
	defer func() {
		if open {
			closing(f)
		}
		if err != nil && dir.Remove(next) != nil {
			// Wine can't remove what is named by its folder. What went wrong is reported already.
			_ = os.Remove(filepath.Join(dir.Name(), next))
		}
	}()
	if _, err := f.Write(text); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := ready(next, f); err != nil {
		return err
	}
	open = false
	if err := f.Close(); err != nil {
		return err
	}
	return move(dir, next, base)
}

// closing closes what was only read, or what is given up: there is nothing left to lose.
func closing(c io.Closer) { _ = c.Close() }

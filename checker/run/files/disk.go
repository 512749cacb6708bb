package files

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
)

// Disk is the file system of this machine.
type Disk struct{}

// Abs implements [Files].
func (Disk) Abs(name string) (string, error) {
	abs, err := filepath.Abs(filepath.FromSlash(name))
	return filepath.ToSlash(abs), err
}

// Stat implements [Files].
func (Disk) Stat(ctx context.Context, in Bounds, name string) (fs.FileInfo, error) {
	return apart(ctx, func() (fs.FileInfo, error) {
		if err := wellNamed(name); err != nil {
			return nil, err
		}
		if len(in) == 0 {
			return os.Stat(filepath.FromSlash(name))
		}
		dir, base, err := enter(in, name)
		if err != nil {
			return nil, err
		}
		defer closing(dir)
		return dir.Stat(base)
	})
}

// Read implements [Files].
func (Disk) Read(ctx context.Context, in Bounds, name string, most int) ([]byte, error) {
	return apart(ctx, func() ([]byte, error) {
		f, info, err := open(in, name)
		if err != nil {
			return nil, err
		}
		defer closing(f)
		if info.Size() > int64(most) {
			return nil, &SizeError{info.Size(), most}
		}
		// A file may grow while it is read, and those of /proc say nothing of their size.
		text, err := io.ReadAll(io.LimitReader(unlessDone{ctx, f}, int64(most)+1))
		if err == nil && len(text) > most {
			return nil, &SizeError{Most: most}
		}
		return text, err
	})
}

// List implements [Files].
func (Disk) List(ctx context.Context, name string, most int) ([]fs.DirEntry, error) {
	return apart(ctx, func() ([]fs.DirEntry, error) {
		f, err := os.OpenFile(filepath.FromSlash(name), os.O_RDONLY|nonblocking, 0)
		if err != nil {
			return nil, err
		}
		defer closing(f)
		var out []fs.DirEntry
		for ctx.Err() == nil {
			some, err := f.ReadDir(1000)
			if out = append(out, some...); len(out) > most {
				return nil, &CountError{most}
			}
			if errors.Is(err, io.EOF) {
				slices.SortFunc(out, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
				return out, nil
			}
			if err != nil {
				return nil, err
			}
		}
		return nil, ctx.Err()
	})
}

// open opens a plain file for reading. What it is is looked at before it is opened, since
// opening a device may do something, and again on what was opened.
func open(in Bounds, name string) (*os.File, fs.FileInfo, error) {
	if err := wellNamed(name); err != nil {
		return nil, nil, err
	}
	stat, opened := os.Stat, os.OpenFile
	name = filepath.FromSlash(name)
	if len(in) > 0 {
		dir, base, err := enter(in, name)
		if err != nil {
			return nil, nil, err
		}
		defer closing(dir)
		stat, opened, name = dir.Stat, dir.OpenFile, base
	}
	info, err := stat(name)
	if err != nil {
		return nil, nil, err
	}
	if err := Irregular(info); err != nil {
		return nil, nil, err
	}
	f, err := opened(name, os.O_RDONLY|nonblocking, 0)
	if err != nil {
		return nil, nil, err
	}
	if info, err = f.Stat(); err == nil {
		err = Irregular(info)
	}
	if err != nil {
		closing(f)
		return nil, nil, err
	}
	return f, info, nil
}

// enter opens that of the bounds which holds a file, and returns the way to the file from
// there. The system follows no link out of it (os.Root). A name that is out of bounds as
// it is written is not looked for: whether there is such a file is nobody's business.
func enter(in Bounds, name string) (*os.Root, string, error) {
	full, err := filepath.Abs(filepath.FromSlash(name))
	if err != nil {
		return nil, "", err
	}
	in, err = absolute(in)
	if err != nil {
		return nil, "", err
	}
	folder := in.folder(full)
	if folder == "" {
		return nil, "", &OutsideError{in}
	}
	dir, base, err := enterFolder(folder, full)
	if err != nil {
		return nil, "", err
	}
	if _, err := dir.Stat(base); !escapes(err) {
		return dir, base, nil // whatever else is wrong shows again
	}
	closing(dir)
	// A link whose way is absolute counts as one out of the folder, and one may lead into
	// another folder of the bounds. What it comes to decides.
	real, err := filepath.EvalSymlinks(full)
	if err != nil {
		return nil, "", &OutsideError{in}
	}
	for _, folder := range in {
		to, err := filepath.EvalSymlinks(filepath.FromSlash(folder))
		if err != nil || !Below(to, real) {
			continue
		}
		return enterFolder(to, real)
	}
	return nil, "", &OutsideError{in}
}

func enterFolder(folder, full string) (*os.Root, string, error) {
	folder = filepath.FromSlash(folder)
	base, err := filepath.Rel(folder, full)
	if err != nil {
		return nil, "", err
	}
	dir, err := os.OpenRoot(folder)
	return dir, base, err
}

func absolute(in Bounds) (Bounds, error) {
	out := make(Bounds, len(in))
	for i, dir := range in {
		abs, err := filepath.Abs(filepath.FromSlash(dir))
		if err != nil {
			return nil, err
		}
		out[i] = abs
	}
	return out, nil
}

// escapes reports whether an error of an os.Root says that a way leads out of it: the one
// error that does not come from the system.
func escapes(err error) bool {
	if err == nil {
		return false
	}
	_, system := errors.AsType[syscall.Errno](err)
	return !system && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrPermission)
}

// underWay holds a token for each look at the disk that the system has not answered. Each
// that it never answers costs a thread, so there must be an end to them.
var underWay = make(chan struct{}, 256)

// apart does what may wait for the system without end, a network's disk say, and leaves
// it alone when the context ends.
func apart[T any](ctx context.Context, work func() (T, error)) (T, error) {
	type result struct {
		value T
		err   error
	}
	if err := ctx.Err(); err != nil {
		var none T
		return none, err
	}
	select {
	case underWay <- struct{}{}:
	case <-ctx.Done():
		var none T
		return none, ctx.Err()
	}
	done := make(chan result, 1)
	go func() {
		value, err := work()
		<-underWay
		done <- result{value, err}
	}()
	select {
	case r := <-done:
		return r.value, r.err
	case <-ctx.Done():
		var none T
		return none, ctx.Err()
	}
}

// unlessDone reads until the context ends.
type unlessDone struct {
	ctx context.Context
	r   io.Reader
}

func (u unlessDone) Read(p []byte) (int, error) {
	if err := u.ctx.Err(); err != nil {
		return 0, err
	}
	return u.r.Read(p)
}

package run

import (
	"context"
	"io/fs"

	"pintle/checker/run/files"
)

// InFS makes Files of a file system, whose root is where relative names start.
func InFS(fsys fs.FS) files.Files { return files.InFS(fsys) }

// withText lays one text over other files.
type withText struct {
	files.Files
	name string
	text []byte
}

func (f withText) Read(ctx context.Context, in files.Bounds, name string, most int) ([]byte, error) {
	if name != f.name {
		return f.Files.Read(ctx, in, name, most)
	}
	if len(f.text) > most {
		return nil, &files.SizeError{Size: int64(len(f.text)), Most: most}
	}
	return f.text, nil
}

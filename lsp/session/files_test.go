package session_test

import (
	"context"
	"io/fs"
	"path"
	"strings"
	"testing/fstest"

	"pintle/checker/run/files"
)

// rooted gives the files of a map absolute names.
type rooted struct{ files fstest.MapFS }

func inner(name string) string {
	if rel := strings.TrimPrefix(path.Clean(name), "/"); rel != "" {
		return rel
	}
	return "."
}

func bounds(in files.Bounds) files.Bounds {
	var out files.Bounds
	for _, dir := range in {
		out = append(out, inner(dir))
	}
	return out
}

func (r rooted) Read(ctx context.Context, in files.Bounds, name string, most int) ([]byte, error) {
	return files.InFS(r.files).Read(ctx, bounds(in), inner(name), most)
}

func (r rooted) List(ctx context.Context, name string, most int) ([]fs.DirEntry, error) {
	return files.InFS(r.files).List(ctx, inner(name), most)
}

func (r rooted) Stat(ctx context.Context, in files.Bounds, name string) (fs.FileInfo, error) {
	return files.InFS(r.files).Stat(ctx, bounds(in), inner(name))
}

func (r rooted) Abs(name string) (string, error) { return path.Clean(name), nil }

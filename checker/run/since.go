package run

import (
	"context"
	"path/filepath"

	"pintle/checker/run/files"
	"pintle/checker/run/revision"
)

// Since compares files and folders with what they were at the revision of a request, and adds what
// came of it.
func (r *CompareResult) Since(ctx context.Context, req CompareRequest, paths []string) error {
	for _, p := range paths {
		old, err := revision.Open(ctx, folderOf(ctx, p), req.Since)
		if err != nil {
			return err
		}
		req.Old, req.Path, req.OldFiles = p, p, old
		one, err := Compare(ctx, req)
		if err != nil {
			return err
		}
		r.Files = append(r.Files, one.Files...)
		r.Failures = append(r.Failures, one.Failures...)
		r.Notices = append(r.Notices, one.Notices...)
	}
	return nil
}

// folderOf is the nearest folder of a path that is on the disk.
func folderOf(ctx context.Context, path string) string {
	at := files.Clean(filepath.ToSlash(path))
	for !isFolder(ctx, files.Disk{}, at) && files.Dir(at) != at {
		at = files.Dir(at)
	}
	return at
}

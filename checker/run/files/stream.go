package files

import (
	"context"
	"io"
)

// Stream is a plain file that is read bit by bit.
type Stream struct {
	io.Reader
	Size  int64 // bytes
	close func() error
}

// Close ends the reading.
func (s *Stream) Close() error { return s.close() }

// Stream opens a plain file of any size for reading, on the terms of Read; reading ends with
// the context. It is for what is not held in memory, and for files that the user named.
func (Disk) Stream(ctx context.Context, in Bounds, name string) (*Stream, error) {
	f, info, err := open(in, name)
	if err != nil {
		return nil, err
	}
	return &Stream{unlessDone{ctx, f}, info.Size(), f.Close}, nil
}

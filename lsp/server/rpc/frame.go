// Package rpc speaks JSON-RPC 2.0 in the frames of the Language Server Protocol. It
// bounds what it reads, answers what is malformed and goes on where it can, writes
// without ever blocking the one who sends, and keeps the order of the wire for its
// caller: Next returns one message after the other.
package rpc

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// Limits of what is read.
const (
	// MaxBody is the most bytes of one message, and MaxText the most of a text within a longer
	// one: its texts are cut so, and what is left must not be longer than MaxBody.
	MaxBody, MaxText = 8 << 20, 64 << 10
	// MaxHeader is the most bytes of all its header lines.
	MaxHeader = 8 << 10
)

// TooLarge is the error of a message that is longer than MaxBody even with its texts cut. It
// was skipped; reading can go on.
type TooLarge struct{ Bytes int64 }

func (e TooLarge) Error() string {
	return fmt.Sprintf("a message of %d bytes is more than the %d that are read", e.Bytes, MaxBody)
}

// BrokenHeader is the error of a header that does not say where its message ends.
// Nothing more can be read.
type BrokenHeader struct{ Why string }

func (e BrokenHeader) Error() string { return "broken header: " + e.Why }

// frames reads messages.
type frames struct{ in *bufio.Reader }

func newFrames(r io.Reader) *frames { return &frames{bufio.NewReaderSize(r, 64<<10)} }

// next returns the body of the next message. That of one longer than MaxBody has its long
// texts cut, so that it can be told what it was about; length is the whole one. At the end of
// the stream, between two messages, the error is io.EOF.
func (f *frames) next() (body []byte, length int64, err error) {
	length, err = f.header()
	if err != nil {
		return nil, 0, err
	}
	// Room is taken as bytes come in: a header that promises much costs nothing yet.
	var all bytes.Buffer
	var to io.Writer = &all
	cut := &cutter{out: &all}
	if length > MaxBody {
		to = cut
	}
	if _, err := io.CopyN(to, f.in, length); err != nil {
		if errors.Is(err, io.EOF) {
			err = io.ErrUnexpectedEOF
		}
		return nil, 0, err
	}
	if cut.full {
		return nil, 0, TooLarge{length}
	}
	return all.Bytes(), length, nil
}

// header reads header lines up to the empty one and returns the length of the body.
func (f *frames) header() (int64, error) {
	length := int64(-1)
	for read := 0; ; {
		line, err := f.in.ReadSlice('\n')
		read += len(line)
		switch {
		case errors.Is(err, io.EOF) && read == 0:
			return 0, io.EOF
		case errors.Is(err, io.EOF):
			return 0, io.ErrUnexpectedEOF
		case errors.Is(err, bufio.ErrBufferFull), read > MaxHeader:
			return 0, BrokenHeader{fmt.Sprintf("it is longer than %d bytes", MaxHeader)}
		case err != nil:
			return 0, err
		}
		line = bytes.TrimRight(line, "\r\n")
		if len(line) == 0 {
			if length < 0 {
				return 0, BrokenHeader{"there is no Content-Length"}
			}
			return length, nil
		}
		name, value, ok := bytes.Cut(line, []byte(":"))
		if !ok {
			return 0, BrokenHeader{fmt.Sprintf("%.40q has no colon", line)}
		}
		if !bytes.EqualFold(bytes.TrimSpace(name), []byte("Content-Length")) {
			continue
		}
		n, err := strconv.ParseInt(string(bytes.TrimSpace(value)), 10, 64)
		if err != nil || n < 0 {
			return 0, BrokenHeader{fmt.Sprintf("%.40q is no length", bytes.TrimSpace(value))}
		}
		if length >= 0 && length != n {
			return 0, BrokenHeader{"there are two lengths"}
		}
		length = n
	}
}

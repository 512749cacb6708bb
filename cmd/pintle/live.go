package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/mattn/go-isatty"

	"pintle/checker/engine/scenario"
	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/checker/run/live"
	"pintle/lang/escape"
)

// mostLine bounds a line at the prompt, in bytes.
const mostLine = 64 << 10

// byHand moves a design by hand, line by line, until the input ends.
func byHand(ctx context.Context, std stdio, open run.OpenRequest, from string, pace scenario.Pace, file string) error {
	s, err := live.Begin(ctx, open, from, pace)
	if err != nil {
		return err
	}
	f, ok := std.in.(*os.File)
	asked := ok && isatty.IsTerminal(f.Fd())
	if asked {
		fmt.Fprintln(std.out, "`help` lists what there is.")
	}
	lines := linesOf(std.in)
	status := error(nil)
	var before []byte // what this session wrote to the file
	for {
		if asked {
			fmt.Fprint(std.out, "> ")
		}
		var l scanned
		select {
		case l = <-lines:
		case <-ctx.Done():
			return ctx.Err()
		}
		if l.err != nil {
			break
		}
		a, err := s.Do(ctx, l.text)
		if err != nil {
			return err
		}
		if a.Refused || a.Missed {
			status = errFindings
		}
		if a.Written != "" && file != "" {
			if err := written(file, before, []byte(a.Written)); err != nil {
				status = errFindings
				a.Text = fmt.Sprintf("%s: %s; nothing was written\n", file, files.Why(err))
			} else {
				before = []byte(a.Written)
				a.Text = "written to " + file + "\n" + a.Text
			}
			a.Written = ""
		}
		if _, err := io.WriteString(std.out, escape.Lines(a.Written+a.Text)); err != nil {
			return err
		}
		if a.Quit {
			return status
		}
	}
	if asked {
		fmt.Fprintln(std.out)
	}
	return status
}

// written writes a drive to a file that is not there yet, or is as this session left it: whole or
// not at all.
func written(file string, before, after []byte) error {
	if before != nil {
		return files.Replace(nil, file, before, after)
	}
	if _, err := os.Lstat(file); err == nil {
		return errors.New("there is a file of this name already")
	}
	return files.Write(file, after, 0o644)
}

// scanned is a line of the input, or its end.
type scanned struct {
	text string
	err  error
}

// linesOf reads lines. A read from a terminal can't be interrupted, but it can be left alone.
func linesOf(r io.Reader) <-chan scanned {
	out := make(chan scanned)
	go func() {
		in := bufio.NewReaderSize(r, mostLine)
		for {
			line, err := in.ReadSlice('\n')
			text := strings.TrimRight(string(line), "\r\n")
			if errors.Is(err, bufio.ErrBufferFull) {
				for errors.Is(err, bufio.ErrBufferFull) {
					_, err = in.ReadSlice('\n')
				}
				text = "{" // no line: it is refused
			}
			if text != "" || err == nil {
				out <- scanned{text: text}
			}
			if err != nil {
				out <- scanned{err: err}
				return
			}
		}
	}()
	return out
}

// Command pintle checks descriptions of how a piece of a vehicle is supposed to
// switch. `pintle help` reports what it can do.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"pintle/checker/run/files"
	"pintle/lang/escape"
)

// Exit statuses.
const (
	exitClean    = 0
	exitFindings = 1 // findings at or above --fail-on, a difference, a failed scenario
	exitFailed   = 2 // the command could not do its work
)

// errFindings is what a verb returns when it did its work and that calls for status 1.
// Everything worth saying has been said.
var errFindings = errors.New("findings")

// errFailed is what a verb returns when part of its work could not be done and it has
// said so.
var errFailed = errors.New("failed")

// patienceAtEnd is how long what runs may take to notice that it is to end. What takes
// longer, the reading of one large text say, leaves nothing half done behind.
const patienceAtEnd = 500 * time.Millisecond

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, func() {
		stop() // a second Ctrl-C ends the program at once
		time.Sleep(patienceAtEnd)
		fmt.Fprintln(os.Stderr, "pintle: stopped")
		os.Exit(exitFailed)
	})
	status := execute(ctx, os.Args[1:], stdio{in: os.Stdin, out: os.Stdout, err: os.Stderr})
	os.Exit(status)
}

// readAll reads a stream of at most most bytes to its end, or until the context ends: a
// read from a terminal can't be interrupted, but it can be left alone.
func readAll(ctx context.Context, r io.Reader, most int) ([]byte, error) {
	type text struct {
		bytes []byte
		err   error
	}
	done := make(chan text, 1)
	go func() {
		b, err := io.ReadAll(io.LimitReader(r, int64(most)+1))
		if err == nil && len(b) > most {
			b, err = nil, &files.SizeError{Most: most}
		}
		done <- text{b, err}
	}()
	select {
	case t := <-done:
		return t.bytes, t.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// stdio is what a verb reads and writes.
type stdio struct {
	in       io.Reader
	out, err io.Writer
	screen   io.Writer // what err writes to, for lines that are written anew
}

// execute runs a command line and returns the exit status.
func execute(ctx context.Context, args []string, std stdio) int {
	// Names of files and bits of designs stand in what is said there.
	std.screen, std.err = std.err, escape.Writer(std.err)
	root := rootCommand(std)
	root.SetArgs(args)
	switch err := root.ExecuteContext(ctx); {
	case err == nil:
		return exitClean
	case errors.Is(err, errFindings):
		return exitFindings
	case errors.Is(err, errFailed):
	case ctx.Err() != nil:
		fmt.Fprintln(std.err, "pintle: stopped")
	default:
		fmt.Fprintln(std.err, "pintle: "+strings.ReplaceAll(err.Error(), "\n", "\npintle: "))
	}
	return exitFailed
}

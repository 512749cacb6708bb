package run

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/checker/question/replay"
)

// ReplayRequest asks to compare a recording with one design.
type ReplayRequest struct {
	OpenRequest
	// Log is the recording, Name how the user calls it.
	Log     io.Reader
	Name    string
	Mapping *replay.Mapping
	// Faults: look for the single faults that would explain what departs.
	Faults bool
	Trace  replay.Tracer
	// Step, if set, is told how many bytes of the recording have been read.
	Step func(bytes int64)
}

// ReplayResult is the outcome of a ReplayRequest.
type ReplayResult struct {
	File, Title, Log string
	*replay.Result
	// Failures are what of the design could not be read.
	Failures []Failure
	Notices  []Failure
}

// Replay compares a recording with a design. The errors are those of the context, of the
// search for the file, and sentences for the person who asks.
func Replay(ctx context.Context, req ReplayRequest) (*ReplayResult, error) {
	base := "recorded"
	o, err := Open(ctx, req.OpenRequest, func(text string) (string, error) {
		for strings.Contains(text, base) {
			base += "_"
		}
		return req.Mapping.Statements(base)
	})
	if err != nil {
		return nil, err
	}
	if len(o.Designs) > 1 {
		var options []string
		for _, c := range o.Designs[0].Choices {
			options = append(options, fmt.Sprintf("--option %s=%s", c.Option, c.Position))
		}
		return nil, fmt.Errorf("%s has %d designs by its options, and a recording is of one; choose it: %s", o.File, len(o.Designs), strings.Join(options, " "))
	}
	if len(o.Failures) > 0 {
		return nil, errors.New(o.Failures[0].String())
	}
	out := &ReplayResult{File: o.File, Title: o.Designs[0].Title, Log: req.Name, Failures: o.Failures, Notices: o.Notices}
	d, err := fault.Protect(ctx, o.Designs[0])
	if err != nil {
		return nil, err
	}
	r, err := replay.New(d, req.Log, replay.Options{Mapping: req.Mapping, Base: base, Sound: o.Designs[0], Faults: req.Faults, Trace: req.Trace, Step: req.Step})
	if err == nil {
		out.Result, err = r.Run(ctx)
	}
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		return nil, fmt.Errorf("%s: %w", req.Name, err)
	}
	return out, nil
}

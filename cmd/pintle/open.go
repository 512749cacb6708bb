package main

import (
	"context"
	"fmt"
	"path/filepath"

	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/checker/run/files"
)

// opening is the wish to open the file of a verb, with the options as --option gives them.
func opening(ctx context.Context, std stdio, path string, options []string) (run.OpenRequest, error) {
	out := run.OpenRequest{Path: path}
	var err error
	if out.Options, err = pairs(options); err != nil {
		return out, err
	}
	if path == run.StandardInput {
		if out.Input, err = readAll(ctx, std.in, files.CheckLimits().Text); err != nil {
			return out, fmt.Errorf("standard input: %w", err)
		}
	}
	catalogue, err := rules.All()
	if err != nil {
		return out, err
	}
	out.Rules = catalogue.Names()
	return out, nil
}

// textIn reads a file that is no design, or standard input.
func textIn(ctx context.Context, std stdio, name string, most int) ([]byte, error) {
	var text []byte
	var err error
	if name == run.StandardInput {
		text, err = readAll(ctx, std.in, most)
	} else {
		text, err = files.Disk{}.Read(ctx, nil, filepath.ToSlash(name), most)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %s", name, files.Why(err))
	}
	return text, nil
}

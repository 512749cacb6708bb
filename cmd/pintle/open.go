package main

import (
	"context"
	"fmt"

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

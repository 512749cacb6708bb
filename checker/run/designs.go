package run

import (
	"context"
	"fmt"

	"pintle/checker/run/files"
	"pintle/lang/elaborate"
	"pintle/lang/model"
)

// Designs reads files and returns the designs that they hold, without checking them. What
// could not be read is in the failures, also that statements of a file could not. The errors
// are those of Search and of the context.
func Designs(ctx context.Context, paths, rules []string) ([]*model.Design, []Failure, error) {
	disk, limits := files.Disk{}, files.CheckLimits()
	there, err := Search(ctx, disk, rules, limits, paths, nil)
	if err != nil {
		return nil, nil, err
	}
	failures := there.Failures
	trees := newParsed(disk, limits)
	var out []*model.Design
	for _, r := range there.Roots {
		tree, err := trees.root(ctx, r)
		if err != nil {
			failures = append(failures, Failure{File: r.Name, What: err.Error()})
			continue
		}
		read := elaborate.Elaborate(ctx, tree, newLoader(trees, tree, r))
		bad := misread(tree, read, len(tree.Src.Text)+1)
		if bad > 0 {
			failures = append(failures, unreadFailure(r.Name, bad))
		}
		out = append(out, read.Designs...)
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
	}
	return out, failures, nil
}

// unreadFailure tells of a file of which some statements could not be read.
func unreadFailure(file string, bad int) Failure {
	return Failure{File: file, What: fmt.Sprintf("%d of its statements could not be read in full, and what they say is left out: see `pintle check`", bad)}
}

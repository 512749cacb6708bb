package run

import (
	"context"

	"pintle/checker/files"
	"pintle/lang/elaborate"
	"pintle/lang/model"
)

// Designs reads files and returns the designs that they hold, without checking them. What
// could not be read is in the failures; a statement that could not is a matter of Check. The
// errors are those of Search and of the context.
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
		out = append(out, elaborate.Elaborate(ctx, tree, newLoader(trees, tree, r)).Designs...)
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
	}
	return out, failures, nil
}

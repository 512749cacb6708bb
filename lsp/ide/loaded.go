package ide

import (
	"context"

	"pintle/lang/syntax"
)

// loaded is the file that `use "path"` in a file means, nil where nobody can load it.
func (r *Root) loaded(ctx context.Context, from *syntax.File, path string) (*syntax.File, error) {
	if r.loader == nil {
		return nil, nil
	}
	return r.loader.Load(ctx, from, path)
}

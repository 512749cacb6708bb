package ide

import (
	"context"

	"pintle/lang/elaborate"
	"pintle/lang/syntax"
)

// Loaded is the file that `use "path"` in a file means, nil where nobody can load it.
func (r *Root) Loaded(ctx context.Context, from *syntax.File, path string) (*syntax.File, error) {
	if r.Loader == nil {
		return nil, nil
	}
	return r.Loader.Load(ctx, from, path)
}

// Overlay lays edited files over those that a root loads.
type Overlay struct {
	elaborate.Loader
	Files map[string]*syntax.File
}

// Load implements elaborate.Loader.
func (o Overlay) Load(ctx context.Context, from *syntax.File, path string) (*syntax.File, error) {
	f, err := o.Loader.Load(ctx, from, path)
	if err == nil && f != nil {
		if e := o.Files[f.Src.Name]; e != nil {
			return e, nil
		}
	}
	return f, err
}

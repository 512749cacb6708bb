package lens

import (
	"context"
	"strings"

	"pintle/checker/engine/fault"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lsp/ide"
)

// FaultsOf lists the single faults that a fit, declared at a byte offset of the document,
// can have: those that `despite any one fault` looks at, of everything in it. Of several
// fits of one line it is those of all; of a design with options those of the first
// combination that has the fit. The list is nil where there is no fit.
func FaultsOf(ctx context.Context, v *ide.View, off int) (*name.Def, []fault.Fault, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, nil, err
	}
	d, _ := x.DefinitionAt(v.Src(), off)
	if d == nil || d.Sort != name.Thing || d.Kind != schema.Fit || !d.NamePlace.Contains(off) {
		return nil, nil, nil
	}
	read, err := v.Read(ctx)
	if err != nil {
		return nil, nil, err
	}
	design, fits := ide.DesignOf(read.Designs, d, "")
	if design == nil {
		return d, nil, nil
	}
	var out []fault.Fault
	for _, f := range fault.Generate(design) {
		for _, fit := range fits {
			if f.Subject == fit.Info.Path || strings.HasPrefix(f.Subject, fit.Info.Path+".") {
				out = append(out, f)
				break
			}
		}
	}
	return d, out, nil
}

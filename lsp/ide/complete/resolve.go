package complete

import (
	"context"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/unit"
	"pintle/lsp/ide"
	"pintle/lsp/ide/hover"
)

// Resolve makes the documentation of a completion item, when somebody looks at it. It is
// empty where there is nothing to tell. The source may come from anywhere.
func Resolve(ctx context.Context, v *ide.View, s ItemSource) (ide.Text, error) {
	switch s.What {
	case "kind":
		for _, k := range schema.Named(s.Name) {
			if int(k.ID) == s.ID {
				return hover.KindText(k), nil
			}
		}
	case "form":
		for _, k := range schema.Named(s.Name) {
			for _, f := range k.Forms {
				if int(f.ID) == s.ID {
					return hover.FormText(f), nil
				}
			}
		}
	case "unit":
		if u, ok := unit.Lookup(s.Name); ok && s.Name != "" {
			return ide.UnitText(u), nil
		}
	case "rule":
		return hover.RuleText(v, s.Name), nil
	case "def":
		x, err := v.Index(ctx)
		if err != nil {
			return nil, err
		}
		for _, sc := range x.Files() {
			if sc.File.Src.Name != s.File {
				continue
			}
			if d, span := x.DefinitionAt(sc.File.Src, s.At); d != nil && span.Start == s.At && strings.HasSuffix(s.Name, d.Name) {
				return hover.DeclarationText(v, d), nil
			}
		}
	}
	return nil, nil
}

package navigate

import (
	"context"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// Renamable is what would be renamed.
type Renamable struct {
	Span source.Span
	Name string
}

// PrepareRename reports what is renamed at a byte offset, or, by a *RefusedError, why
// nothing can be.
func PrepareRename(ctx context.Context, v *ide.View, off int) (*Renamable, error) {
	d, span, err := toRename(ctx, v, off)
	if err != nil {
		return nil, err
	}
	return &Renamable{span, d.Name}, nil
}

// toRename finds the definition that a rename at an offset is about.
func toRename(ctx context.Context, v *ide.View, off int) (*name.Def, source.Span, error) {
	x, err := v.Index(ctx)
	if err != nil {
		return nil, source.Span{}, err
	}
	s := ide.FindSpot(v.Tree, off)
	if s.Comment || s.Text != nil {
		return nil, source.Span{}, ide.Refused("there is no name here")
	}
	d, span := ide.DefinitionAt(x, v.Tree, off)
	switch {
	case d == nil && s.Part.Len() == 0:
		return nil, source.Span{}, ide.Refused("there is no name here")
	case d == nil && s.Stmt == nil:
		return nil, source.Span{}, ide.Refused("`%s` is a word of the language", v.Src().Text[s.Word.Start:s.Word.End])
	case d == nil:
		return nil, source.Span{}, ide.Refused("`%s` is not the name of anything", v.Src().Text[s.Part.Start:s.Part.End])
	case d.Sort == name.Way || d.Sort == name.Lost:
		return nil, source.Span{}, ide.Refused("`%s` has no name that could be changed", d.Name)
	case d.Sort == name.Short && v.Src().Text[span.Start:span.End] != d.Name:
		return nil, source.Span{}, ide.Refused("there is no name here")
	}
	return d, span, nil
}

// Rename gives the edits by which what is named at a byte offset gets another name,
// wherever in the workspace it is named; sorted, in the files as they stand. A
// *RefusedError tells why it can't have that name: it is none, or something would
// afterwards mean something else.
func Rename(ctx context.Context, v *ide.View, off int, to string) ([]diag.Edit, error) {
	d, _, err := toRename(ctx, v, off)
	if err != nil {
		return nil, err
	}
	if to == d.Name {
		return nil, nil
	}
	if err := properName(d, to); err != nil {
		return nil, err
	}
	if err := clash(d, to); err != nil {
		return nil, err
	}
	places, err := occurrences(ctx, v, d)
	if err != nil {
		return nil, err
	}
	edits := make([]diag.Edit, len(places))
	for i, p := range places {
		edits[i] = diag.Edit{Place: p, New: to}
	}
	if err := sameMeaning(ctx, v, edits); err != nil {
		return nil, err
	}
	return edits, nil
}

// occurrences lists the places in which a name stands, definitions included.
func occurrences(ctx context.Context, v *ide.View, d *name.Def) ([]diag.Place, error) {
	var out []diag.Place
	for _, t := range ide.Twins(d) {
		out = append(out, t.NamePlace)
		out = append(out, shownAt(t)...)
		uses, err := ide.UsesEverywhere(ctx, v, t)
		if err != nil {
			return nil, err
		}
		out = append(out, uses...)
	}
	slices.SortFunc(out, diag.Place.Compare)
	return slices.CompactFunc(out, func(a, b diag.Place) bool { return a.Compare(b) == 0 }), nil
}

// properName reports whether a definition can be called so at all.
func properName(d *name.Def, to string) error {
	f := syntax.Parse(source.NewFile("", to), nil)
	toks := ide.Significant(f, 0, len(to))
	if len(toks) != 1 || toks[0].Len() != len(to) {
		return ide.Refused("`%s` is not a name: names are letters, digits, `_` and `-` between them", to)
	}
	switch k := toks[0].Kind; {
	case k == syntax.PathTok, k == syntax.Mixed && strings.Contains(to, "."):
		return ide.Refused("`%s` is a path; a name holds no dot", to)
	case k == syntax.Number && strings.ContainsAny(to, ".-eE"):
		return ide.Refused("`%s` is a number, not a name", to)
	case !ide.Wordish(k):
		return ide.Refused("`%s` is not a name", to)
	}
	if last := to[len(to)-1]; last == '+' || last == '-' {
		if d.Sort != name.Terminal && (d.Sort != name.Thing || schema.Of(d.Kind).Head != schema.HeadPins) {
			return ide.Refused("only pins and nodes end in `%c`", last)
		}
	}
	return nil
}

// clash reports whether something else in the same scope is called so already.
func clash(d *name.Def, to string) error {
	if d.In == nil {
		return nil
	}
	other := d.In.Own(to)
	if slices.Contains(d.In.Claims, d) {
		other = d.In.Claim(to, d.Kind)
	}
	if other == nil {
		return nil
	}
	at := other.NamePlace
	return ide.Refused("there is a %s `%s` already, in line %d", other.Word(), to, at.File.Position(at.Start).Line)
}

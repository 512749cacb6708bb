package lens

import (
	"context"
	"slices"

	"pintle/checker/question/drives"
	"pintle/lang/diag"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lsp/ide"
)

// LensKind says what a lens does.
type LensKind uint8

// The kinds of lenses.
const (
	LensDrive      LensKind = iota // runs a drive
	LensReferences                 // counts the places that name a thing, and shows them
	LensFaults                     // counts the single faults of a fit, and tells them
	LensTable                      // tries the single faults of a design on a symptom or a requirement
)

// Lens is a line of its own above a declaration.
type Lens struct {
	source.Span // of the name
	Kind        LensKind
	Name        string
}

// counted are the kinds whose uses are counted: those that others build on.
var counted = []schema.ID{schema.Part, schema.Quantity, schema.Setting, schema.Option, schema.Condition, schema.Threshold, schema.Connector}

// Lenses lists the lenses of a document, as far as they are wanted, in the order of the
// text. What they say is worked out by [References], [FaultsOf]
// and [RunDrive].
func Lenses(ctx context.Context, v *ide.View) ([]Lens, error) {
	want := v.Preferences.CodeLenses
	if want == (ide.LensPreferences{}) {
		return nil, nil
	}
	x, err := v.Index(ctx)
	if err != nil {
		return nil, err
	}
	var out []Lens
	for _, d := range x.Definitions(v.Src()) {
		if d.Sort != name.Thing || d.Stmt == nil {
			continue
		}
		switch {
		case d.Kind == schema.Drive && want.Drives && !d.Broken && d.Stmt.HasBody:
			out = append(out, Lens{d.NamePlace.Span, LensDrive, d.Name})
		case d.Kind == schema.Fit && want.Faults && !d.Broken && !d.Stmt.Has(schema.FitElsewhere):
			out = append(out, Lens{d.NamePlace.Span, LensFaults, d.Name})
		case want.Faults && !d.Broken && (d.Kind == schema.Symptom || d.Kind == schema.Require && despite(d)):
			out = append(out, Lens{d.NamePlace.Span, LensTable, d.Name})
		case want.References && slices.Contains(counted, d.Kind):
			out = append(out, Lens{d.NamePlace.Span, LensReferences, d.Name})
		}
	}
	return out, nil
}

// despite reports whether a requirement is to hold despite faults.
func despite(d *name.Def) bool {
	return slices.ContainsFunc([]schema.FormID{
		schema.RequireDespite, schema.RequireDespiteBut, schema.RequireDespiteTwo, schema.RequireDespiteNamed,
	}, d.Stmt.Has)
}

// ReferencesTitle is what a lens says of the places that name a thing.
func ReferencesTitle(places []diag.Place) string {
	if len(places) == 0 {
		return "no references"
	}
	return drives.Count(len(places), "reference")
}

// FaultsTitle is what a lens says of the faults of a fit.
func FaultsTitle(n int) string {
	if n == 0 {
		return "nothing in it can fail"
	}
	return drives.Count(n, "single fault")
}

package show

import (
	"cmp"
	"context"
	"slices"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/source"
	"pintle/lsp/ide"
)

// Hint is a few words that an editor shows between those of the text.
type Hint struct {
	At    int // byte offset
	Label string
	// Before: the hint belongs to what follows it, as the name of an argument does;
	// otherwise to what stands before it.
	Before bool
	// Tip tells more.
	Tip ide.Text
	// Edits write the hint into the text; empty where that can't be done.
	Edits []diag.Edit
}

// Hints lists the hints of a stretch of a document, as far as they are wanted, in the
// order of the text.
func Hints(ctx context.Context, v *ide.View, in source.Span) ([]Hint, error) {
	want := v.Preferences.InlayHints
	if want == (ide.HintPreferences{}) {
		return nil, nil
	}
	read, err := v.Read(ctx)
	if err != nil {
		return nil, err
	}
	h := &hinter{v: v, in: in, designs: read.Designs, index: read.Index}
	if want.Arguments {
		h.ways()
		h.arguments()
	}
	if want.DeadBands {
		h.deadBands()
	}
	if want.Defaults {
		h.defaults()
	}
	if want.Currents || want.Drops {
		if err := h.wires(ctx, want.Currents, want.Drops); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(h.out, func(a, b Hint) int { return cmp.Compare(a.At, b.At) })
	return h.out, nil
}

// hinter collects hints.
type hinter struct {
	v       *ide.View
	in      source.Span
	designs []*model.Design
	index   *name.Index
	out     []Hint
}

// here reports whether a place is in the stretch that hints are wanted of.
func (h *hinter) here(p diag.Place) bool {
	return p.File != nil && p.File.Name == h.v.Src().Name && p.Start >= h.in.Start && p.Start <= h.in.End
}

// behind is where a hint about the thing declared at a place stands: behind its
// statement's line, before a brace. ok is false where the text is in the middle of
// something.
func (h *hinter) behind(p diag.Place) (int, bool) {
	st := h.v.Tree.At(p.Start)
	for st != nil && !(st.Line.Start <= p.Start && p.Start < st.Line.End) {
		st = st.Parent
	}
	if st == nil || st.Broken {
		return 0, false
	}
	toks := ide.Significant(h.v.Tree, st.Line.Start, st.Line.End)
	for len(toks) > 0 && toks[len(toks)-1].Text == "{" {
		toks = toks[:len(toks)-1]
	}
	if len(toks) == 0 {
		return 0, false
	}
	return toks[len(toks)-1].End, true
}

// mostTexts is how many different values of one statement a hint tells: a part may be put
// in place in many ways.
const mostTexts = 3

// gathered are the different texts about the things that one statement declares, in the
// order of the designs.
type gathered struct {
	order []diag.Place
	texts map[int][]string
}

func (g *gathered) add(p diag.Place, text string) {
	if g.texts == nil {
		g.texts = map[int][]string{}
	}
	if _, ok := g.texts[p.Start]; !ok {
		g.order = append(g.order, p)
	}
	if !slices.Contains(g.texts[p.Start], text) {
		g.texts[p.Start] = append(g.texts[p.Start], text)
	}
}

// joined writes the texts about a place; "" where they are too many to be worth reading.
func (g *gathered) joined(p diag.Place) string {
	list := g.texts[p.Start]
	if len(list) > mostTexts {
		return ""
	}
	return ide.Listed(list)
}

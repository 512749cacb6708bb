package show

import (
	"cmp"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// RGB is a colour, each share from 0 to 255.
type RGB struct{ R, G, B uint8 }

// Swatch is a colour of a wire or a plug with how it looks. Base and stripe of a wire are
// swatches of their own.
type Swatch struct {
	source.Span
	Name   string // "light green"
	Colour RGB
}

// looks says how the insulation of each colour looks. The values are chosen to be told
// apart on a screen; no standard fixes them (common practice, no source).
var looks = map[string]RGB{
	"beige": {222, 203, 164}, "black": {24, 24, 24}, "blue": {28, 84, 178}, "brown": {110, 66, 32},
	"clear": {236, 240, 244}, "gold": {200, 162, 48}, "green": {22, 132, 62}, "grey": {128, 132, 136},
	"ivory": {244, 236, 208}, "magenta": {204, 36, 132}, "natural": {232, 226, 212}, "orange": {240, 124, 20},
	"pink": {246, 160, 186}, "purple": {104, 44, 132}, "red": {206, 32, 36}, "silver": {186, 190, 194},
	"tan": {202, 160, 112}, "turquoise": {36, 172, 172}, "violet": {132, 82, 178}, "white": {252, 252, 252},
	"yellow": {250, 210, 24},
}

// look is how a colour looks, as it is written: "light green".
func look(colour string) (RGB, bool) {
	shade, plain, ok := strings.Cut(colour, " ")
	if !ok {
		shade, plain = "", colour
	}
	c, ok := looks[plain]
	if !ok {
		return RGB{}, false
	}
	toward := func(to uint8) RGB {
		mix := func(x uint8) uint8 { return uint8((int(x)*55 + int(to)*45) / 100) }
		return RGB{mix(c.R), mix(c.G), mix(c.B)}
	}
	switch shade {
	case "light":
		return toward(255), true
	case "dark":
		return toward(0), true
	}
	return c, true
}

// Swatches lists the colours in a text, in its order.
func Swatches(f *syntax.File) []Swatch {
	var out []Swatch
	for _, st := range f.All() {
		for _, id := range [...]schema.FormID{schema.WireColour, schema.ConnectorColour} {
			for _, c := range st.All(id) {
				out = append(out, swatchesIn(f, c.Span)...)
			}
		}
	}
	return out
}

// swatchesIn reads the colours of one clause: a shade that may be there, a word, and
// after a slash the same for the stripe.
func swatchesIn(f *syntax.File, span source.Span) []Swatch {
	var out []Swatch
	shade := ide.Token{}
	for _, t := range ide.Significant(f, span.Start, span.End) {
		switch word, ok := schema.Colour(t.Text); {
		case t.Kind == syntax.NameTok && schema.IsShade(t.Text):
			shade = t
		case t.Kind == syntax.NameTok && ok:
			s := Swatch{Span: t.Span, Name: word}
			if shade.Text != "" {
				s.Name, s.Start = shade.Text+" "+word, shade.Start
			}
			if s.Colour, ok = look(s.Name); ok {
				out = append(out, s)
			}
			shade = ide.Token{}
		default:
			shade = ide.Token{}
		}
	}
	return out
}

// shownColours is how many colours are offered in place of one that was picked.
const shownColours = 8

// ColourChoice is a colour word to write in place of another.
type ColourChoice struct {
	Name string
	Edit diag.Edit
}

// ColourChoices offers the words for the colours nearest to one that was picked, to be
// written over the colour in a span, the nearest first. It is empty where the span is not
// that of a colour.
func ColourChoices(f *syntax.File, span source.Span, picked RGB) []ColourChoice {
	if !slices.ContainsFunc(Swatches(f), func(s Swatch) bool { return s.Span == span }) {
		return nil
	}
	type near struct {
		name string
		far  int
	}
	var list []near
	for _, plain := range schema.Colours() {
		for _, name := range [...]string{plain, "light " + plain, "dark " + plain} {
			if c, ok := look(name); ok {
				list = append(list, near{name, distance(c, picked)})
			}
		}
	}
	// Of equals a plain word comes before a shade.
	slices.SortStableFunc(list, func(a, b near) int {
		return cmp.Or(cmp.Compare(a.far, b.far), cmp.Compare(strings.Count(a.name, " "), strings.Count(b.name, " ")))
	})
	var out []ColourChoice
	for _, n := range list[:min(shownColours, len(list))] {
		out = append(out, ColourChoice{n.name, ide.Replace(f.Src, span, n.name)})
	}
	return out
}

// distance weighs the shares as the eye does, roughly (ITU-R BT.601 luma weights).
func distance(a, b RGB) int {
	d := func(x, y uint8) int { return (int(x) - int(y)) * (int(x) - int(y)) }
	return 299*d(a.R, b.R) + 587*d(a.G, b.G) + 114*d(a.B, b.B)
}
